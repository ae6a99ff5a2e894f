"""Where the table stands in a sheet: its header row, and where a second table with its own header begins."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from webapp.intake.designators import looks_like_designator
from webapp.intake.names import fold, meaning
from webapp.trade.bom import Field

SEARCHED_ROWS = 120
_LONG_CELL = 60
_ENOUGH = 0.45  # of the best score: an earlier row that good is the header, if designators stand below it
_ALIKE = 0.7  # share of equal names that makes a row a repeat of the header


@dataclass(frozen=True, slots=True)
class Table:
    """A stretch of a sheet with one header. Rows are 1-based; ``header_row`` None means that there is none."""

    header_row: int | None
    header: tuple[str, ...]
    first_row: int
    last_row: int


def find_tables(rows: Sequence[Sequence[str]], header_row: int | None = None) -> list[Table]:
    """The tables of a sheet, in order; always at least one.

    ``header_row`` is a person's choice: a 1-based row, or 0 for "no header".
    """
    if header_row is None:
        header_row = _find_header(rows)
    if not header_row or header_row > len(rows):
        return [Table(None, (), 1, len(rows))]
    starts = [header_row, *_further_headers(rows, header_row)]
    ends = [*(start - 1 for start in starts[1:]), len(rows)]
    return [
        Table(start, tuple(cell.strip() for cell in rows[start - 1]), start + 1, end)
        for start, end in zip(starts, ends, strict=True)
    ]


def header_score(cells: Sequence[str]) -> float:
    """How much a row looks like the header of a BOM: one point a field named surely, less for doubtful names.

    0 unless at least two different things are named and the row holds no data.
    """
    filled = [cell.strip() for cell in cells if cell and not cell.isspace()]
    if len(filled) < 2 or sum(len(cell) > _LONG_CELL for cell in filled) > len(filled) / 3:
        return 0.0
    best: dict[Field, float] = {}
    known = 0
    for cell in filled:
        found = meaning(cell)
        if not found.known and (cell.replace(".", "").replace(",", "").isdigit() or looks_like_designator(cell)):
            return 0.0
        known += found.known
        for field, weight in found.weights.items():
            best[field] = max(best.get(field, 0.0), weight)
    if known < 2 or not best or known < 0.4 * len(set(filled)):
        return 0.0
    return sum(best.values()) * min(1.0, 0.4 + known / len(filled)) + 0.05 * known


def _find_header(rows: Sequence[Sequence[str]]) -> int | None:
    scores = [header_score(row) for row in rows[:SEARCHED_ROWS]]
    best = max(scores, default=0.0)
    if best <= 0.9:
        return None
    top = scores.index(best)
    for i, score in enumerate(scores[:top]):
        if score >= _ENOUGH * best and _names_designators(rows[i]) and _designators_in(rows[i + 1 : top]):
            return i + 1
    return top + 1


def _designators_in(rows: Sequence[Sequence[str]]) -> bool:
    return any(looks_like_designator(token) for row in rows for cell in row for token in cell.split(",")[:2])


def is_repeat(cells: Sequence[str], header: Sequence[str]) -> bool:
    """Whether a row says the header again, as part lists printed page by page do."""
    names = [fold(name) for name in header]
    said = [fold(cell) if len(cell) <= _LONG_CELL else "-" for cell in cells]
    filled = [(name, cell) for name, cell in zip(names, said, strict=False) if name or cell]
    equal = sum(1 for name, cell in filled if name and name == cell)
    return equal >= 2 and equal >= _ALIKE * len(filled)


def _further_headers(rows: Sequence[Sequence[str]], header_row: int) -> Iterator[int]:
    """Rows that begin another table: a header of other columns, after a blank row or a heading."""
    header = rows[header_row - 1]
    fresh = False
    for number in range(header_row + 1, len(rows) + 1):
        cells = rows[number - 1]
        filled = sum(1 for cell in cells if cell and not cell.isspace())
        if filled <= 1:
            fresh = True
            continue
        if fresh and not is_repeat(cells, header) and header_score(cells) > 1.5 and _names_designators(cells):
            header = cells
            yield number
        fresh = False


def _names_designators(cells: Sequence[str]) -> bool:
    return any(Field.REFDES in meaning(cell.strip()).weights for cell in cells)
