"""The side of the board in words."""

import pytest

from webapp.intake.sides import side_named, side_of


@pytest.mark.parametrize(
    ("text", "side"), [("Top", "top"), (" bottom  layer ", "bottom"), ("B", "bottom"), ("F.Cu", "top"), ("both", None)]
)
def test_in_a_cell(text: str, side: str | None) -> None:
    assert side_of(text) == side


@pytest.mark.parametrize(
    ("text", "side"),
    [
        ("Bottom side", "bottom"),
        ("BOM_TOP", "top"),
        ("Bestückung unten", "bottom"),
        ("SMT parts, top side", "top"),
        ("Top board", None),
        ("Top and bottom", None),
        ("Top level assembly list", None),
    ],
)
def test_in_the_name_of_something(text: str, side: str | None) -> None:
    assert side_named(text) == side
