"""Two parts lists side by side on one sheet: each becomes a sheet of its own, so that none is lost."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from webapp.intake.columns import letter
from webapp.intake.content import fitness_as_named, spread
from webapp.intake.designators import parse_designators
from webapp.intake.grid import Row, Sheet
from webapp.intake.names import LIKELY, fold, meaning
from webapp.intake.tables import find_header
from webapp.trade.bom import Field

_DESIGNATORS = 0.8
_SHARED = 0.1  # of the designators: with more in common the second list is about the first
_OF_PARTS = frozenset({Field.QTY, Field.VALUE, Field.MPN, Field.MANUFACTURER, Field.DESCRIPTION, Field.PACKAGE})


def parted(sheet: Sheet) -> list[Sheet]:
    """The sheet, or its lists side by side from left to right, each in its own columns of the same rows."""
    at = find_header(sheet.rows)
    header = [cell.strip() for cell in sheet.rows[at - 1]] if at else []
    start = next(_starts(header, sheet.rows), None) if at else None
    if not at or start is None:
        return [sheet]
    body = sheet.rows[at:]
    first, second = _names(header[:start], body, 0), _names(header[start:], body, start)
    if not first or not second or len(first & second) > _SHARED * min(len(first), len(second)):
        return [sheet]
    left = replace(sheet, name=_named(sheet, 0, start), rows=[row[:start] for row in sheet.rows])
    right = replace(sheet, name=_named(sheet, start, len(header)), rows=[_blanked(row, start) for row in sheet.rows])
    return [left, *parted(right)]


def _starts(header: Sequence[str], rows: Sequence[Row]) -> Iterator[int]:
    """Columns where a second list may begin: behind an empty column, or where the first names come again."""
    plain = list(map(fold, header))
    begin = next((i for i, name in enumerate(plain) if name), 0)
    for i in range(begin + 1, len(plain)):
        again = plain[i : i + 2] == plain[begin : begin + 2] and plain[i] and i > begin + 1
        apart = plain[i] and not plain[i - 1] and not any(i - 1 < len(row) and row[i - 1].strip() for row in rows)
        if again or apart:
            yield i


def _names(header: Sequence[str], body: Sequence[Row], start: int) -> set[str]:
    """The designators of the list with this header, whose first column is ``start``; none where it is no parts list."""
    weights = [meaning(name).weights for name in header]
    named = [i for i, known in enumerate(weights) if known.get(Field.REFDES, 0.0) > 0]
    for i in sorted(named, key=lambda i: -weights[i][Field.REFDES]):
        cells = [row[start + i] for row in body if start + i < len(row) and row[start + i].strip()]
        others = {field for j, known in enumerate(weights) if j != i for field in known if known[field] >= LIKELY}
        if others & _OF_PARTS and fitness_as_named(spread(cells)) > _DESIGNATORS:
            return {name for cell in cells for name in parse_designators(cell).names}
    return set()


def _named(sheet: Sheet, first: int, end: int) -> str:
    columns = f"columns {letter(first)} to {letter(end - 1)}"
    return f"{sheet.name}, {columns}" if sheet.name else columns


def _blanked(row: Row, start: int) -> Row:
    return [*[""] * start, *row[start:]] if len(row) > start else []
