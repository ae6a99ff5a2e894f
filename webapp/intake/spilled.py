"""Designators in more than one column: top and bottom apart, those not fitted apart, a list spilled over cells, or the
letters in one column and the numbers in the next."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from webapp.intake.content import fitness, has_common_letters
from webapp.intake.designators import looks_like_designator, parse_designators, plain_text, prefix_of
from webapp.intake.grid import Row
from webapp.intake.names import LIKELY
from webapp.intake.sides import side_named
from webapp.intake.unfitted import says_not_fitted
from webapp.intake.variants import FoundColumns
from webapp.trade.bom import Field

_ALL_DESIGNATORS = 0.8
_LETTERS = re.compile(r"[A-Z]{1,3}")
_NUMBERS = re.compile(r"\d{1,4}(?:\s*(?:[,;/&+]|-|–|\.{2,3})\s*\d{1,4})*")
_LEAST_HALVES = 3
_HALVES = 0.8  # of the rows with something in either column
_SHARED = 0.1  # share of designators that the first column may hold as well


@dataclass(frozen=True, slots=True)
class MoreRefdes:
    """A further column of designators: its 0-based position, the side its name gives, whether it lists those not
    fitted."""

    position: int
    side: str | None = None
    is_out: bool = False


def more_refdes(
    columns: FoundColumns,
    samples: Sequence[Sequence[str]],
    first: int,
    listed: Sequence[tuple[str, ...]],
    taken: set[int],
) -> tuple[MoreRefdes, ...]:
    """Columns beside ``first`` that hold other designators than it does; ``listed`` are its names row by row."""
    known = {name for names in listed for name in names}
    found: list[MoreRefdes] = []
    for i, name in enumerate(columns.names):
        is_out = says_not_fitted(name)
        if i == first or (i in taken and not is_out) or not samples[i]:
            continue
        weight = columns.meanings[i].weights.get(Field.REFDES, 0.0)
        is_next = not name.strip() and i == first + 1 + len(found)
        if not (weight >= LIKELY or is_out or is_next) or fitness(Field.REFDES, samples[i]) <= _ALL_DESIGNATORS:
            continue
        others = {name for cell in columns.cells[i] for name in parse_designators(cell).names}
        if len(others & known) <= _SHARED * len(others):
            found.append(MoreRefdes(i, side_named(name), is_out))
            known |= others
    return tuple(found)


def mend_row(row: Row, width: int, at: int) -> Row:
    """The row with a list of designators put back into the cell ``at`` where it was written without quotation marks:
    "R1,R2,R3,3,10k" under three names. ``width`` is the number of columns named."""
    filled = len(row)
    while filled > width and not row[filled - 1].strip():
        filled -= 1
    extra = filled - width
    if extra <= 0 or at + extra >= filled:
        return row
    spilled = [plain_text(cell).strip(" \"'") for cell in row[at : at + extra + 1]]
    if not all(map(looks_like_designator, spilled)) or len({prefix_of(name) for name in spilled}) > 1:
        return row
    return [*row[:at], ", ".join(spilled), *row[at + extra + 1 :]]


def with_letters(rows: Sequence[Row]) -> list[Row] | None:
    """The rows with the letters and the numbers of designators put together in the column of the letters ("R" beside
    "1, 2" is "R1, 2"); None where no two columns side by side hold them, or more than two do."""
    width = max(map(len, rows), default=0)
    found = [at for at in range(width - 1) if _are_halves(rows, at)]
    if len(found) != 1:
        return None
    at = found[0]
    return [
        [*row[:at], row[at].strip() + row[at + 1].strip(), "", *row[at + 2 :]] if _is_half(row, at) else row
        for row in rows
    ]


def _are_halves(rows: Sequence[Row], at: int) -> bool:
    filled = [row for row in rows if at + 1 < len(row) and row[at].strip() and row[at + 1].strip()]
    letters = [row[at].strip() for row in filled if _is_half(row, at)]
    names = [letters + row[at + 1] for letters, row in zip(letters, filled, strict=False)]
    return (
        len(letters) >= _LEAST_HALVES
        and len(letters) >= _HALVES * len(filled)
        and has_common_letters(letters)
        and len(set(names)) == len(names)
    )


def _is_half(row: Row, at: int) -> bool:
    if at + 1 >= len(row):
        return False
    return bool(_LETTERS.fullmatch(row[at].strip()) and _NUMBERS.fullmatch(row[at + 1].strip()))
