from webapp.trade.bom import BomLine, BomReading, Column, Field
from webapp.trade.placement import Placement, PlacementReading
from webapp.trade.sides import join_sides


def reading(*lines):
    columns = (Column(0, "Ref", "Ref", Field.REFDES, 1.0), Column(1, "Side", "Side", Field.SIDE, 1.0))
    return BomReading(file="a.csv", is_board_bom=True, lines=lines, table=columns)


def placement(**sides):
    places = tuple(Placement(i, name, 0.0, 0.0, None, side) for i, (name, side) in enumerate(sides.items(), start=2))
    return PlacementReading("p.csv", 1, {}, places)


def test_without_a_placement_file_all_stays():
    bom = reading(BomLine(2, ("R1",), side="top"))
    assert join_sides(bom, None).reading == bom


def test_one_side_both_sides_and_none():
    bom = reading(BomLine(2, ("R1", "R2")), BomLine(3, ("C1", "C2", "C3")), BomLine(4, ("U1",)))
    joined = join_sides(bom, placement(R1="top", R2="top", C1="bottom", C2="top", C3="bottom"))
    assert [line.side for line in joined.reading.lines] == ["top", "both", None]
    assert joined.bottom_refdes == {3: ("C1", "C3")}
    assert joined.not_in_file == ("U1",)


def test_a_designator_that_the_file_lacks_does_not_take_the_side_from_its_line():
    joined = join_sides(reading(BomLine(2, ("R1", "R2"))), placement(R1="bottom"))
    assert joined.reading.lines[0].side == "bottom"
    assert joined.not_in_file == ("R2",)


def test_names_match_whatever_their_case():
    joined = join_sides(reading(BomLine(2, ("r1",))), placement(R1="top", Z1="top"))
    assert joined.reading.lines[0].side == "top"
    assert (joined.not_in_bom, joined.not_in_file) == (("Z1",), ())


def test_the_placement_file_counts_against_the_bom_and_that_is_said():
    joined = join_sides(reading(BomLine(7, ("R1",), side="top"), BomLine(8, ("R2",), side="top")), placement(
        R1="bottom", R2="top"
    ))  # fmt: skip
    assert [line.side for line in joined.reading.lines] == ["bottom", "top"]
    (problem,) = joined.reading.problems
    assert (problem.row, problem.column, problem.code) == (7, "Side", "side_differs")


def test_places_not_fitted_are_not_missed():
    joined = join_sides(reading(BomLine(2, ("R1", "R2"), dnp_refdes=("R2",))), placement(R1="top"))
    assert joined.not_in_file == ()


def test_a_file_without_sides_gives_none():
    joined = join_sides(reading(BomLine(2, ("R1",))), placement(R1=None))
    assert joined.reading.lines[0].side is None
    assert joined.not_in_file == ()
