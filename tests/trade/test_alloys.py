"""Alloys and first meltings."""

import pytest

from webapp.trade.alloys import Alloy, alloys, find_alloy, lowest_onset
from webapp.trade.sources import Status

SAC305 = {"Sn": 96.5, "Ag": 3.0, "Cu": 0.5}
SN_BI_AG = {"Sn": 42.0, "Bi": 57.0, "Ag": 1.0}

# Densities of the elements, g/cm3 (handbook): what the table's densities are the rule of mixtures of.
ELEMENTS = {"Sn": 7.29, "Bi": 9.78, "Ag": 10.49, "Cu": 8.96, "Pb": 11.34, "In": 7.31, "Sb": 6.69}


@pytest.mark.parametrize("alloy", alloys().values(), ids=lambda alloy: alloy.designation)
def test_each_alloy_is_consistent(alloy: Alloy) -> None:
    assert alloy.designation in alloys()
    shares = alloy.composition_wt_pct
    assert sum(shares.values()) == pytest.approx(100)
    assert alloy.solidus_c <= alloy.melted_c <= alloy.liquidus_c
    mixed = 100 / sum(share / ELEMENTS[element] for element, share in shares.items())
    assert alloy.density_g_cm3 == pytest.approx(mixed, abs=0.01)


def test_low_temperature_is_below_the_tin_lead_eutectic() -> None:
    low = {name for name, alloy in alloys().items() if alloy.low_temperature}
    assert {"Sn42Bi58", "Sn42Bi57Ag1", "Sn60Bi40", "In52Sn48"} <= low
    assert not low & {"Sn63Pb37", "Sn96.5Ag3.0Cu0.5", "Sn95Sb5"}


def test_alloys_are_found_by_composition() -> None:
    found = find_alloy(SN_BI_AG)
    assert found is not None
    assert found.designation == "Sn42Bi57Ag1"
    assert found.holds_bismuth
    assert not found.holds_lead
    assert find_alloy({"Sn": 50.0, "Bi": 50.0}) is None
    assert find_alloy({"Sn": 42.04, "Bi": 57.96}) is not None


@pytest.mark.parametrize(
    ("compositions", "onset_c", "status"),
    [
        ([SAC305], 217, Status.OPENED),  # Moon 2000: 217.2 ± 0.2 °C
        ([SN_BI_AG], 137, Status.DERIVED),  # calculated 137.1 °C
        ([{"Sn": 42.0, "Bi": 58.0}], 138, Status.OPENED),  # lists: 138 °C
        ([SAC305, SN_BI_AG], 137, Status.DERIVED),  # hybrid: the paste's eutectic, no credit for mixing
        ([SN_BI_AG, {"Sn": 90.0, "Pb": 10.0}], 95, Status.OPENED),  # Moon 2001: 95.3 ± 0.5 °C, shown as 95
        ([SAC305, {"Sn": 63.0, "Pb": 37.0}], 177, Status.DERIVED),  # silver-lead-tin, calculated 177.0 °C
    ],
)
def test_first_melting_of_a_joint(compositions: list[dict[str, float]], onset_c: float, status: Status) -> None:
    onset = lowest_onset(*compositions)
    assert onset is not None
    assert (onset.onset_c, onset.source.status) == (onset_c, status)


def test_an_impurity_makes_no_new_system() -> None:
    onset = lowest_onset(SN_BI_AG | {"Pb": 0.05})
    assert onset is not None
    assert "Pb" not in onset.elements
    assert lowest_onset({"Au": 80.0}) is None
