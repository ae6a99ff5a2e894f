"""Any uploaded file to a book of text cells: what it is, how it is encoded and cut, and what was odd about it.

Call it in a child process (webapp.intake.sandbox): a hostile workbook can abort the process that opens it.
"""

import re
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import PurePath

import msgspec

from webapp.errors import UnreadableFileError
from webapp.intake.decode import Decoded, decode
from webapp.intake.delimited import Cut, find_delimiter, lines_of, read_delimited, sep_line, unwrapped
from webapp.intake.fixedwidth import read_fixed
from webapp.intake.grid import Book, Note, Row, Sheet
from webapp.intake.limits import Limits
from webapp.intake.loose import read_pairs, read_words, told_in_full
from webapp.intake.markup import read_markup
from webapp.intake.reach import check_reach
from webapp.intake.signatures import container_of
from webapp.intake.tables import SEARCHED_ROWS, header_score
from webapp.intake.workbook import read_workbook

_DEFAULT = Limits()
_WORKBOOK_ENDINGS = {
    "xlsx": {".xlsx", ".xlsm", ".xltx"},
    "xlsb": {".xlsb"},
    "xls": {".xls", ".xlt"},
    "ods": {".ods", ".ots"},
}
_WORKBOOK_NAMES = set().union(*_WORKBOOK_ENDINGS.values())
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f\ufffe\uffff]")
_JUNK_SHARE = 0.02
_POINT = re.compile(r"[+-]?\d+\.\d+")
_COMMA = re.compile(r"[+-]?\d+,\d+")
_HINT_ROWS = 2_000


def read_book(
    content: bytes,
    filename: str,
    *,
    sheet: str | None = None,
    encoding: str | None = None,
    delimiter: str | None = None,
    limits: Limits = _DEFAULT,
) -> Book:
    """All tables of a file. ``sheet`` reads one sheet of a workbook only; ``encoding`` and ``delimiter`` are a person's
    choices for text and always win (delimiter "" means fixed-width columns).

    Raises UnreadableFileError with one of the codes empty_file, too_large, not_a_table, binary, damaged, protected,
    no_such_sheet, unknown_encoding, unpacks_too_large, too_many_parts / _sheets / _rows / _columns / _cells.
    """
    name = PurePath(filename).name
    if len(content) > limits.file_bytes:
        raise UnreadableFileError(
            f"The file has {len(content) / 2**20:,.0f} MiB; more than {limits.file_bytes // 2**20} MiB are not read.",
            code="too_large",
        )
    container = container_of(content)
    if container != "text":
        book = read_workbook(content, container, limits, sheet)
        notes = (*_ending_notes(name, book.kind), *book.notes)
        return Book(name, "workbook", tuple(map(_trimmed, book.sheets)), notes=notes)
    decoded = decode(content, encoding)
    text, notes = _cleaned(decoded)
    sheets = read_markup(text, limits)
    if sheets is not None:
        notes = (*notes, Note("markup", "The file holds its table as a web page or XML, whatever its name says."))
        return Book(name, "workbook", tuple(map(_trimmed, sheets)), decoded.encoding, notes=notes)
    if PurePath(name).suffix.lower() in _WORKBOOK_NAMES:
        notes = (
            *notes,
            Note("wrong_extension", "The file is named like a workbook but holds plain text; read as that."),
        )
    return _read_text(text, name, decoded.encoding, notes, delimiter, limits)


@dataclass(frozen=True, slots=True)
class BookChoices:
    """A person's choices as ``read_book`` takes them."""

    sheet: str | None = None
    encoding: str | None = None
    delimiter: str | None = None


def book_task(content: bytes, filename: str, options: bytes, limits: Limits) -> Book:
    """``read_book`` as a task of the child process; ``options`` is BookChoices as JSON, or null."""
    chosen = msgspec.json.decode(options, type=BookChoices | None) or BookChoices()
    return read_book(
        content,
        filename,
        sheet=chosen.sheet,
        encoding=chosen.encoding,
        delimiter=chosen.delimiter,
        limits=limits,
    )


def _read_text(
    text: str, name: str, encoding: str, notes: tuple[Note, ...], delimiter: str | None, limits: Limits
) -> Book:
    lines = unwrapped(lines_of(text))
    check_reach(_records_at_least(lines), 1, limits)
    named = sep_line(text)
    cut = find_delimiter(lines[1:] if named else lines)
    chosen = delimiter if delimiter is not None else named or (cut.delimiter if cut else "")
    is_chance = delimiter is None and not named and (cut is None or _may_be_chance(cut, lines))
    fixed = read_fixed(lines) if chosen == "" or is_chance else None
    told = told_in_full(lines) if fixed is None and is_chance and (cut is None or cut.width == 2) else None
    loose = _read_loose(lines) if fixed is None and is_chance else None
    if fixed is not None and (chosen == "" or _has_header(fixed) or (cut and cut.width == 2 < max(map(len, fixed)))):
        rows, kind, chosen = fixed, "fixed", ""
    elif loose is not None and (chosen == "" or _has_header(loose[0])):
        (rows, chosen), kind = loose, "fixed"
    elif told is not None:
        rows, kind, chosen = told, "fixed", ""
    elif chosen:
        table = read_delimited(lines, chosen)
        rows, kind, notes = table.rows, "csv", (*notes, *table.notes)
    else:
        rows, kind = [[stripped] if (stripped := line.rstrip("\r\n")) else [] for line in lines], "csv"
    if named and rows:
        rows[0] = []
    sheet = _trimmed(Sheet("", rows))
    check_reach(len(sheet.rows), max(map(len, sheet.rows), default=0), limits)
    return Book(
        name,
        "fixed" if kind == "fixed" else "csv",
        (sheet,),
        encoding,
        chosen or None,
        _decimal_hint(sheet.rows),
        notes,
    )


def _read_loose(lines: list[str]) -> tuple[list[Row], str] | None:
    """Rows of a text that none of the usual separators cuts, and the separator ("" for blanks); None if nothing does.

    Colons and single blanks stand in any text, so they count only below a line that names columns.
    """
    pairs = read_pairs(lines)
    if pairs is not None:
        return pairs, ""
    colons = read_delimited(lines, ":").rows
    if _has_header(colons):
        return colons, ":"
    words = read_words(lines)
    return (words, "") if words is not None and _has_header(words) else None


def _may_be_chance(cut: Cut, lines: list[str]) -> bool:
    """Whether columns aligned by blanks should be looked for as well: two columns may be a comma in every description,
    and signs that cut no header may all stand in lists of designators."""
    return cut.width == 2 or not _has_header(read_delimited(lines[:SEARCHED_ROWS], cut.delimiter).rows)


def _has_header(rows: list[Row]) -> bool:
    return any(map(header_score, rows[:SEARCHED_ROWS]))


def _records_at_least(lines: list[str]) -> int:
    """Lines without a quote are records of their own, nearly always; they bound the work before it is done."""
    return sum('"' not in line for line in lines)


def _cleaned(decoded: Decoded) -> tuple[str, tuple[Note, ...]]:
    """Text without NUL characters and the old end-of-file sign. Raises UnreadableFileError (binary) for junk."""
    text = decoded.text.rstrip("\x1a\x00")
    odd = len(_CONTROL.findall(text))
    if odd > _JUNK_SHARE * len(text) and odd > 1:
        raise UnreadableFileError(
            "The file is neither text nor a workbook of a known kind. "
            "Save the table as xlsx, xls, ods or csv and upload that.",
            code="binary",
        )
    if not text.strip():
        raise UnreadableFileError("The file is empty.", code="empty_file")
    if "\x00" not in text:
        return text, decoded.notes
    message = f"Null characters in the text: {text.count(chr(0)):,}. They were dropped."
    return text.replace("\x00", ""), (*decoded.notes, Note("null_characters", message))


def _ending_notes(name: str, kind: str) -> tuple[Note, ...]:
    ending = PurePath(name).suffix.lower()
    if not ending or ending in _WORKBOOK_ENDINGS[kind]:
        return ()
    return (Note("wrong_extension", f"The file is named {ending} but is a workbook ({kind}); it was read as that."),)


def _trimmed(sheet: Sheet) -> Sheet:
    """The sheet without the blank rows after its last filled one."""
    count = len(sheet.rows)
    while count and not any(map(str.strip, sheet.rows[count - 1])):
        count -= 1
    return replace(sheet, rows=sheet.rows[:count], values=sheet.values[:count])


def _decimal_hint(rows: list[Row]) -> str | None:
    """Which sign the numbers use, by majority over the cells that are numbers."""
    cells = [cell.strip() for row in islice(rows, _HINT_ROWS) for cell in row if "." in cell or "," in cell]
    points = sum(bool(_POINT.fullmatch(cell)) for cell in cells)
    commas = sum(bool(_COMMA.fullmatch(cell)) for cell in cells)
    if points == commas:
        return None
    return "." if points > commas else ","
