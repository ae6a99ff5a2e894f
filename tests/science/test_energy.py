"""Power of ovens."""

import pytest

from webapp.errors import InvalidInputError
from webapp.science.energy import oven_power_ratio
from webapp.trade.practice import practice_figure
from webapp.trade.ranges import Span


@pytest.mark.parametrize(
    ("peak_c", "ratio"),
    # By hand from 0.33 + 0.67 (T - 25) / 215; 0.891 at 205 °C is the 11 % printed.
    [(240, 1.0), (205, 0.891), (190, 0.844), (175, 0.797), (170, 0.782)],
)
def test_power_against_a_peak_of_240(peak_c, ratio):
    assert oven_power_ratio(Span.exactly(peak_c), Span.exactly(0.67)).low == pytest.approx(ratio, abs=5e-4)


def test_the_saving_printed_lies_in_the_band():
    # 11.3 and 11.0 % printed for 240 to 205 °C.
    band = oven_power_ratio(Span.exactly(205), practice_figure("oven_load_share").span)
    assert band.contains(1 - 0.113)
    assert band.contains(1 - 0.110)


def test_the_band_spans_all_corners():
    band = oven_power_ratio(Span(165, 250), Span(0.57, 0.77))
    assert (band.low, band.high) == pytest.approx((1 - 0.77 * (240 - 165) / 215, 1 + 0.77 * (250 - 240) / 215))


@pytest.mark.parametrize(("peak", "share"), [(Span(20, 180), Span(0.6, 0.7)), (Span(180, 190), Span(0.6, 1.2))])
def test_outside_of_the_range_it_is_refused(peak, share):
    with pytest.raises(InvalidInputError):
        oven_power_ratio(peak, share)
