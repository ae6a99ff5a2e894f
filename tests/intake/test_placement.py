"""Placement files in several layouts (invented); positions and sides are what stands in the text."""

import pytest

from webapp.errors import UnreadableFileError
from webapp.intake.placement import is_placement_header, read_placement
from webapp.trade.placement import Placement

COMMA = """"Name","Part","Side","Centre X","Centre Y","Rotation"
"C1","AC-1","Top","784","1422","270.00"
"R1","AR-1","Bottom","881","-174.5","180"
"""
UNITS = "Designator,Mid X,Mid Y,Layer,Rotation\nC1,10.0mm,5.0mm,T,90\nR1,1.5mm,2mm,B,0\n"
FIXED = """### Module positions - created on 2024-03-04 ###
# Side : All

Ref     Val       Package     PosX       PosY       Rot  Side
C1      100n      C_0603      10.0000    5.0000     90.0  top
R1      10k       R_0603      1.5000     -2.0000    0.0  bottom
## End
"""
GERMAN = "Bezeichner;Pos X;Pos Y;Winkel;Seite\nC1;10,5;5,25;90;oben\nR1;1,5;2;0;unten\n"
CHINESE = "位号,坐标X,坐标Y,角度,层\nC1,10,5,90,顶层\nR1,1.5,2,0,底层\n"


@pytest.mark.parametrize(
    ("text", "first", "sides"),
    [
        (COMMA, Placement(2, "C1", 784, 1422, 270, "top"), {"C1": "top", "R1": "bottom"}),
        (UNITS, Placement(2, "C1", 10, 5, 90, "top"), {"C1": "top", "R1": "bottom"}),
        (FIXED, Placement(5, "C1", 10, 5, 90, "top"), {"C1": "top", "R1": "bottom"}),
        (GERMAN, Placement(2, "C1", 10.5, 5.25, 90, "top"), {"C1": "top", "R1": "bottom"}),
        (CHINESE, Placement(2, "C1", 10, 5, 90, "top"), {"C1": "top", "R1": "bottom"}),
    ],
)
def test_layouts(text: str, first: Placement, sides: dict[str, str]) -> None:
    reading = read_placement(text.encode(), "place.csv")
    assert reading.placements[0] == first
    assert reading.sides() == sides


def test_rows_without_a_position_are_passed_over_and_named() -> None:
    reading = read_placement(b"Designator,X,Y,Rotation\nC1,1,2,0\nC2,,,\nend of list\n\n", "place.csv")
    assert [place.refdes for place in reading.placements] == ["C1"]
    assert [row for row, _ in reading.skipped] == [3, 4]
    assert reading.sides() == {}


def test_a_file_without_positions_is_refused() -> None:
    with pytest.raises(UnreadableFileError, match="no placement file") as refusal:
        read_placement(b"Designator,Qty\nC1,1\n", "bom.csv")
    assert refusal.value.code == "no_placement_table"


def test_a_bom_with_positions_in_it_is_still_a_bom() -> None:
    assert is_placement_header(["Designator", "X", "Y", "Rotation"])
    assert not is_placement_header(["Designator", "Qty", "X", "Y", "Rotation"])
    assert not is_placement_header(["Designator", "Qty", "Value"])
