"""Columns that say whether a part is on the board: "Fitted", "DNP", ticks, quantities of a variant, lists of names."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from webapp.intake.designators import looks_like_designator, parse_designators
from webapp.intake.names import fold
from webapp.intake.unfitted import is_not_fitted_word, says_not_fitted

_YES = frozenset("yes y 1 true x ja oui si sí sim да д 是 ○ 〇 ● • + 有 ✓ ✔ ☑ v ok j √ 1.0 on t tak ano".split())
_NO = frozenset("no n 0 false nein non nao não нет н 否 × ✗ ✘ ☐ 無 なし nope 0.0 off not none f nie ne - –".split())
_MARKS = frozenset("x ✓ ✔ ☑ v √ ● • ○ 〇 1 * +".split())
_ALL = frozenset("all alle tous todos tutti все 全部".split())
_LEAST_TICKED = 0.4
_BROKEN_NUMBER = re.compile(r"\d*[.,]\d*[1-9]\d*")


@dataclass(frozen=True, slots=True)
class Said:
    """What one cell says: ``fitted`` of the whole row (None: nothing), or that only the designators ``out`` are not."""

    fitted: bool | None = None
    out: tuple[str, ...] = ()


NOTHING = Said()


class FittedColumn:
    """The sense of one such column, told from its name and all its cells.

    ``yes_is_fitted`` tells the sense of a tick where the name alone does not; ``counts``: the cells are quantities.
    """

    def __init__(self, header: str, cells: Iterable[str], *, yes_is_fitted: bool, counts: bool = False) -> None:
        plain = fold(header)
        self._negative = says_not_fitted(plain) or is_not_fitted_word(plain) or "exclude" in plain
        self._positive = yes_is_fitted and not self._negative
        values = [cell.strip().lower() for cell in cells]
        filled = [value for value in values if value]
        # A column of ticks only: what is not ticked is not fitted, if enough is ticked for that to be meant.
        ticks_only = bool(filled) and all(value in _MARKS for value in filled)
        enough = _LEAST_TICKED * len(values) <= len(filled) < len(values)
        self._blank_is_out = counts or (self._positive and ticks_only and enough)
        # "n", "-" and "0" against "y", "x" and "1": a dash says "no" only where the column says "yes" in other cells.
        self._has_yes = any(value in _YES for value in filled)
        # Broken numbers are loads, rates or prices: noughts and ones beside them say nothing either.
        self._is_measure = any(map(_BROKEN_NUMBER.fullmatch, filled))
        # "f" beside "nf" is "fitted", beside "t" it is "false".
        self._f_is_fitted = "f" in filled and "t" not in filled

    def says(self, cell: str, names: Sequence[str] = ()) -> Said:
        """What ``cell`` says of a row with the designators ``names``."""
        plain = cell.strip().lower()
        if not plain:
            return Said(fitted=False) if self._blank_is_out else NOTHING
        if self._is_measure and plain[0].isdigit():
            return NOTHING
        if plain in _ALL or (len(names) > 1 and plain == str(len(names))):
            return self._sense(yes=True)
        if plain == "f" and self._f_is_fitted:
            return Said(fitted=True)
        if is_not_fitted_word(plain):
            return Said(fitted=False)
        if plain in _YES:
            return self._sense(yes=True)
        if plain in _NO:
            return self._sense(yes=False) if plain not in "-–" or self._has_yes else NOTHING
        return self._listed(cell, names)

    def _sense(self, *, yes: bool) -> Said:
        return Said(fitted=yes is self._positive) if self._positive or self._negative else NOTHING

    def _listed(self, cell: str, names: Sequence[str]) -> Said:
        """A cell that lists some of the row's designators: those not fitted, or those fitted."""
        if not names or not (self._positive or self._negative):
            return NOTHING
        found = parse_designators(cell).names
        listed = {name.upper() for name in found}
        own = tuple(name for name in names if name.upper() in listed)
        if not own or not all(map(looks_like_designator, found)):
            return NOTHING
        return Said(out=own if self._negative else tuple(name for name in names if name not in own))


def is_fitting_word(cell: str) -> bool:
    """Whether a cell says yes, no, fitted or not fitted in one word, or with a tick."""
    plain = cell.strip().lower()
    return plain in _YES or plain in _NO or plain in _MARKS or is_not_fitted_word(plain) or plain in _FITTED


def is_tick(cell: str) -> bool:
    """Whether a cell holds a tick and nothing else."""
    return cell.strip().lower() in _MARKS


def is_fitted_or_not(cell: str) -> bool:
    """Whether a cell says "fitted" or "not fitted" in words, which no column of another kind would."""
    plain = cell.strip().lower()
    return plain in _FITTED or is_not_fitted_word(plain)


_FITTED = frozenset(
    "fitted fit mounted mount populated populate placed place installed install stuffed stuff assembled assemble loaded"
    " load bestückt montiert monté montado montato монтировать 贴装 焊接 実装".split()
)
