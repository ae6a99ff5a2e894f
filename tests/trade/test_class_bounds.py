"""Bounds by class."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.trade.class_bounds import Oven, Relevance, bounds_of, classes_mounted
from webapp.trade.classes import PartClass
from webapp.trade.masks import Joints, Mounting


@pytest.mark.parametrize("single", list(PartClass))
def test_every_class_has_bounds(single: PartClass) -> None:
    bounds = bounds_of(single)
    assert bounds.classes == single
    assert 40 <= bounds.limit_c.low <= bounds.limit_c.high <= 420
    assert bounds.passes.low >= 0
    assert 0 <= bounds.limit_s.low <= bounds.limit_s.high
    assert bounds.mounting
    assert bounds.lead_risk in ("low", "medium", "high")
    if bounds.ovens <= {Oven.NEVER}:
        assert bounds.passes.high == 0
    if bounds.balls:
        assert bounds.joints & Joints.BALLS or single in (PartClass.MODULE, PartClass.UNKNOWN_SMD)


masks = st.integers(1, int(PartClass.everything())).map(lambda value: PartClass(value) & PartClass.everything())


@given(masks, st.sampled_from(list(PartClass)))
def test_ruling_a_class_out_never_widens_the_bounds(mask: PartClass, single: PartClass) -> None:
    wide, narrow = bounds_of(mask | single), bounds_of(single)
    assert wide.limit_c.contains(narrow.limit_c)
    assert wide.passes.contains(narrow.passes)
    assert wide.limit_s.contains(narrow.limit_s)
    assert narrow.msl in wide.msl
    assert narrow.finishes in wide.finishes
    assert narrow.ovens <= wide.ovens
    assert wide.caution or not narrow.caution


def test_several_classes_keep_the_stronger_question() -> None:
    assert bounds_of(PartClass.CHIP_RESISTOR | PartClass.POWER_SEMI).self_heating is Relevance.YES
    both = bounds_of(PartClass.CHIP_RESISTOR | PartClass.LED)
    assert both.self_heating is Relevance.POWER
    # Neither mates; where a connector is possible it has to be found out.
    assert both.mating_force is Relevance.NO
    assert bounds_of(PartClass.CHIP_RESISTOR | PartClass.CONNECTOR).mating_force is Relevance.UNKNOWN
    assert not both.moisture_classified
    assert both.limit_c.low == bounds_of(PartClass.LED).limit_c.low


def test_cells_are_marked_with_caution_and_never_see_an_oven() -> None:
    cell = bounds_of(PartClass.CELL)
    assert cell.caution
    assert cell.ovens == {Oven.NEVER}
    assert cell.limit_c.high == 85  # a maker's document: keep the cell below 85 °C; read


def test_no_class_at_all_is_a_fault() -> None:
    with pytest.raises(ValueError, match="no part class"):
        bounds_of(PartClass(0))


def test_classes_by_mounting() -> None:
    assert PartClass.HEADER in classes_mounted(Mounting.THROUGH_HOLE)
    assert PartClass.HEADER not in classes_mounted(Mounting.SMD)
    assert classes_mounted(Mounting.everything()) == PartClass.everything()


@pytest.mark.parametrize("oven", list(Oven))
def test_policies_in_words(oven: Oven) -> None:
    assert "oven" in oven.words or oven is Oven.AFTER
