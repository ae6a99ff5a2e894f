"""Alloys as points for the solver."""

import numpy as np
import pytest

from webapp.science.alloy_points import grouped, not_covered, wt_pct
from webapp.trade.composition import Composition, read_composition


@pytest.mark.parametrize(
    "text", ["Sn", "Ag", "Ag50Sn50", "Ag72Cu28", "Bi50Pb50", "Sn93Cu7", "Sn33Bi60Ag5Cu2", "Bi80Sn10Pb8Cu2"]
)
def test_covered(text: str) -> None:
    assert not_covered(read_composition(text)) is None


@pytest.mark.parametrize(
    "text", ["Sn92.9Cu7.1", "Cu60Sn40", "Sn94.9Ag5.1Bi0", "Sn94.8Ag5.1Bi0.1", "Sn97.8Cu2.1Ag0.1", "Bi98Cu2", "Pb98Cu2"]
)
def test_at_the_limits(text: str) -> None:
    pair = read_composition(text).elements == {"Ag", "Sn"}
    assert (not_covered(read_composition(text)) is None) == pair


def test_silver_in_lead_is_covered_only_as_a_trace() -> None:
    """Lists print 287 to 296 °C for Sn5Pb92.5Ag2.5 (from memory) and 179 °C for Sn62Pb36Ag2, which is well met."""
    assert not_covered(read_composition("Sn5Pb92.5Ag2.5")) is not None
    assert not_covered(read_composition("Sn10Pb89.6Ag0.4")) is None
    assert not_covered(read_composition("Sn62Pb36Ag2")) is None


def test_groups_keep_their_places() -> None:
    alloys = [read_composition(text) for text in ("Sn42Bi58", "Sn63Pb37", "Sn60Bi40")]
    groups = {group.system.elements: group for group in grouped(alloys)}
    assert groups["Bi", "Sn"].places.tolist() == [0, 2]
    assert groups["Pb", "Sn"].places.tolist() == [1]


def test_mole_fractions_and_back() -> None:
    (group,) = grouped([Composition.of({"Sn": 42, "Bi": 58})])
    # 58 / 208.98 over 58 / 208.98 + 42 / 118.71
    assert group.z[0, 0] == pytest.approx(0.277538 / (0.277538 + 0.353803), rel=1e-5)
    assert dict(wt_pct(group.system.elements, group.mass_fractions(group.z[0]))) == pytest.approx({"Bi": 58, "Sn": 42})
    assert np.allclose(group.z.sum(axis=1), 1)
