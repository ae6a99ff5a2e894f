"""Where the table stands in a sheet: its header row, and where a second table with its own header begins."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from webapp.intake.designators import looks_like_designator
from webapp.intake.names import fold, meaning, meaning_under
from webapp.intake.variants import speaks_of_variants
from webapp.trade.bom import Field

SEARCHED_ROWS = 120
_FURTHEST_ROW = 5_000
_PIECES = re.compile(r"(\d{1,7})\+?")
_DIGIT = re.compile(r"\d")
_LONG_CELL = 60
_ENOUGH = 0.45  # of the best score: an earlier row that good is the header, if designators stand below it
_NAMES_A_DATUM, _SURELY = 3, 5  # known names that a header has for each cell that looks like data; enough for any
_LEAST_BREAKS, _FIRST_BREAK = 2, 10  # prices for 1 and 100, at least; the first for no more than ten pieces
_SECOND_SCORE, _SURE_SCORE = 1.5, 2.5  # of a second header, after a break in the table and without one
_ALIKE = 0.7  # share of equal names that makes a row a repeat of the header


@dataclass(frozen=True, slots=True)
class Table:
    """A stretch of a sheet with one header. Rows are 1-based; ``header_row`` None means that there is none.

    ``groups`` are the names over groups of columns in the row above the header ("Manufacturer" over "Name" and
    "Number"), one a column; empty without such a row.
    """

    header_row: int | None
    header: tuple[str, ...]
    first_row: int
    last_row: int
    groups: tuple[str, ...] = ()


def find_tables(rows: Sequence[Sequence[str]], header_row: int | None = None) -> list[Table]:
    """The tables of a sheet, in order; always at least one.

    ``header_row`` is a person's choice: a 1-based row, or 0 for "no header".
    """
    if header_row is None:
        header_row = find_header(rows)
    if not header_row or header_row > len(rows):
        return [Table(None, (), 1, len(rows))]
    starts = [header_row, *_further_headers(rows, header_row)]
    ends = [*(start - 1 for start in starts[1:]), len(rows)]
    return [_table(rows, start, end) for start, end in zip(starts, ends, strict=True)]


def _table(rows: Sequence[Sequence[str]], start: int, end: int) -> Table:
    """The table below the header row ``start``, whose names may go on in the row below or begin in the row above."""
    header = [cell.strip() for cell in rows[start - 1]]
    below = [cell.strip() for cell in rows[start]] if start < end else []
    if _goes_on(header, below):
        names = tuple(_joined(over, under) for over, under in zip_longest(header, below, fillvalue=""))
        return Table(start, names, start + 2, end, _spread(header, len(names)))
    above = [cell.strip() for cell in rows[start - 2]] if start > 1 else []
    if sum(map(bool, above)) < 2 or any(map(_has_digit, above)):
        return Table(start, tuple(header), start + 1, end)
    names = tuple(under or over for over, under in zip_longest(above, header, fillvalue=""))
    return Table(start, names, start + 1, end, _spread(above, len(names)))


def _goes_on(header: Sequence[str], below: Sequence[str]) -> bool:
    """Whether the row below a header names columns that one text of the header stands over."""
    filled = [(i, cell) for i, cell in enumerate(below) if cell]
    if not filled or any(_has_digit(cell) for _, cell in filled) or is_repeat(below, header):
        return False
    groups = _spread(header, len(below))
    if len(filled) > 1 and all(i < len(header) and _is_known(header[i], cell) for i, cell in filled):
        return True
    named = all(meaning_under(groups[i], cell).known or speaks_of_variants(groups[i]) for i, cell in filled)
    return named and any(i >= len(header) or not header[i] for i, _ in filled)


def _is_known(over: str, under: str) -> bool:
    """Whether two texts one below the other make up a name: "Ref." over "Des.", "Mfr." over "Part No."."""
    return bool(over) and not meaning(under).weights.get(Field.QTY) and bool(meaning(f"{over} {under}").weights)


def _joined(over: str, under: str) -> str:
    """The name that a column has by two texts one below the other; the lower one where it is a name of its own."""
    if over and under and not meaning_under(over, under).weights and _is_known(over, under):
        return f"{over} {under}"
    return under or over


def _spread(cells: Sequence[str], width: int) -> tuple[str, ...]:
    """Each text again over the blank cells to its right, as merged cells stand over several columns."""
    spread: list[str] = []
    for i in range(width):
        cell = cells[i] if i < len(cells) else ""
        spread.append(cell or (spread[-1] if spread else ""))
    return tuple(spread)


def header_score(cells: Sequence[str]) -> float:
    """How much a row looks like the header of a BOM: one point a field named surely, less for doubtful names.

    0 unless at least two different things are named and the row holds no data; a few columns may be named by numbers
    (prices for 1, 10, 100) or by something like a designator.
    """
    filled = [cell.strip() for cell in cells if cell and not cell.isspace()]
    if len(filled) < 2 or sum(len(cell) > _LONG_CELL for cell in filled) > len(filled) / 3:
        return 0.0
    best: dict[Field, float] = {}
    known = data = 0
    for cell in filled[: len(filled) - _price_breaks(filled)]:
        found = meaning(cell)
        data += not found.known and (cell.replace(".", "").replace(",", "").isdigit() or looks_like_designator(cell))
        known += found.known
        for field, weight in found.weights.items():
            best[field] = max(best.get(field, 0.0), weight)
    if known < 2 or not best or known < 0.4 * len(set(filled)) or known < min(_NAMES_A_DATUM * data, _SURELY):
        return 0.0
    return sum(best.values()) * min(1.0, 0.4 + known / len(filled)) + 0.05 * known


def _price_breaks(filled: Sequence[str]) -> int:
    """How many of the last names are rising numbers of pieces, over prices: 1, 10, 100."""
    last = len(filled) + 1
    below = float("inf")
    count = 0
    while count < last - 2 and (found := _PIECES.fullmatch(filled[-1 - count])) and int(found[1]) < below:
        below = int(found[1])
        count += 1
    return count if count >= _LEAST_BREAKS and below <= _FIRST_BREAK else 0


def find_header(rows: Sequence[Sequence[str]]) -> int | None:
    """The 1-based row of the first header, None where there is none."""
    scores = [header_score(row) for row in rows[:SEARCHED_ROWS]]
    best = max(scores, default=0.0)
    if best <= 0.9:
        return _row_of_words(rows[:SEARCHED_ROWS]) or _far_header(rows)
    top = scores.index(best)
    for i, score in enumerate(scores[:top]):
        if score >= _ENOUGH * best and _names_designators(rows[i]) and _designators_in(rows[i + 1 : top]):
            return i + 1
    return top + 1


def _far_header(rows: Sequence[Sequence[str]]) -> int | None:
    """A header below a very long text: a row without digits that names designators and other things."""
    for number, row in enumerate(rows[SEARCHED_ROWS:_FURTHEST_ROW], start=SEARCHED_ROWS + 1):
        if len(row) - row.count("") > 2 and not any(map(_has_digit, row)) and header_score(row) > _SURE_SCORE:
            return number
    return None


def _designators_in(rows: Sequence[Sequence[str]]) -> bool:
    return any(looks_like_designator(token) for row in rows for cell in row for token in cell.split(",")[:2])


def _row_of_words(rows: Sequence[Sequence[str]]) -> int | None:
    """A header in words not known: a row without any digit right above the first designators, named over them too."""
    for i, row in enumerate(rows):
        at = next((j for j, cell in enumerate(row) if looks_like_designator(cell.strip().split(",")[0])), None)
        if at is None:
            continue
        above = rows[i - 1] if i else ()
        filled = [cell for cell in above if cell.strip()]
        is_header = len(filled) > 1 and at < len(above) and above[at].strip() and not any(map(_has_digit, filled))
        return i if is_header else None
    return None


def _has_digit(text: str) -> bool:
    return _DIGIT.search(text) is not None


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
        if len(cells) - cells.count("") - cells.count(" ") <= 1:
            fresh = True
            continue
        if not fresh and any(map(_has_digit, cells)):
            continue  # data, as nearly all rows are
        enough = _SECOND_SCORE if fresh else _SURE_SCORE
        if not fresh and number < header_row + 2:
            continue  # the names may go on in the row below
        if _names_designators(cells) and not is_repeat(cells, header) and header_score(cells) > enough:
            header = cells
            yield number
        fresh = False


def _names_designators(cells: Sequence[str]) -> bool:
    return any(Field.REFDES in meaning(cell.strip()).weights for cell in cells)
