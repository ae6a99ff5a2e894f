"""Tables to take away: CSV and XLSX of rows of values, harmless to whoever opens them."""

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Any

import xlsxwriter

Cell = str | int | float | None
# Spreadsheets run text that begins like this, also what came from somebody else's file.
_RUN = ("=", "+", "-", "@", "\t", "\r")
# The longest text that an xlsx cell takes.
_LONGEST = 32_767
_WIDEST = 60


def harmless(value: Cell) -> Cell:
    """Text that a spreadsheet would take for a formula, with an apostrophe before it; all else as it is."""
    return f"'{value}" if isinstance(value, str) and value.startswith(_RUN) else value


def unguarded(text: str) -> str:
    """Text read back from such a table, as it was before ``harmless``."""
    return text[1:] if text.startswith("'") and text[1:].startswith(_RUN) else text


def to_csv(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """CSV with commas, in UTF-8 with a mark: without it spreadsheets garble whatever is not ASCII."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(head)
    writer.writerows([harmless(value) for value in row] for row in rows)
    return text.getvalue().encode("utf-8-sig", errors="replace")


def to_xlsx(name: str, head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """A workbook of one sheet, its head kept in sight; texts stay texts, so part numbers keep their zeros."""
    content = io.BytesIO()
    options: dict[str, Any] = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    with xlsxwriter.Workbook(content, options) as book:
        sheet = book.add_worksheet(_sheet_name(name))
        bold = book.add_format({"bold": True})
        widths = [len(text) for text in head]
        sheet.write_row(0, 0, head, bold)
        for number, row in enumerate(rows, start=1):
            for column, value in enumerate(row):
                _write(sheet, number, column, harmless(value))
                widths[column] = max(widths[column], len(str(value or "")))
        for column, width in enumerate(widths):
            sheet.set_column(column, column, min(width, _WIDEST) + 2)
        sheet.freeze_panes(1, 0)
    return content.getvalue()


def _write(sheet: Any, row: int, column: int, value: Cell) -> None:
    if isinstance(value, str):
        sheet.write_string(row, column, value[:_LONGEST])
    elif value is not None:
        sheet.write_number(row, column, value)


def _sheet_name(name: str) -> str:
    """At most 31 characters, without those that a sheet's name may not have."""
    clean = "".join(" " if char in "[]:*?/\\'" else char for char in name).strip()
    return clean[:31].strip() or "Lines"
