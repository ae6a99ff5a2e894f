"""Workbooks (xlsx, xlsm, xlsb, xls, ods) to sheets of text cells. Nothing in them runs; stored results are read."""

import io
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import python_calamine as calamine

from webapp.errors import UnreadableFileError
from webapp.intake.archive import damaged, protected, survey
from webapp.intake.grid import CellValue, Marks, Note, Row, Sheet
from webapp.intake.limits import Limits
from webapp.intake.reach import check_reach
from webapp.intake.signatures import Container, other_kind

_BOF = struct.pack("<HHHH", 0x0809, 16, 0x0600, 0x0005)
"""Begin of an xls: record, size, version 8, workbook globals ([MS-XLS] 2.4.21)."""
_FILEPASS = 0x002F
_EOF = 0x000A
_WHOLE_BELOW = 1e15
"""Whole numbers below this are exact in a workbook (15 digits) and print without exponent or ".0"."""


@dataclass(frozen=True, slots=True)
class Workbook:
    """All sheets in workbook order, and what was odd."""

    kind: str
    sheets: tuple[Sheet, ...]
    notes: tuple[Note, ...] = ()


def read_workbook(content: bytes, container: Container, limits: Limits, only: str | None = None) -> Workbook:
    """Read every sheet, or ``only`` one (the others are then listed without rows).

    Raises UnreadableFileError: protected, damaged, not_a_table, no_such_sheet, too_many_sheets, too_many_rows,
    too_many_columns, too_many_cells and those of a zip archive's survey.
    """
    if container == "zip":
        surveyed = survey(content, limits)
        kind, notes, marks = surveyed.kind, surveyed.notes, surveyed.marks
    else:
        _check_ole(content)
        kind, notes, marks = "xls", (), {}
    try:
        with calamine.load_workbook(io.BytesIO(content)) as book:
            sheets = _read_sheets(book, limits, only, marks)
    except calamine.PasswordError as locked:
        raise protected() from locked
    except (calamine.CalamineError, OSError, ValueError) as broken:
        raise damaged() from broken
    except BaseException as panic:
        # What the library did not foresee arrives as a panic, which is no Exception.
        if type(panic).__name__ != "PanicException":
            raise
        raise damaged() from panic
    return Workbook(kind, sheets, notes)


def text_of(value: CellValue) -> str:
    """One cell as a person would read it: 1.0 is "1", a truth value "TRUE", a date ISO 8601."""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < _WHOLE_BELOW else repr(value)
    return str(value)


def _check_ole(content: bytes) -> None:
    """Tell an xls from the other files of that container by the names in its directory."""
    if _wide("EncryptedPackage") in content:
        raise protected()
    if _has_filepass(content):
        raise protected()
    if _wide("Workbook") in content or _wide("Book") in content:
        return
    if _wide("WordDocument") in content:
        raise other_kind("a text document")
    if _wide("PowerPoint Document") in content:
        raise other_kind("a presentation")
    raise damaged()


def _has_filepass(content: bytes) -> bool:
    """Whether the first records of an xls (they stand together) say that the rest is encrypted ([MS-XLS] 2.4.117)."""
    at = content.find(_BOF)
    while at >= 0 and at + 4 <= len(content):
        record, size = struct.unpack_from("<HH", content, at)
        if record == _FILEPASS:
            return True
        if record == _EOF:
            return False
        at += 4 + size
    return False


def _wide(name: str) -> bytes:
    return name.encode("utf-16-le")


def _read_sheets(
    book: calamine.CalamineWorkbook, limits: Limits, only: str | None, marks: Mapping[str, Marks]
) -> tuple[Sheet, ...]:
    metadata = book.sheets_metadata
    if len(metadata) > limits.sheets:
        raise UnreadableFileError(
            f"The workbook has {len(metadata)} sheets; more than {limits.sheets} are not read.", code="too_many_sheets"
        )
    if only is not None and all(about.name != only for about in metadata):
        raise UnreadableFileError(f"The workbook has no sheet “{only}”.", field="sheet", code="no_such_sheet")
    cells = 0
    sheets = []
    for index, about in enumerate(metadata):
        values: Sequence[Sequence[CellValue]] = ()
        covered: dict[int, set[int]] = {}
        if about.typ == calamine.SheetTypeEnum.WorkSheet and only in (None, about.name):
            sheet = book.get_sheet_by_index(index)
            values = _values(sheet, limits)
            covered = _covered(sheet.merged_cell_ranges or (), len(values))
            cells += sum(map(len, values))
        if cells > limits.cells:
            raise UnreadableFileError(
                f"The sheets have {cells:,} cells together; more than {limits.cells:,} are not read.",
                code="too_many_cells",
            )
        hidden = about.visible != calamine.SheetVisibleEnum.Visible
        shown = marks.get(about.name, Marks())
        sheets.append(Sheet(about.name, [_row(row) for row in values], values, hidden, covered, shown))
    return tuple(sheets)


def _covered(merged: Sequence[tuple[tuple[int, int], tuple[int, int]]], rows: int) -> dict[int, set[int]]:
    """Columns (0-based) by row (1-based) that a cell merged over several rows covers below its own."""
    covered: dict[int, set[int]] = {}
    for (top, left), (bottom, right) in merged:
        for row in range(top + 1, min(bottom, rows - 1) + 1):
            covered.setdefault(row + 1, set()).update(range(left, right + 1))
    return covered


def _values(sheet: calamine.CalamineSheet, limits: Limits) -> list[list[CellValue]]:
    """The sheet's cells from A1 on, so that list positions are spreadsheet positions."""
    if sheet.end is None:
        return []
    check_reach(sheet.end[0] + 1, sheet.end[1] + 1, limits)
    return sheet.to_python(skip_empty_area=False)


def _row(values: Sequence[CellValue]) -> Row:
    """The cells as text; a row without any is an empty list."""
    row = [value if value.__class__ is str else text_of(value) for value in values]
    return row if any(row) else []
