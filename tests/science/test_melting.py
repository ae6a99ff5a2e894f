"""Melting ranges, phases over temperature, freezing: properties and limits."""

from itertools import pairwise

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.science.alloys import covered
from webapp.errors import InvalidInputError
from webapp.science.melting import (
    Freezing,
    MeltingRange,
    NotCovered,
    PhaseFractions,
    drawn_curve,
    freezing,
    freezings,
    melting_curve,
    melting_range,
    melting_ranges,
    phase_fractions,
)
from webapp.trade.composition import Composition, read_composition

EXAMPLES = settings(max_examples=30, deadline=None)


def span(alloy: Composition) -> MeltingRange:
    found = melting_range(alloy)
    assert isinstance(found, MeltingRange)
    return found


@given(covered())
@EXAMPLES
def test_the_temperatures_stand_in_order(alloy: Composition) -> None:
    found = span(alloy)
    assert found.solidus_c <= found.mostly_liquid_c + 1e-6 <= found.liquidus_c + 2e-6
    assert found.matrix_liquidus_c <= found.liquidus_c + 1e-6
    assert found.solidus_c > 97


def test_the_matrix_is_not_gone_before_melting_begins() -> None:
    # A compound is the last to go; without it the liquidus of the matrix lies below the eutectic.
    found = span(read_composition("Sn62Pb36Ag2"))
    assert found.matrix_liquidus_c < found.solidus_c
    assert found.matrix_gone_c == found.solidus_c
    plain = span(read_composition("Sn60Bi40"))
    assert plain.matrix_gone_c == plain.matrix_liquidus_c


@given(covered(least=2))
@EXAMPLES
def test_a_drawn_curve_lies_on_the_whole_one(alloy: Composition) -> None:
    found = span(alloy)
    drawn = drawn_curve(alloy, [found.mostly_liquid_c + 1, 400.0])
    assert isinstance(drawn, PhaseFractions)
    whole = phase_fractions(alloy, drawn.t_c)
    assert isinstance(whole, PhaseFractions)
    assert drawn.liquid == pytest.approx(whole.liquid, abs=1e-9)
    assert list(drawn.t_c) == sorted(set(drawn.t_c))
    assert (drawn.liquid[0], drawn.liquid[-1]) == pytest.approx((0, 1), abs=1e-9)
    assert 400.0 in drawn.t_c


@given(covered(least=1))
# Its points settle each by itself, but not all 203 of its curve together.
@example(Composition.of({"Sn": 46.99, "Bi": 48.0, "Ag": 4.0, "Cu": 1.0, "Pb": 0.01}))
@EXAMPLES
def test_liquid_grows_with_temperature(alloy: Composition) -> None:
    curve = melting_curve(alloy)
    assert isinstance(curve, PhaseFractions)
    assert curve.liquid[0] == 0
    assert curve.liquid[-1] == pytest.approx(1, abs=1e-9)
    # With a little lead melting is retrograde: its solubility in (Sn) is greatest well above where melting begins.
    dip = 0.01 if "Pb" in alloy.wt_pct else 1e-9
    assert all(after >= before - dip for before, after in pairwise(curve.liquid))
    for values in zip(*curve.fractions.values(), strict=True):
        assert sum(values) == pytest.approx(1, abs=1e-9)
        assert min(values) >= 0


@given(covered(least=1))
@EXAMPLES
def test_99_percent_is_liquid_where_it_is_said(alloy: Composition) -> None:
    found = span(alloy)
    just_above = phase_fractions(alloy, [found.mostly_liquid_c + 1e-4])
    assert isinstance(just_above, PhaseFractions)
    assert just_above.liquid[0] > 0.99 - 1e-6
    just_below = phase_fractions(alloy, [found.mostly_liquid_c - 1e-4])
    assert isinstance(just_below, PhaseFractions)
    assert just_below.liquid[0] < 0.99 + 1e-6


@given(covered(least=2), st.data())
@EXAMPLES
def test_a_hair_of_composition_is_a_hair_of_temperature(alloy: Composition, data: st.DataObject) -> None:
    element = data.draw(st.sampled_from([symbol for symbol in alloy.wt_pct if symbol != "Sn"]))
    shares = dict(alloy.wt_pct)
    shares[element] -= 0.01
    if shares[element] < 0.02:
        return
    shares["Sn"] += 0.01
    here, there = span(alloy), span(Composition.of(shares))
    assert there.matrix_liquidus_c == pytest.approx(here.matrix_liquidus_c, abs=0.5)
    # Copper in a bismuth-rich melt counts 400 K per wt%; near the end of what tin dissolves of silver or copper
    # (some hundredths of a per cent) the solidus falls by 200, towards the lead eutectic by 300.
    assert there.solidus_c == pytest.approx(here.solidus_c, abs=10.0 if element == "Pb" else 2.5)
    assert there.liquidus_c == pytest.approx(here.liquidus_c, abs=15.0 if element == "Cu" else 2.0)


@given(covered(least=2), st.randoms(use_true_random=False))
@settings(max_examples=10, deadline=None)
def test_the_order_of_elements_does_not_matter(alloy: Composition, chance: object) -> None:
    shuffled = list(alloy.shares)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    assert melting_range(Composition.of(dict(shuffled))) == melting_range(alloy)


@given(covered(least=1))
@settings(max_examples=15, deadline=None)
def test_freezing_ends_no_higher_than_melting_begins(alloy: Composition) -> None:
    found, at_rest = freezing(alloy), span(alloy)
    assert isinstance(found, Freezing)
    assert found.end_c <= at_rest.solidus_c + 1e-3
    assert found.liquid[0] == pytest.approx(1)
    assert found.liquid[-1] == 0
    assert all(after <= before + 1e-9 for before, after in pairwise(found.liquid))
    assert all(0 <= share <= 1 for share in found.left_at.values())
    # Set aside, solids take less of the liquid than at rest: more is left at any temperature, but for the steps of
    # 1 K in which the path is followed.
    curve = phase_fractions(alloy, [140.0])
    assert isinstance(curve, PhaseFractions)
    assert found.left_at[140.0] >= curve.liquid[0] - 0.01


def test_many_at_once_are_each_alone() -> None:
    texts = ["Sn42Bi58", "Sn96.5Ag3Cu0.5", "Sn48In52", "Sn42Bi58", "Sn63Pb37", "Sn60Bi40"]
    alloys = [read_composition(text) for text in texts]
    together = melting_ranges(alloys)
    assert together == [melting_range(alloy) for alloy in alloys]
    assert together[0] is together[3]
    for way, alloy in zip(freezings(alloys), alloys, strict=True):
        alone = freezing(alloy)
        if isinstance(way, Freezing):
            assert isinstance(alone, Freezing)
            assert way.end_c == pytest.approx(alone.end_c, abs=1e-6)
            assert list(way.left_at.values()) == pytest.approx(list(alone.left_at.values()), abs=1e-7)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("Sn48In52", "indium"),
        ("Sn95Sb5", "antimony"),
        ("Sn91Zn9", "zinc"),
        ("Sn99.3Cu0.65Ni0.05", "nickel"),
        ("Au80Sn20", "gold"),
        ("Sn99.29Cu0.7Ge0.01", "germanium"),
        ("Sn89Ag8Cu3", "5 wt% silver"),
        ("Sn90Cu10", "7 wt% copper"),
        ("Bi95Sn3Cu2", "10 wt% tin"),
    ],
)
def test_what_is_not_covered_says_why(text: str, word: str) -> None:
    alloy = read_composition(text)
    for answer in (melting_range(alloy), melting_curve(alloy), freezing(alloy), phase_fractions(alloy, [100.0])):
        assert isinstance(answer, NotCovered)
        assert word in answer.reason


def test_the_first_solid_and_the_matrix_are_told_apart() -> None:
    found = span(read_composition("Sn42Bi57Ag1"))
    assert (found.first_solid, found.matrix_solid) == ("Ag3Sn", "(Bi)")
    assert found.liquidus_c - found.matrix_liquidus_c > 20
    assert set(found.solids) == {"(Sn)", "(Bi)", "Ag3Sn"}


def test_phases_of_the_lead_ball_are_named_by_what_they_hold() -> None:
    found = span(read_composition("Sn60.86Pb33.21Bi5.83Ag0.1"))
    assert set(found.solids) == {"(Sn)", "(Pb)", "Ag3Sn"}


def test_temperatures_outside_are_refused() -> None:
    with pytest.raises(InvalidInputError) as caught:
        phase_fractions(read_composition("Sn42Bi58"), [20.0])
    assert caught.value.field == "t_c"


def test_retrograde_melting_is_there() -> None:
    """Less liquid at 154 than at 141 °C; the general library says the same (tests/reference/test_peer.py)."""
    curve = phase_fractions(read_composition("Sn93Bi4Pb2Ag1"), [141.0, 154.0])
    assert isinstance(curve, PhaseFractions)
    assert curve.liquid[0] > curve.liquid[1] > 0


def test_a_pure_metal_melts_at_once() -> None:
    found = span(read_composition("Sn"))
    assert found.liquidus_c == pytest.approx(found.solidus_c, abs=1e-4)
    curve = melting_curve(read_composition("Sn"))
    assert isinstance(curve, PhaseFractions)
    assert set(curve.liquid) == {0.0, 1.0}
