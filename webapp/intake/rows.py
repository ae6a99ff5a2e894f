"""What kind of row each row of a table is: a line, a heading, a footer, a repeated header, a continuation."""

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum, auto

from webapp.intake.alternates import says_alternate
from webapp.intake.columns import ColumnPlan
from webapp.intake.content import begins_footer
from webapp.intake.designators import (
    NONE,
    Designators,
    is_phrase,
    looks_like_designator,
    parse_designators,
    plain_list,
    prefix_of,
)
from webapp.intake.quantity import parse_quantity
from webapp.intake.sides import side_named
from webapp.intake.spilled import MoreRefdes
from webapp.intake.tables import Table, is_repeat
from webapp.intake.unfitted import is_not_fitted_word, says_not_fitted
from webapp.trade.bom import Field, Skip

TEXT_LENGTH = 120
_RULE = re.compile(r"[\s\-_=─—*.+|:]+")
_AROUND_MARKS = "()[]{}.:*†‡§#"  # of a footnote: "1)", "[2]", "*"
_RULE_SIGNS = frozenset(" \t\r\n-_=─—*.+|:")
_PAGE = re.compile(r"(?:page|seite|стр\.?|página|pagina)\s*:?\s*\d+(?:\s*(?:of|von|de|di|из|/)\s*\d+)?", re.IGNORECASE)
_ALWAYS = 0.9  # share of the rows with designators that fill a column which every line fills
_LEAST_ALWAYS = 2
_SAMPLE_ROWS = 400


class Kind(Enum):
    """Kinds of rows. LOOSE: a part without designators. CONTINUED: more designators of the line above."""

    LINE = auto()
    LOOSE = auto()
    CONTINUED = auto()
    HEADING = auto()
    SKIPPED = auto()


# Every look at a member of an enumeration costs as much as a small step of the work on a row.
_LINE, _LOOSE, _CONTINUED, _HEADING, _SKIPPED = Kind
_REFDES, _QTY, _MPN, _VALUE, _DESCRIPTION = map(Field, ("refdes", "qty", "mpn", "value", "description"))


@dataclass(slots=True)
class RawRow:
    """One row with its cells by field (trimmed text, "" for none) and what it was taken for.

    ``out``: designators from a column that lists those not fitted. ``side``: the side that the column of all its
    designators is named after.
    """

    number: int
    kind: Kind
    cells: Sequence[str]
    by_field: dict[Field, str] = field(default_factory=dict)
    qty: float | None = None
    designators: Designators = NONE
    reason: str = ""
    out: tuple[str, ...] = ()
    side: str | None = None

    def text(self) -> str:
        """All that the row says."""
        return " ".join(" ".join(cell.split()) for cell in self.cells if cell and not cell.isspace())

    def skip(self) -> Skip:
        """The row as passed over."""
        return Skip(self.number, self.reason, self.text()[:TEXT_LENGTH])


class RowSorter:
    """Sorts the rows of one table; keeps the line above, for continuations.

    ``covered``: of cells merged over several rows, the columns (0-based) by row (1-based) that a cell above covers.
    """

    def __init__(
        self,
        rows: Sequence[Sequence[str]],
        table: Table,
        plan: ColumnPlan,
        decimal: str,
        covered: Mapping[int, Collection[int]],
    ) -> None:
        self._header = table.header
        self._header_start = next((name.lower() for name in table.header if name), None)
        self._positions = {f: position for f in Field if (position := plan.position(f)) is not None}
        self._fields = tuple(self._positions)
        self._at = tuple(self._positions.values())
        self._beside = frozenset((*plan.fittings, *plan.remarks))
        self._more = plan.more_refdes
        self._side = side_named(plan.column_label(_REFDES) or "")
        self._decimal = decimal
        self._covered = covered
        self._always = self._filled_always(rows[table.first_row - 1 : table.last_row])
        self._above: RawRow | None = None

    def sort(self, number: int, cells: Sequence[str]) -> RawRow:
        """The row ``cells`` at 1-based row ``number``, sorted. Call in the order of the rows."""
        row = self._sort(number, cells)
        if row.kind in (_LINE, _LOOSE):
            self._above = row
        elif row.kind is not _CONTINUED:
            self._above = None
        elif self._above is not None:
            self._above.designators = Designators((*self._above.designators.names, *row.designators.names))
            self._above.by_field[_REFDES] = row.by_field[_REFDES]
        return row

    def _plain_line(self, number: int, cells: Sequence[str]) -> RawRow | None:
        """A row that is a line beyond doubt, as most are: designators in a plain list beside a part number or value."""
        if self._more or self._covered or not cells:
            return None
        width = len(cells)
        texts = [cells[at].strip() if at < width else "" for at in self._at]
        by_field = dict(zip(self._fields, texts, strict=True))
        designators = plain_list(by_field.get(_REFDES, ""))
        first = cells[0] or next(filter(None, cells), "")
        if designators is None or not (by_field.get(_MPN) or by_field.get(_VALUE)):
            return None
        if first.rstrip().endswith(":") or begins_footer(first):
            return None
        qty = parse_quantity(by_field.get(_QTY, ""), self._decimal)
        return RawRow(number, _LINE, cells, by_field, qty, designators)

    def _sort(self, number: int, cells: Sequence[str]) -> RawRow:
        plain = self._plain_line(number, cells)
        if plain is not None:
            return plain
        filled = [cell for cell in cells if cell and not cell.isspace()]
        if not filled:
            return RawRow(number, _SKIPPED, cells, reason="blank")
        first = filled[0]
        if self._is_header(first, cells):
            return RawRow(number, _SKIPPED, cells, reason="header")
        if first[0] in _RULE_SIGNS and _is_rule(filled):
            return RawRow(number, _SKIPPED, cells, reason="rule")
        width = len(cells)
        texts = [cells[at].strip() if at < width else "" for at in self._at]
        row = RawRow(number, _LINE, cells, dict(zip(self._fields, texts, strict=True)))
        row.qty = parse_quantity(row.by_field.get(_QTY, ""), self._decimal)
        if self._covered and number in self._covered:
            self._fill(row, self._covered[number])
        if self._more:
            row.out, row.side = self._gather(row)
        if len(filled) == 1 or (first == filled[-1] and len(set(filled)) == 1):
            return self._single(row, first.strip())
        return self._several(row, first.strip())

    def _filled_always(self, rows: Sequence[Sequence[str]]) -> tuple[int, ...]:
        """Columns that (nearly) every row with designators fills."""
        refdes = self._positions.get(_REFDES)
        if refdes is None:
            return ()
        rows = rows[:: max(1, len(rows) // _SAMPLE_ROWS)]
        named = [row for row in rows if refdes < len(row) and row[refdes].strip() and sum(map(bool, row)) > 1]
        width = max(map(len, named), default=0)
        counts = {
            i: sum(1 for row in named if i < len(row) and row[i] and not row[i].isspace())
            for i in range(width)
            if i != refdes
        }
        return tuple(i for i, count in counts.items() if count >= _ALWAYS * len(named))

    def _is_header(self, first: str, cells: Sequence[str]) -> bool:
        return (
            self._header_start is not None
            and first.strip().lower() == self._header_start
            and is_repeat(cells, self._header)
        )

    def _fill(self, row: RawRow, covered: Collection[int]) -> None:
        """Give the row what a cell merged from above says of it too; its designators and quantity are its own."""
        above = self._above
        if above is None:
            return
        for f in self._fields:
            if f not in (_REFDES, _QTY) and self._positions[f] in covered and not row.by_field[f]:
                row.by_field[f] = above.by_field.get(f, "")
        cells = [*row.cells, *[""] * (len(above.cells) - len(row.cells))]
        for at in self._beside.intersection(covered):
            if at < len(above.cells):
                cells[at] = cells[at] or above.cells[at]
        row.cells = cells

    def _gather(self, row: RawRow) -> tuple[tuple[str, ...], str | None]:
        """Put the designators of further columns beside those of the first; the ones not fitted, and the one side."""
        own = row.by_field.get(_REFDES, "")
        first = MoreRefdes(self._positions[_REFDES], self._side) if own else None
        texts = [own] if own else []
        used = [first] if first else []
        out: list[str] = []
        for more in self._more:
            text = row.cells[more.position].strip() if more.position < len(row.cells) else ""
            if text:
                texts.append(text)
                used.append(more)
                out += parse_designators(text).names if more.is_out else ()
        row.by_field[_REFDES] = ", ".join(texts)
        return tuple(out), used[0].side if len(used) == 1 else None

    def _single(self, row: RawRow, text: str) -> RawRow:
        """A row of one text: a heading or note, unless it is designators of the line above or of its own."""
        in_refdes = row.by_field.get(_REFDES, "")
        if not in_refdes or is_phrase(in_refdes) or says_not_fitted(text) or begins_footer(text) or text.endswith(":"):
            row.kind, row.reason = _HEADING, "heading"
            return row
        row.designators = parse_designators(in_refdes)
        if not any(map(looks_like_designator, row.designators.names)):
            row.kind, row.reason = _HEADING, "heading"
        elif self._continues(row):
            row.kind, row.reason = _CONTINUED, "continued"
        return row

    def _continues(self, row: RawRow) -> bool:
        """Whether a row of designators alone goes on with the line above."""
        above = self._above
        if above is None or not above.designators.names or above.designators.is_phrase:
            return False
        if above.by_field.get(_REFDES, "").rstrip()[-1:] in {",", ";", "-", "、"}:
            return True
        if above.qty is not None:
            return above.qty > len(above.designators.names)
        covered = self._covered.get(row.number, ())
        if any(self._positions.get(f) in covered for f in (_MPN, _VALUE, _DESCRIPTION)):
            return True
        empty = all(at >= len(row.cells) or not row.cells[at].strip() for at in self._always)
        alike = prefix_of(row.designators.names[0]) == prefix_of(above.designators.names[-1])
        return empty and alike and len(self._always) >= _LEAST_ALWAYS

    def _several(self, row: RawRow, first: str) -> RawRow:
        get = row.by_field.get
        refdes = get(_REFDES, "")
        row.designators = NONE if says_alternate(refdes) else parse_designators(refdes, row.qty)
        number = get(_MPN, "")
        is_number = number not in ("", first) and not (refdes == first and number.isdecimal())  # "Total" beside a sum
        begins = first.endswith(":") or (begins_footer(first) and not is_number)
        if begins and not self._is_line_all_the_same(row, first):
            return _skipped(row, "footer")
        if row.designators.names and self._is_of_another_table(row):
            return _skipped(row, "note")
        if not row.designators.names and any(_PAGE.fullmatch(cell.strip()) for cell in row.cells):
            return _skipped(row, "footer")
        if row.designators.names and not row.designators.is_phrase:
            if not self._says_more(row) and self._continues(row):
                row.kind, row.reason = _CONTINUED, "continued"
            elif _is_word_with_count(row):
                row.kind, row.reason = _HEADING, "heading"
            elif _is_status(row):
                row.designators = NONE
            if row.designators.names:
                return row
        names_part = bool(get(_MPN)) or (row.qty is not None and bool(refdes or get(_VALUE) or get(_DESCRIPTION)))
        if not names_part:
            return _skipped(row, "note")
        row.kind = _LOOSE
        return row

    def _is_line_all_the_same(self, row: RawRow, first: str) -> bool:
        """Whether a row that begins as footers do ("Total ...", "Input:") is a line: it names designators, with their
        number beside them, or a value or part number where there are no quantities."""
        names, is_phrase = row.designators
        if is_phrase or not names or not all(map(looks_like_designator, names)):
            return False
        if _QTY in self._positions:
            return row.qty == len(names)
        return any(text not in ("", first) for f, text in row.by_field.items() if f in (_VALUE, _MPN, _DESCRIPTION))

    def _is_of_another_table(self, row: RawRow) -> bool:
        """Whether a row has numbers or letters for designators and words for a quantity: notes, a list of revisions."""
        if any(map(looks_like_designator, row.designators.names)):
            return False
        marks = [name.strip(_AROUND_MARKS) for name in row.designators.names]
        if all(mark.isdigit() or not mark for mark in marks):
            return not row.by_field.get(_MPN)
        said = row.by_field.get(_QTY, "")
        return bool(said) and row.qty is None and not row.by_field.get(_MPN) and not is_not_fitted_word(said)

    def _says_more(self, row: RawRow) -> bool:
        """Whether a field of the row says something of its own besides designators."""
        covered = self._covered.get(row.number, ()) if self._covered else ()
        return any(text for f, text in row.by_field.items() if f not in _TRAILING and self._positions[f] not in covered)


# Fields that may stand in the second printed row of a line whose designators go on there.
_TRAILING = frozenset({_REFDES, _DESCRIPTION})


def _is_rule(filled: Sequence[str]) -> bool:
    return all(map(_RULE.fullmatch, filled)) and any(len(cell.strip()) > 1 for cell in filled)


def _is_word_with_count(row: RawRow) -> bool:
    """Whether a row is "Capacitors" or "DNP" and their number: a heading over a group, no part."""
    (name, *more) = row.designators.names
    others = (f for f, text in row.by_field.items() if text and f not in (_REFDES, _QTY))
    is_word = name.isalpha() and len(name) > 2 and (not name.isupper() or says_not_fitted(name))
    return not more and is_word and next(others, None) is None


def _is_status(row: RawRow) -> bool:
    """Whether "DNP" stands in the place of designators."""
    return says_not_fitted(row.by_field[_REFDES]) and not any(map(looks_like_designator, row.designators.names))


def _skipped(row: RawRow, reason: str) -> RawRow:
    row.kind, row.reason = _SKIPPED, reason
    return row
