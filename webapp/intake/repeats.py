"""A BOM listed twice in one file, such as part by part and then grouped: the second listing is left out."""

from collections.abc import Sequence

from webapp.trade.bom import BomLine, Problem, Skip

_TWICE_SHARE = 0.8  # of all designators
_TWICE_LINES = 2
_TEXT_LENGTH = 120


def without_repeats(lines: list[BomLine]) -> tuple[list[BomLine], list[Skip]]:
    """All lines, less a second listing of the whole BOM; of the two the one with quantities stays, else the first."""
    cut = _second_listing(lines)
    if cut is None:
        return lines, []
    first, second = lines[:cut], lines[cut:]
    kept, dropped = (first, second) if _quantified(first) >= _quantified(second) else (second, first)
    return kept, [Skip(line.row, "duplicate", " ".join(line.refdes)[:_TEXT_LENGTH]) for line in dropped]


def repeat_problem(repeated: Sequence[Skip]) -> list[Problem]:
    """The sentence about a second listing that was left out."""
    if not repeated:
        return []
    rows = "1 row" if len(repeated) == 1 else f"{len(repeated)} rows"
    said = f"the same designators are listed twice in the file: the listing from here on ({rows}) was not taken"
    return [Problem(repeated[0].row, None, "bom_twice", said)]


def _second_listing(lines: Sequence[BomLine]) -> int | None:
    """Index from which on no new designator comes, if what follows names most of them again."""
    seen: set[str] = set()
    last_new = 0
    for i, line in enumerate(lines):
        if line.refdes and not seen.issuperset(line.refdes):
            last_new = i
        seen.update(line.refdes)
    repeated = [line for line in lines[last_new + 1 :] if line.refdes]
    again = {name for line in repeated for name in line.refdes}
    return last_new + 1 if len(repeated) >= _TWICE_LINES and len(again) >= _TWICE_SHARE * len(seen) else None


def _quantified(lines: Sequence[BomLine]) -> float:
    return sum(1 for line in lines if line.qty is not None) / len(lines)
