"""What kind of row each row of a table is: a line, a heading, a footer, a repeated header, a continuation."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum, auto

from webapp.intake.columns import ColumnPlan
from webapp.intake.designators import NONE, Designators, is_phrase, looks_like_designator, parse_designators
from webapp.intake.fitted import says_not_fitted
from webapp.intake.quantity import parse_quantity
from webapp.intake.tables import Table, is_repeat
from webapp.trade.bom import Field, Skip

TEXT_LENGTH = 120
_RULE = re.compile(r"[\s\-_=─—*.+|]+")
_FOOTER = re.compile(
    r"\s*(?:(?:grand\s*)?total|sub-?total|sum|summe|gesamt|component (?:count|groups)|fitted components"
    r"|number of (?:pcbs|parts)|approved|checked|drawn|prepared|issued|revision|rev\b|date\b|page\b|notes?\b|legend"
    r"|итого|всего|合计|总计|小计|合計|備考|end of)",
    re.IGNORECASE,
)


class Kind(Enum):
    """Kinds of rows. LOOSE: a part without designators. CONTINUED: more designators of the line above."""

    LINE = auto()
    LOOSE = auto()
    CONTINUED = auto()
    HEADING = auto()
    SKIPPED = auto()


@dataclass(slots=True)
class RawRow:
    """One row with its cells by field (trimmed text, "" for none) and what it was taken for."""

    number: int
    kind: Kind
    cells: Sequence[str]
    by_field: dict[Field, str] = field(default_factory=dict)
    qty: float | None = None
    designators: Designators = NONE
    reason: str = ""

    def text(self) -> str:
        """All that the row says."""
        return " ".join(" ".join(cell.split()) for cell in self.cells if cell and not cell.isspace())

    def skip(self) -> Skip:
        """The row as passed over."""
        return Skip(self.number, self.reason, self.text()[:TEXT_LENGTH])


class RowSorter:
    """Sorts the rows of one table; keeps the line above, for continuations."""

    def __init__(self, table: Table, plan: ColumnPlan, decimal: str) -> None:
        self._header = table.header
        self._header_start = next((name.lower() for name in table.header if name), None)
        self._positions = [(f, position) for f in Field if (position := plan.position(f)) is not None]
        self._decimal = decimal
        self._above: RawRow | None = None

    def sort(self, number: int, cells: Sequence[str]) -> RawRow:
        """The row ``cells`` at 1-based row ``number``, sorted. Call in the order of the rows."""
        row = self._sort(number, cells)
        if row.kind in (Kind.LINE, Kind.LOOSE):
            self._above = row
        elif row.kind is not Kind.CONTINUED:
            self._above = None
        return row

    def _sort(self, number: int, cells: Sequence[str]) -> RawRow:
        filled = [cell for cell in cells if cell and not cell.isspace()]
        if not filled:
            return RawRow(number, Kind.SKIPPED, cells, reason="blank")
        if self._is_header(filled[0], cells):
            return RawRow(number, Kind.SKIPPED, cells, reason="header")
        if all(_RULE.fullmatch(cell) for cell in filled) and any(len(cell.strip()) > 1 for cell in filled):
            return RawRow(number, Kind.SKIPPED, cells, reason="rule")
        width = len(cells)
        by_field = {f: cells[at].strip() if at < width else "" for f, at in self._positions}
        qty = parse_quantity(by_field.get(Field.QTY, ""), self._decimal)
        row = RawRow(number, Kind.LINE, cells, by_field, qty)
        if len(filled) == 1 or (filled[0] == filled[-1] and len(set(filled)) == 1):
            return self._single(row, filled[0].strip())
        return self._several(row, filled[0].strip())

    def _is_header(self, first: str, cells: Sequence[str]) -> bool:
        return (
            self._header_start is not None
            and first.strip().lower() == self._header_start
            and is_repeat(cells, self._header)
        )

    def _single(self, row: RawRow, text: str) -> RawRow:
        """A row of one text: a heading or note, unless it is designators of the line above or of its own."""
        in_refdes = row.by_field.get(Field.REFDES, "")
        if not in_refdes or is_phrase(in_refdes) or says_not_fitted(text) or _FOOTER.match(text) or text.endswith(":"):
            row.kind, row.reason = Kind.HEADING, "heading"
            return row
        row.designators = parse_designators(in_refdes)
        if not any(looks_like_designator(name) for name in row.designators.names):
            row.kind, row.reason = Kind.HEADING, "heading"
        elif self._continues():
            row.kind, row.reason = Kind.CONTINUED, "continued"
        return row

    def _continues(self) -> bool:
        above = self._above
        if above is None or not above.designators.names or above.designators.is_phrase:
            return False
        open_end = above.by_field.get(Field.REFDES, "").rstrip()[-1:] in {",", ";", "-", "、"}
        return open_end or (above.qty is not None and above.qty > len(above.designators.names))

    def _several(self, row: RawRow, first: str) -> RawRow:
        get = row.by_field.get
        refdes = get(Field.REFDES, "")
        if first.endswith(":") or (_FOOTER.match(first) and not get(Field.MPN)):
            return _skipped(row, "footer")
        row.designators = parse_designators(refdes, row.qty)
        if row.designators.names and not row.designators.is_phrase:
            if not any(text for f, text in row.by_field.items() if f not in _TRAILING) and self._continues():
                row.kind, row.reason = Kind.CONTINUED, "continued"
            return row
        names_part = bool(get(Field.MPN)) or (
            row.qty is not None and bool(refdes or get(Field.VALUE) or get(Field.DESCRIPTION))
        )
        if not names_part:
            return _skipped(row, "note")
        row.kind = Kind.LOOSE
        return row


# Fields that may stand in the second printed row of a line whose designators go on there.
_TRAILING = frozenset({Field.REFDES, Field.DESCRIPTION})


def _skipped(row: RawRow, reason: str) -> RawRow:
    row.kind, row.reason = Kind.SKIPPED, reason
    return row
