"""Parts lists side by side on one sheet (common practice, no source)."""

import pytest

from webapp.intake.reader import read_bom
from webapp.trade.bom import ReadChoices

BESIDE = """Main board,,,,Small board,,
Ref,Qty,Value,,Ref,Qty,Value
R1,1,10k,,U1,1,ZX7001
R2,1,10k,,U2,1,ZX7002
C1,1,1u,,,,
"""


def test_both_lists_are_read_and_said_to_be_two() -> None:
    reading = read_bom(BESIDE.encode(), "list.csv")
    assert reading.fitted == {"R1", "R2", "C1", "U1", "U2"}
    assert {reading.place_of(line.row) for line in reading.lines if "U2" in line.refdes} == {("columns E to G", 4)}
    assert [problem.code for problem in reading.problems] == ["sheets_together"]


def test_one_of_them_can_be_chosen() -> None:
    reading = read_bom(BESIDE.encode(), "list.csv", ReadChoices(sheet="columns E to G"))
    assert reading.fitted == {"U1", "U2"}
    assert [line.row for line in reading.lines] == [3, 4]


def test_three_without_a_gap() -> None:
    text = "Ref,Value,Ref,Value,Ref,Value\nR1,10k,C1,1u,U1,ZX\nR2,1k,C2,1u,U2,ZY\n"
    assert read_bom(text.encode(), "list.csv").fitted == {"R1", "R2", "C1", "C2", "U1", "U2"}


@pytest.mark.parametrize(
    "text",
    [
        "Ref,Value,,Ref,Value\nR1,10k,,R1,11k\nR2,1k,,R2,1k\nC1,1u,,C1,2u\n",
        "Ref,Value,Qty,,Date,Change\nR1,10k,1,,2021-01-01,R9 was 1k\nR2,1k,1,,,\nC1,1u,1,,,\n",
        "Ref,Qty,MPN,Price,Qty,MPN,Price\nR1,1,AR-1,1,1,BR-1,2\nR2,1,AR-2,1,1,BR-2,2\nC1,1,AC-1,1,1,BC-1,2\n",
    ],
)
def test_what_stands_beside_a_list_and_is_none_stays(text: str) -> None:
    reading = read_bom(text.encode(), "list.csv")
    assert reading.fitted == {"R1", "R2", "C1"}
    assert reading.sheets == ("",) or not any(reading.sheets)
