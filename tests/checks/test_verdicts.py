"""The truth table of the two corners, as in the plan of the checks."""

import numpy as np
import pytest

from webapp.checks.verdicts import Verdict, Why, merge_corners, why_of

NONE, FINE, PROVE, CHANGE, BLOCKS = Verdict.NONE, Verdict.FINE, Verdict.PROVE, Verdict.CHANGE, Verdict.BLOCKS

# best, worst, firm, known, a wrong fine hurts -> verdict, why
TABLE = [
    (BLOCKS, BLOCKS, True, True, False, BLOCKS, Why.CERTAIN),
    (CHANGE, BLOCKS, True, True, False, CHANGE, Why.CERTAIN),
    (PROVE, PROVE, True, True, False, PROVE, Why.CERTAIN),
    (BLOCKS, BLOCKS, False, True, False, PROVE, Why.MEMORY),
    (FINE, BLOCKS, True, True, False, PROVE, Why.UNKNOWN),
    (FINE, CHANGE, False, False, True, PROVE, Why.UNKNOWN),
    (NONE, BLOCKS, True, True, False, PROVE, Why.UNKNOWN),
    (FINE, FINE, False, False, False, FINE, Why.PASSES),
    (FINE, FINE, False, True, True, FINE, Why.PASSES),
    (FINE, FINE, False, False, True, PROVE, Why.NOTHING_KNOWN),
    (NONE, NONE, False, False, True, NONE, None),
]


@pytest.mark.parametrize(("best", "worst", "firm", "known", "hurts", "verdict", "why"), TABLE)
def test_one_row(best, worst, firm, known, hurts, verdict, why):
    codes = [np.array([code], dtype=np.int8) for code in (best, worst)]
    merged, reasons = merge_corners(*codes, firm=np.array([firm]), known=np.array([known]), wrong_fine_hurts=hurts)
    assert merged[0] == verdict
    assert why is None or why_of(int(reasons[0])) is why


def test_all_rows_at_once_are_the_rows_one_by_one():
    rows = [row for row in TABLE if not row[4]]
    columns = list(zip(*rows, strict=True))
    merged, _ = merge_corners(
        np.array(columns[0], dtype=np.int8),
        np.array(columns[1], dtype=np.int8),
        firm=np.array(columns[2]),
        known=np.array(columns[3]),
        wrong_fine_hurts=False,
    )
    assert merged.tolist() == [int(row[5]) for row in rows]


def test_gravity_is_the_order_of_the_codes():
    assert sorted(Verdict) == [NONE, FINE, Verdict.GAIN, PROVE, CHANGE, BLOCKS]
    assert [verdict for verdict in Verdict if verdict.is_open] == [PROVE, CHANGE, BLOCKS]
