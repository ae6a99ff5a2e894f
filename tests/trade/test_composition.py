"""Compositions as people write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.errors import InvalidInputError
from webapp.trade.composition import Composition, mixed, read_composition
from webapp.trade.elements import ELEMENTS


@pytest.mark.parametrize(
    "text",
    [
        "Sn42Bi57Ag1",
        "42Sn-57Bi-1Ag",
        "Sn-57Bi-1Ag",
        "SnBi57Ag1",
        "Bi57Ag1Sn42",
        "42Sn57Bi1Ag",
        "42 Sn / 57 Bi / 1 Ag",
        "Sn 42 % Bi 57 % Ag 1 %",
        "Sn42,0Bi57,0Ag1,0",
        "Sn 42 %, Bi 57 %, Ag 1 %",
        "42 % Sn, 57 % Bi, 1 % Ag",
        "Sn 42 wt%, Bi 57 wt.%, Ag 1 wt.-%",
        "Sn 42 mass%, Bi 57 mass-%, Ag 1 m%",
        "Sn: 42 Gew.-%; Bi: 57 Gew.-%; Ag: 1 Gew.-%",
        "Sn 42 % by weight, Bi 57 % (w/w), Ag 1 % by mass",
        "Sn bal., Bi 57 %, Ag 1 %",
        "Sn = 42 %, Bi = 57,0 %, Ag = 1,0 %",
    ],
)
def test_the_same_alloy_in_many_ways(text: str) -> None:
    assert read_composition(text).wt_pct == pytest.approx({"Sn": 42, "Bi": 57, "Ag": 1})
    assert read_composition(text).text == "Sn42Bi57Ag1"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "needed"),
        ("Sn50Bi60", "sum to 110"),
        ("Sn42Bi42", "sum to 84"),
        ("Sn-57Bi-57Bi", "twice"),
        ("SnSn57", "twice"),
        ("Sn42Bi57Xx1", '"Xx"'),
        ("SAC305", '^"SAC305" cannot be read'),
        ("Sn-Bi58-Ag", "balance"),
        ("Sn-60Bi-40Ag", "Nothing is left for Sn"),
        ("Sn-Bi-58", "belongs to no element"),
        ("Sn42!Bi58", "cannot be read"),
        ("bogus", '^"bogus" cannot be read as a composition such as Sn42Bi57Ag1.$'),
        ("Kelmora LT40", '^"Kelmora LT40" cannot be read'),
        ("Sn-nanBi", '^"Sn-nanBi" cannot be read'),
        ("Sn" * 60, "too long"),
        ("Sn 42 %, Bi 57.4 %", "sum to 99.4 wt%, not to 100"),
        ("Sn 55 at%, Bi 45 at%", "cannot be read"),
        ("85.8 %", "belongs to no element"),
        ("Sn90Bi1In1Ag1Cu1Pb1Sb1Zn1Ni3", "More than 8"),
    ],
)
def test_what_cannot_be_read_says_why(text: str, words: str) -> None:
    with pytest.raises(InvalidInputError, match=words) as caught:
        read_composition(text, field="paste_alloy")
    assert caught.value.field == "paste_alloy"


def test_two_readings_are_refused_not_guessed() -> None:
    """63 % tin or 63 % lead? The answer would be a dangerous one."""
    with pytest.raises(InvalidInputError, match="Sn-63Pb"):
        read_composition("Sn63Pb")


def test_a_sum_within_the_tolerance_is_brought_to_100() -> None:
    alloy = read_composition("Sn96.4Ag3Cu0.5")
    assert sum(alloy.wt_pct.values()) == pytest.approx(100, abs=1e-12)
    assert alloy.wt_pct["Ag"] == pytest.approx(3 / 0.999)


def test_a_negative_share_is_refused() -> None:
    with pytest.raises(InvalidInputError, match="between 0 and 100"):
        Composition.of({"Sn": 101, "Bi": -1})


def test_rounding_leaves_the_rest_to_the_first() -> None:
    alloy = Composition.of({"Sn": 46.7947, "Bi": 52.9053, "Ag": 0.26, "Cu": 0.04})
    assert alloy.rounded().wt_pct == {"Sn": 46.79, "Bi": 52.91, "Ag": 0.26, "Cu": 0.04}
    assert Composition.of({"Sn": 99.9966, "Ag": 0.0034}).rounded().wt_pct == {"Sn": 100.0}


def test_rounding_takes_nothing_from_a_trace() -> None:
    # Five shares rounded up by 0.005 each are more than the tin there is.
    metals = {"Ag": 7.16597, "Al": 7.16597, "Au": 46.18865, "Bi": 19.7327, "Cd": 19.7327}
    found = Composition.of({"Sn": 100 - sum(metals.values()), **metals}).rounded()
    assert found.wt_pct["Sn"] == 0.01
    assert sum(found.wt_pct.values()) == pytest.approx(100)


def test_density_is_that_of_volumes_added() -> None:
    """63Sn-37Pb: 1 / (0.63 / 7.29 + 0.37 / 11.34) = 8.40 g/cm3, the value of the handbooks."""
    assert read_composition("Sn63Pb37").density_g_cm3 == pytest.approx(8.40, abs=0.005)


def test_mixing_is_by_mass() -> None:
    found = mixed({read_composition("Sn42Bi58"): 1.0, read_composition("Sn"): 1.0})
    assert found.wt_pct == pytest.approx({"Sn": 71, "Bi": 29})


@given(st.dictionaries(st.sampled_from(sorted(ELEMENTS)), st.floats(0.01, 100), min_size=1, max_size=6))
def test_the_text_reads_back_as_the_same(raw: dict[str, float]) -> None:
    total = sum(raw.values())
    alloy = Composition.of({symbol: 100 * share / total for symbol, share in raw.items()}).rounded()
    assert read_composition(alloy.text).wt_pct == pytest.approx(alloy.wt_pct, abs=0.011)


def test_two_ways_of_building_are_equal_and_hash_alike() -> None:
    one, other = Composition.of({"Sn": 42, "Bi": 58}), Composition.of({"Bi": 58, "Sn": 42})
    assert one == other
    assert hash(one) == hash(other)
    assert str(one) == "Sn42Bi58"
