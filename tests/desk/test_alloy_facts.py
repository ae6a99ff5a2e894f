"""What is told of alloys, calculated beside listed."""

from dataclasses import replace

import pytest

from webapp.desk.alloy_facts import facts_of, trial_facts
from webapp.trade.alloys import alloys
from webapp.trade.composition import read_composition
from webapp.trade.figures import default_figures
from webapp.trade.materials import materials
from webapp.trade.ranges import Span
from webapp.trade.site import Site
from webapp.trade.sources import Kind, Source, Status

SITE = Site()


def facts(designation):
    return facts_of([alloys()[designation]], SITE)[0]


def test_calculated_and_listed_stand_apart():
    sac = facts("Sn96.5Ag3.0Cu0.5")
    # Calculated 215.9 to 219.9 °C (docs/validation.md); the lists print 217 to 220 °C.
    assert (sac.solidus_c, sac.liquidus_c) == pytest.approx((215.93, 219.86), abs=0.02)
    assert (sac.listed_solidus_c, sac.listed_liquidus_c, sac.listed) == (217, 220, "217 to 220")
    assert sac.not_covered == ""


@pytest.mark.parametrize(
    ("designation", "listed"),
    # J-STD-006, Appendix A, as read or remembered (status in the table); for Sn40Bi60 no list is known.
    [
        ("Sn42Bi58", "138"),
        ("Sn42Bi57Ag1", "139 to 140"),
        ("Sn62Pb36Ag2", "179"),
        ("Sn60Pb40", "183 to 191"),
        ("Sn40Bi60", ""),
    ],
)
def test_what_lists_print(designation, listed):
    assert facts(designation).listed == listed


def test_an_alloy_not_covered_keeps_what_lists_print():
    antimony = facts("Sn95Sb5")
    assert antimony.span is None
    assert "antimony" in antimony.not_covered
    assert (antimony.solidus_c, antimony.melted_c, antimony.liquidus_c) == (235, 240, 240)
    assert antimony.strength is None
    assert antimony.peak_c is None
    assert antimony.oven_power is None


def test_price_is_that_of_the_metals():
    prices = default_figures()
    expected = 0.42 * prices["price_sn"].value + 0.57 * prices["price_bi"].value + 0.01 * prices["price_ag"].value
    assert facts("Sn42Bi57Ag1").price_per_kg == pytest.approx(expected)


def test_oven_power_is_of_the_peaks_of_its_pastes():
    found = facts("Sn42Bi57Ag1")
    assert found.peak_c == Span(165, 190)
    # 0.57 to 0.77 of the power grows with the peak above 25 °C, against 240 °C.
    low, high = 1 - 0.77 * (240 - 165) / 215, 1 - 0.57 * (240 - 190) / 215
    assert (found.oven_power.low, found.oven_power.high) == pytest.approx((low, high))


def test_an_own_alloy_that_is_typed_is_listed():
    source = Source(Kind.DATASHEET, "Mill sheet 7", Status.OPENED)
    own = replace(
        alloys()["Sn42Bi58"],
        designation="HOUSE-1",
        own=True,
        solidus_source=source,
        liquid_source=source,
        solidus_c=137.5,
    )
    site = Site(materials([own]))
    (found,) = facts_of([site.materials.alloys["HOUSE-1"]], site)
    assert found.listed_solidus_c == 137.5
    assert found.strength == "as SAC305 or above"


def test_a_composition_on_trial():
    found = trial_facts(read_composition("Sn50Bi50"), default_figures())
    assert found.span is not None
    # 0.858 of the 138 °C at which bismuth and tin begin to melt.
    assert found.use.fine_c == pytest.approx(79.6, abs=0.05)
    assert found.price_per_kg == pytest.approx((33 + 25) / 2)
    other = trial_facts(read_composition("Sn50In50"), default_figures())
    assert (other.span, other.use) == (None, None)
    assert "indium" in other.melting.reason


def own(text, solidus_c=None, liquidus_c=None):
    """The facts of an alloy of the site's own; what is None is calculated."""
    stated, calculated = (
        Source(Kind.DATASHEET, "mill sheet 7", Status.OPENED),
        Source(Kind.ENTERED, "calculated", Status.DERIVED),
    )
    alloy = replace(
        alloys()["Sn42Bi58"],
        designation="HOUSE",
        composition_wt_pct=read_composition(text).wt_pct,
        solidus_c=100 if solidus_c is None else solidus_c,
        liquidus_c=450 if liquidus_c is None else liquidus_c,
        solidus_source=calculated if solidus_c is None else stated,
        liquid_source=calculated if liquidus_c is None else stated,
        own=True,
    )
    return facts_of([alloy], SITE)[0]


class TestFarApart:
    def test_stated_and_calculated_side_by_side(self):
        # The tin-bismuth eutectic melts at 138.5 °C by measurement, 138.8 °C as calculated (docs/validation.md).
        found = own("Sn43Bi57", 180, 220).far_apart
        assert [(one.name, one.stated_c) for one in found] == [("Solidus", 180), ("Liquidus", 220)]
        assert [one.calculated_c for one in found] == pytest.approx([138.8, 138.8], abs=0.1)

    @pytest.mark.parametrize(
        ("stated", "names"), [(148.7, []), (149.0, ["Solidus"]), (128.9, []), (128.6, ["Solidus"])]
    )
    def test_from_10_kelvin_on(self, stated, names):
        assert [one.name for one in own("Sn43Bi57", stated).far_apart] == names

    def test_a_liquidus_of_the_matrix_or_of_the_last_compound_will_do(self):
        # Calculated: the matrix is gone at 140.5 °C, the last Ag3Sn at 161.5 °C.
        assert [own("Sn42Bi57Ag1", 138, liquidus).far_apart for liquidus in (131, 140, 150, 170)] == [()] * 4
        assert own("Sn42Bi57Ag1", 138, 175).far_apart[0].calculated_c == pytest.approx(161.5, abs=0.1)

    def test_nothing_where_nothing_is_stated_or_calculated(self):
        assert own("Sn43Bi57").far_apart == ()
        assert own("Sn95Sb5", 300, 400).far_apart == ()

    def test_what_lists_print_is_not_the_sites_to_correct(self):
        assert [facts(name).far_apart for name in ("Sn62Pb36Ag2", "Sn42Bi57Ag1")] == [(), ()]
