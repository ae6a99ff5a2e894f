"""The tables of packages."""

from itertools import pairwise

import pytest

from webapp.trade.masks import Mounting
from webapp.trade.package_tables import (
    ball_diameter_mm,
    families,
    inch_chips,
    metric_chips,
    moulded_cases,
    named_outlines,
)
from webapp.trade.ranges import Span


@pytest.mark.parametrize("code", sorted(set(inch_chips()) - {"008004", "015008", "01005"}))
def test_inch_codes_are_the_sides_in_hundredths_of_an_inch(code: str) -> None:
    """EIA: two digits a side; sides are rounded in the trade, a tenth of a millimetre or 12 % either way."""
    sides = sorted((int(code[:2]) * 0.254, int(code[2:]) * 0.254), reverse=True)
    chip = inch_chips()[code]
    for side, span in zip(sides, (chip.length_mm, chip.width_mm), strict=True):
        centre = (span.low + span.high) / 2
        assert centre == pytest.approx(side, rel=0.15, abs=0.15)


def test_metric_codes_name_the_same_chip() -> None:
    assert metric_chips()["1608"].name == "0603"
    assert metric_chips()["0603"].name == "0201"


def test_outlines_have_sizes_and_one_way_of_mounting_at_least() -> None:
    for outline in (*named_outlines().values(), *(family.outline for family in families().values())):
        assert outline.classes & outline.typical
        assert outline.mounting
        assert outline.joints
        assert outline.height_mm.bounded
        assert outline.length_mm.low <= outline.length_mm.high
    assert named_outlines()["SOT23"].mounting == Mounting.SMD


def test_balls_grow_with_pitch() -> None:
    pitches = (0.3, 0.4, 0.5, 0.65, 0.8, 1.0, 1.27)
    found = [ball_diameter_mm(Span.exactly(pitch)) for pitch in pitches]
    assert all(finer.high <= coarser.high for finer, coarser in pairwise(found))
    assert all(span.high < pitch for span, pitch in zip(found, pitches, strict=True))
    assert ball_diameter_mm(Span(0.4, 1.0)).contains(Span(0.2, 0.6))


def test_moulded_cases_are_named_by_their_sides_in_tenths() -> None:
    for case in moulded_cases():
        assert case.eia.startswith(case.metric)
        assert case.outline.length_mm.contains(int(case.metric[:2]) / 10)
        assert case.outline.height_mm.high * 10 >= int(case.eia[-2:]) - 0.1
