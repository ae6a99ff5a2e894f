from webapp.trade.bom import Alternate, BomLine
from webapp.trade.difference import Change, difference, places_of


def line(*refdes, **more):
    return BomLine(row=2, refdes=refdes, **more)


def test_nothing_changes():
    lines = [line("R1", "R2", mpn="GR-1", value="10k")]
    found = difference(lines, lines)
    assert found.is_none
    assert found.unchanged == 2


def test_designators_that_come_and_go_in_their_order():
    found = difference([line("R1", "R10", "R2")], [line("R1", "C10", "C2")])
    assert (found.added, found.removed) == (("C2", "C10"), ("R2", "R10"))
    assert not found.is_none


def test_the_same_change_at_several_places_is_one():
    before = [line("R1", "R2", "R3", mpn="GR-1", value="10k")]
    after = [line("R1", "R3", mpn="GR-2", value="10k"), line("R2", mpn="GR-1", value="10k")]
    found = difference(before, after)
    assert found.changes == (Change(("R1", "R3"), (("part number", "GR-1", "GR-2"),)),)
    assert (found.changed, found.unchanged) == (2, 1)


def test_every_kind_of_change():
    before = [line("R1", mpn="A", manufacturer="K", value="1", package="0402")]
    after = [line("R1", dnp_refdes=("R1",), mpn="B", manufacturer=None, value="2", package="0603")]
    (change,) = difference(before, after).changes
    assert change.details == (
        ("fitting", "fitted", "not fitted"),
        ("part number", "A", "B"),
        ("manufacturer", "K", None),
        ("value", "1", "2"),
        ("package", "0402", "0603"),
    )


def test_case_and_blanks_are_no_difference():
    before = [line("R1", mpn="gr-1 a", value="10 k")]
    assert difference(before, [line("R1", mpn="GR-1A", value="10K")]).is_none


def test_the_part_read_out_of_a_cell_counts():
    before = [line("R1", mpn="GR-1", manufacturer="Kelvarn")]
    after = [line("R1", mpn="Kelvarn GR-1", read_as=Alternate("Kelvarn", "GR-1"))]
    assert difference(before, after).is_none


def test_what_is_no_placement_is_left_aside():
    assert places_of([line("FD1", "R1", excluded_refdes=("FD1",))]).keys() == {"R1"}


def test_of_a_place_listed_twice_the_fitted_line_counts():
    out = line("R1", dnp_refdes=("R1",), mpn="A")
    fitted = line("R1", mpn="B")
    assert places_of([out, fitted]) == places_of([fitted, out])
    assert places_of([out, fitted])["R1"].mpn == "B"
