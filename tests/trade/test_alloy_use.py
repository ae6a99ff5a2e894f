"""How hot joints of an alloy may run."""

import pytest

from webapp.trade.alloy_use import use_limits
from webapp.trade.alloys import alloys
from webapp.trade.figures import default_figures, with_own
from webapp.trade.sources import Kind, Source, Status

FIGURES = default_figures()


def limits(designation, figures=FIGURES):
    alloy = alloys()[designation]
    return use_limits(alloy.composition_wt_pct, alloy.solidus_c, alloy.solidus_source, figures)


def test_the_eutectic_keeps_to_the_usual_temperatures():
    # Shares 0.858, 0.90 and 0.919 of 138 °C in kelvin: the 80, 97 and 105 °C of practice.
    found = limits("Sn42Bi58")
    assert found.onset_c == 138
    assert (found.fine_c, found.prove_c, found.blocks_c) == pytest.approx((79.6, 96.9, 104.7), abs=0.05)


def test_the_lowest_onset_counts_not_the_solidus():
    # Bismuth, lead and tin together melt from 95 °C (95.3 ± 0.5 °C measured).
    assert limits("Bi46Sn34Pb20").onset_c == 95


def test_without_an_onset_the_solidus_counts():
    found = limits("Sn95Sb5")
    # Tin alone has an onset at 231 °C, which lies below the 235 °C of the list.
    assert found.onset_c == 231
    source = Source(Kind.ENTERED, "melt sheet", Status.ENTERED)
    gold = use_limits({"Au": 80.0, "Ge": 20.0}, 361.0, source, FIGURES)
    assert (gold.onset_c, gold.onset_source) == (361.0, source)


def test_the_shares_are_the_sites():
    source = Source(Kind.ENTERED, "our rule", Status.ENTERED)
    own = with_own([FIGURES["service_fine_share"].set_to(0.8, source)])
    assert limits("Sn42Bi58", own).fine_c == pytest.approx(0.8 * (138 + 273.15) - 273.15)
