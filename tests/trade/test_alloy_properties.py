"""Properties of alloys, each value against where it is from."""

from dataclasses import replace

import pytest

from webapp.trade.alloy_properties import CONTROL, Property, ductility_class, properties_of, strength_class
from webapp.trade.alloys import alloys
from webapp.trade.ranges import Span
from webapp.trade.sources import Status
from webapp.trade.tables import rows

ALLOYS = alloys()


def known(designation):
    return properties_of(ALLOYS[designation])


@pytest.mark.parametrize(
    ("designation", "kind", "low", "high", "status"),
    [
        # Table of solder properties: 49 MPa, 19 %, 58 W/(m K), 15 HB, each with its scatter.
        ("Sn96.5Ag3.0Cu0.5", Property.TENSILE, 41, 57, Status.OPENED),
        ("Sn96.5Ag3.0Cu0.5", Property.ELONGATION, 9, 29, Status.OPENED),
        ("Sn96.5Ag3.0Cu0.5", Property.CONDUCTIVITY, 54, 62, Status.OPENED),
        ("Sn96.5Ag3.0Cu0.5", Property.HARDNESS, 15, 15, Status.OPENED),
        # Table of solder materials: 52 MPa, 30 GPa, 24 ppm/K.
        ("Sn63Pb37", Property.TENSILE, 44, 60, Status.OPENED),
        ("Sn63Pb37", Property.MODULUS, 25, 35, Status.OPENED),
        ("Sn63Pb37", Property.EXPANSION, 23, 25, Status.OPENED),
        # Handbook values, from memory: 60 ± 12 MPa; 5 to 60 % by strain rate; 15.5 ± 1.5 ppm/K.
        ("Sn42Bi58", Property.TENSILE, 48, 72, Status.MEMORY),
        ("Sn42Bi58", Property.ELONGATION, 5, 60, Status.MEMORY),
        ("Sn42Bi58", Property.EXPANSION, 14, 17, Status.MEMORY),
        # Printed: 40 % below what a drop-in asks for, 77 % above the eutectic; so 0.60 and 0.60 / 1.77 = 0.34.
        ("Sn60Bi40", Property.DROP_LIFE, 0.60 - 0.15, 0.60 + 0.15, Status.DERIVED),
        ("Sn42Bi58", Property.DROP_LIFE, 0.34 - 0.15, 0.34 + 0.15, Status.DERIVED),
        ("Sn42Bi58", Property.CYCLING_LIFE, 0.5, 1.5, Status.DERIVED),
    ],
)
def test_values_and_how_they_were_come_by(designation, kind, low, high, status):
    value = known(designation)[kind]
    assert (value.span.low, value.span.high) == pytest.approx((low, high))
    assert value.source.status is status


def test_conductivity_of_the_eutectic_follows_from_its_resistivity():
    # Wiedemann and Franz: k = L T / rho with L = 2.44e-8 W Ohm/K2, 298.15 K and 0.383 µOhm m.
    span = known("Sn42Bi58")[Property.CONDUCTIVITY].span
    assert (span.low + span.high) / 2 == pytest.approx(2.44e-8 * 298.15 / 0.383e-6, abs=0.1)


def test_modulus_of_the_control_is_that_of_its_line():
    # E = 76.087 GPa - 0.109 GPa/K T at 298.15 K, ± 15 %.
    middle = 76.087 - 0.109 * 298.15
    span = known(CONTROL)[Property.MODULUS].span
    assert (span.low, span.high) == pytest.approx((0.85 * middle, 1.15 * middle), abs=0.3)


def test_expansion_of_the_off_eutectic_alloy_follows_from_its_bismuth():
    # Linear in the volume of bismuth between tin (23.0) and Sn42Bi58 (15.5 ppm/K); densities 7.29 and 9.78 g/cm3.
    def volume(bi):
        return bi / 9.78 / (bi / 9.78 + (100 - bi) / 7.29)

    expected = 23.0 - (23.0 - 15.5) * volume(40) / volume(58)
    span = known("Sn60Bi40")[Property.EXPANSION].span
    assert (span.low + span.high) / 2 == pytest.approx(expected, abs=0.1)


def test_a_value_of_another_alloy_says_whose_it_is():
    value = known("Sn42Bi57Ag1")[Property.TENSILE]
    assert value.source.note.startswith("Value of Sn42Bi58.")
    assert "Value of" not in known("Sn42Bi58")[Property.TENSILE].source.note


def test_words_stand_where_no_number_is_known():
    value = known("Sn60Bi40")[Property.ELONGATION]
    assert value.span is None
    assert value.text == "higher than that of Sn42Bi58"
    assert known("Sn42Bi58")[Property.TENSILE].text == "48 to 72"


def test_where_nothing_is_known_there_is_nothing():
    assert known("In52Sn48") == {}


def test_an_own_alloy_has_the_properties_of_its_composition():
    own = replace(ALLOYS["Sn42Bi58"], designation="HOUSE-1", own=True)
    assert properties_of(own)[Property.TENSILE] == known("Sn42Bi58")[Property.TENSILE]
    other = replace(own, composition_wt_pct={"Sn": 50.0, "Bi": 50.0})
    assert properties_of(other) == {}


def test_every_alloy_of_the_table_is_one_of_the_alloys():
    names = {name for row in rows("alloy_properties") for name in [row.text("alloy"), *row.text("also_for").split()]}
    assert names <= ALLOYS.keys()


@pytest.mark.parametrize(
    ("designation", "strength", "ductility"),
    [
        ("Sn42Bi58", "as SAC305 or above", "brittle when strained fast"),
        ("Sn63Pb37", "as SAC305", "ductile"),
        ("Sn96.5Ag3.0Cu0.5", "as SAC305", "ductile"),
        ("Sn60Bi40", None, "brittle when strained fast"),
        ("In52Sn48", None, None),
    ],
)
def test_classes(designation, strength, ductility):
    assert strength_class(known(designation)) == strength
    assert ductility_class(ALLOYS[designation], known(designation)) == ductility


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [(60, 70, "above SAC305"), (20, 40, "below SAC305"), (20, 50, "as SAC305 or below"), (40, 60, "as SAC305")],
)
def test_strength_beside_the_control(low, high, words):
    value = replace(known("Sn42Bi58")[Property.TENSILE], span=Span(low, high))
    assert strength_class({Property.TENSILE: value}) == words


def test_little_elongation_is_little_ductile():
    value = replace(known(CONTROL)[Property.ELONGATION], span=Span(1, 3))
    assert ductility_class(ALLOYS[CONTROL], {Property.ELONGATION: value}) == "little ductile"
