"""A BOM listed twice."""

from webapp.intake.repeats import repeat_problem, without_repeats
from webapp.trade.bom import BomLine

ONE_BY_ONE = [BomLine(row, (name,)) for row, name in enumerate(("C1", "C2", "R1", "U1"), start=2)]
GROUPED = [BomLine(7, ("C1", "C2"), qty=2), BomLine(8, ("R1",), qty=1), BomLine(9, ("U1",), qty=1)]


def test_the_listing_with_quantities_stays() -> None:
    lines, skips = without_repeats([*ONE_BY_ONE, *GROUPED])
    assert lines == GROUPED
    assert [(skip.row, skip.reason) for skip in skips] == [(row, "duplicate") for row in (2, 3, 4, 5)]
    assert without_repeats([*GROUPED, *ONE_BY_ONE])[0] == GROUPED
    assert "(4 rows) was not taken" in repeat_problem(skips)[0].message


def test_a_few_repeats_are_no_second_listing() -> None:
    lines = [*ONE_BY_ONE, BomLine(6, ("R1",)), BomLine(7, ("C9",))]
    assert without_repeats(lines) == (lines, [])
    assert repeat_problem([]) == []
