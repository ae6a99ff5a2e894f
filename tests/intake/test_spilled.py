"""Designators in more than one column, and lists that spilled over cells."""

import pytest

from webapp.intake.columns import plan_columns
from webapp.intake.spilled import MoreRefdes, mend_row, with_letters


@pytest.mark.parametrize(
    ("row", "mended"),
    [
        (["R1", "R2", "R3", "3", "10k"], ["R1, R2, R3", "3", "10k"]),
        (["'R1", "R2'", "2", "10k"], ["R1, R2", "2", "10k"]),
        (["R1", "1", "10k"], ["R1", "1", "10k"]),
        (["R1", "1", "10k", ""], ["R1", "1", "10k", ""]),
        (["U1", "LM35", "1", "note"], ["U1", "LM35", "1", "note"]),
        (["R1", "1", "10k", "note"], ["R1", "1", "10k", "note"]),
    ],
)
def test_a_list_without_quotation_marks_is_put_together(row: list[str], mended: list[str]) -> None:
    assert mend_row(row, 3, 0) == mended


def test_further_columns_with_their_side_or_sense() -> None:
    rows = [["A", "R1, R2", "R3", "R9"], ["B", "C1", "C2", ""], ["C", "U1", "U2", ""]]
    plan = plan_columns(["MPN", "Top refs", "Bottom refs", "Not fitted refs"], rows)
    assert plan.more_refdes == (MoreRefdes(2, "bottom"), MoreRefdes(3, is_out=True))


def test_the_same_designators_again_are_no_further_column() -> None:
    rows = [["R1", "R1", "10k"], ["C1", "C1", "1u"], ["U1", "U1", "ZX"]]
    assert plan_columns(["Designator", "Reference designator", "Value"], rows).more_refdes == ()


def test_letters_and_numbers_are_put_together() -> None:
    rows = [["R", "1, 2", "10k"], ["C", "1", "1u"], [], ["U", "1-3", "ZX"], ["Sum", "", "6"]]
    joined = [["R1, 2", "", "10k"], ["C1", "", "1u"], [], ["U1-3", "", "ZX"], ["Sum", "", "6"]]
    assert with_letters(rows) == joined
    assert with_letters([["R", "2", "10k"], ["R", "2", "1k"], ["C", "2", "1u"]]) is None, "a count beside a kind"
    assert with_letters([["A", "1", "x"], ["A", "2", "x"], ["A", "3", "x"]]) is None, "no kinds of parts"
