"""Tables saved as HTML or as XML of 2003, often under the name xls: read as sheets of text cells."""

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from xml.parsers import expat

from webapp.errors import UnreadableFileError
from webapp.intake.grid import Row, Sheet
from webapp.intake.limits import Limits
from webapp.intake.reach import check_reach

_HTML = re.compile(
    r"\s*(?:<\?xml[^>]*>\s*)?(?:<!--.*?-->\s*)*<(?:!doctype\s+html|html|head|body|table|meta)\b", re.I | re.S
)
_XML = re.compile(r"\s*(?:<\?xml|<\w[\w:.-]*[\s>])")
_SPREADSHEET = "urn:schemas-microsoft-com:office:spreadsheet"


def read_markup(text: str, limits: Limits) -> tuple[Sheet, ...] | None:
    """The tables of an HTML page or an XML spreadsheet; None if the text is neither.

    Raises UnreadableFileError: not_a_table (HTML without a table, other XML), damaged (broken XML), and the limits.
    """
    head = text[:4_000]
    if _HTML.match(head):
        return _read_html(text, limits)
    if not _XML.match(head) or not head.lstrip().startswith("<"):
        return None
    if _SPREADSHEET in head:
        return _read_spreadsheet(text, limits)
    if head.lstrip().startswith("<?xml"):
        raise UnreadableFileError(
            "This is an XML file that holds no spreadsheet. Save the table as xlsx, xls, ods or csv and upload that.",
            code="not_a_table",
        )
    return None


@dataclass(slots=True)
class _Grid:
    """Tables as they grow; a cell may say in which column and row it stands (1-based)."""

    limits: Limits
    names: list[str] = field(default_factory=list)
    tables: list[list[Row]] = field(default_factory=list)
    covered: list[dict[int, set[int]]] = field(default_factory=list)

    def table(self, name: str) -> None:
        self.names.append(name)
        self.tables.append([])
        self.covered.append({})
        if len(self.tables) > self.limits.sheets:
            raise UnreadableFileError(
                f"The file has more than {self.limits.sheets} tables; more are not read.", code="too_many_sheets"
            )

    def row(self, number: int | None = None) -> None:
        if not self.tables:
            self.table("")
        rows = self.tables[-1]
        number = number if number and number > len(rows) else len(rows) + 1
        check_reach(number, 1, self.limits)
        rows.extend([] for _ in range(number - len(rows)))

    def cell(self, text: str, number: int | None = None, rows: int = 1) -> None:
        """Put a cell into the last row, where it goes over ``rows`` rows; the rows below keep its place free."""
        if not self.tables or not self.tables[-1]:
            self.row()
        row = self.tables[-1][-1]
        at = len(self.tables[-1])
        taken = self.covered[-1].get(at, ())
        while number is None and len(row) in taken:
            row.append("")
        number = number if number and number > len(row) else len(row) + 1
        check_reach(len(self.tables[-1]), number, self.limits)
        row.extend([""] * (number - 1 - len(row)))
        row.append(text)
        for below in range(at + 1, min(at + rows, self.limits.rows + 1)):
            self.covered[-1].setdefault(below, set()).add(number - 1)

    def sheets(self) -> tuple[Sheet, ...]:
        return tuple(
            Sheet(name, [row if any(row) else [] for row in rows], covered=covered)
            for name, rows, covered in zip(self.names, self.tables, self.covered, strict=True)
        )


class _TableReader(HTMLParser):
    """Cells of all tables; one inside another adds its text to the cell it stands in."""

    def __init__(self, limits: Limits) -> None:
        super().__init__(convert_charrefs=True)
        self.grid = _Grid(limits)
        self.depth = 0
        self.cell: list[str] | None = None
        self.columns = self.rows = 1

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "table":
            self.depth += 1
            if self.depth == 1:
                self.grid.table(f"Table {len(self.grid.tables) + 1}")
        elif tag == "br" and self.cell is not None:
            self.cell.append("\n")
        elif self.depth == 1 and tag == "tr":
            self.finish_cell()
            self.grid.row()
        elif self.depth == 1 and tag in ("td", "th"):
            self.finish_cell()
            self.cell = []
            self.columns, self.rows = (_span(dict(attrs).get(name) or "") for name in ("colspan", "rowspan"))

    def handle_endtag(self, tag: str) -> None:
        if tag == "table":
            self.finish_cell()
            self.depth = max(0, self.depth - 1)
        elif self.depth == 1 and tag in ("td", "th", "tr"):
            self.finish_cell()

    def handle_data(self, data: str) -> None:
        if self.cell is not None:
            self.cell.append(re.sub(r"[ \t\r\n\f]+", " ", data))

    def finish_cell(self) -> None:
        if self.cell is not None and self.depth == 1:
            self.grid.cell("".join(self.cell).strip(), rows=self.rows)
            for _ in range(self.columns - 1):
                self.grid.cell("", rows=self.rows)
            self.cell = None


def _span(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and 0 < len(text) < 5 and int(text) else 1


def _read_html(text: str, limits: Limits) -> tuple[Sheet, ...]:
    reader = _TableReader(limits)
    reader.feed(text)
    reader.close()
    if not any(any(rows) for rows in reader.grid.tables):
        raise UnreadableFileError(
            "This is a web page without a table. Save the table as xlsx, xls, ods or csv and upload that.",
            code="not_a_table",
        )
    return reader.grid.sheets()


class _SpreadsheetReader:
    """Handlers for an XML spreadsheet of 2003; declared entities are refused, so none can grow."""

    def __init__(self, limits: Limits) -> None:
        self.grid = _Grid(limits)
        self.data: list[str] | None = None
        self.index: int | None = None
        self.merged = (0, 0)  # cells to the right, rows down that the cell covers
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end
        self.parser.CharacterDataHandler = self.text
        self.parser.EntityDeclHandler = self.entity

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        name = tag.removeprefix(_SPREADSHEET + " ")
        found = attributes.get(f"{_SPREADSHEET} Index", "")
        index = int(found) if found.isascii() and found.isdigit() and len(found) < 9 else None
        if name == "Worksheet":
            self.grid.table(attributes.get(f"{_SPREADSHEET} Name", f"Sheet {len(self.grid.tables) + 1}"))
        elif name == "Row":
            self.grid.row(index)
        elif name == "Cell":
            self.index = index
            across, down = (attributes.get(f"{_SPREADSHEET} {key}", "0") for key in ("MergeAcross", "MergeDown"))
            self.merged = (_span(across) if across != "0" else 0, _span(down) if down != "0" else 0)
        elif name == "Data":
            self.data = []

    def end(self, tag: str) -> None:
        name = tag.removeprefix(_SPREADSHEET + " ")
        if name == "Cell":
            across, down = self.merged
            self.grid.cell("".join(self.data or ()), self.index, rows=down + 1)
            for _ in range(across):
                self.grid.cell("", rows=down + 1)
            self.data = None

    def text(self, data: str) -> None:
        if self.data is not None:
            self.data.append(data)

    def entity(self, *_: object) -> None:
        raise UnreadableFileError("The XML declares entities, which are not read.", code="not_a_table")


def _read_spreadsheet(text: str, limits: Limits) -> tuple[Sheet, ...]:
    reader = _SpreadsheetReader(limits)
    try:
        # The text is decoded already, so what its first line says of an encoding no longer holds.
        reader.parser.Parse(re.sub(r"^\s*<\?xml[^>]*\?>", "", text, count=1), True)
    except expat.ExpatError as broken:
        raise UnreadableFileError("The XML spreadsheet is damaged and cannot be read.", code="damaged") from broken
    return reader.grid.sheets()
