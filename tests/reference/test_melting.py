"""Calculated melting beside published values, and beside what this calculation gave when it was checked."""

import pytest

from tests.reference.published import PUBLISHED, Published, eutectic, span
from webapp.science.diagrams import BinaryDiagram, binary
from webapp.science.melting import Freezing, freezing
from webapp.trade.composition import Composition, read_composition

EVERY = [one for family in PUBLISHED.values() for one in family]

# Regression, within 0.05 K: alloy -> solidus, liquidus, matrix liquidus in °C and first solid. Origin: a separate
# implementation with the same parameters, itself within 0.006 K of pycalphad 0.11.2.
CALCULATED = {
    "Sn60Bi40": (138.812, 174.814, 174.814, "(Sn)"),
    "Sn42Bi58": (138.812, 141.366, 141.366, "(Bi)"),
    "Sn42Bi57.6Ag0.4": (137.124, 141.028, 141.028, "(Bi)"),
    "Sn42Bi57Ag1": (137.124, 161.55, 140.548, "Ag3Sn"),
    "Sn40Bi60": (138.812, 146.351, 146.351, "(Bi)"),
    "Sn96.5Ag3Cu0.5": (215.928, 219.864, 219.864, "(Sn)"),
    "Sn98.5Ag1Cu0.5": (215.928, 225.945, 225.945, "(Sn)"),
    "Sn95.5Ag4Cu0.5": (215.928, 223.566, 216.971, "Ag3Sn"),
    "Sn95.5Ag3.8Cu0.7": (215.928, 218.2, 216.523, "Ag3Sn"),
    "Sn99.3Cu0.7": (226.842, 227.935, 227.935, "(Sn)"),
    "Sn96.5Ag3.5": (220.249, 220.942, 220.942, "(Sn)"),
    "Sn63Pb37": (182.242, 183.186, 183.186, "(Sn)"),
    "Sn60Pb40": (182.242, 188.45, 188.45, "(Pb)"),
    "Sn62Pb36Ag2": (176.995, 193.321, 175.818, "Ag3Sn"),
    "Sn15.5Bi52.5Pb32": (97.962, 101.611, 101.611, "(Bi)"),
    "Sn34Bi46Pb20": (97.962, 138.165, 138.165, "(Sn)"),
}

# Lead added to 42Sn-58Bi and to 60Sn-40Bi (wt%): where melting begins in equilibrium, °C. Same origin.
LEAD = {
    ("Sn42Bi58", 0.1): 134.396,
    ("Sn42Bi58", 0.2): 129.148,
    ("Sn42Bi58", 0.5): 97.962,
    ("Sn42Bi58", 2.0): 97.962,
    ("Sn42Bi57Ag1", 1.0): 97.645,
    ("Sn60Bi40", 0.2): 130.885,
    ("Sn60Bi40", 0.5): 106.206,
    ("Sn96.5Ag3Cu0.5", 1.0): 207.802,
}

# Freezing without diffusion, mass fraction of liquid at 140 °C: hybrids of SAC305 with 42Sn-57Bi-1Ag. Same origin; the
# steps there stood up to 1 K higher, which makes 0.002.
LEFT_AT_140 = {
    "Sn93.36Bi3.29Ag2.88Cu0.47": 0.0173,
    "Sn84.22Bi12.84Ag2.55Cu0.39": 0.1217,
    "Sn78.38Bi18.96Ag2.33Cu0.33": 0.2128,
    "Sn67.2Bi30.65Ag1.92Cu0.23": 0.4258,
}


@pytest.mark.parametrize("one", EVERY, ids=lambda one: one.what)
def test_published(one: Published) -> None:
    assert one.calculate() == pytest.approx(one.published, abs=one.tolerance)


@pytest.mark.parametrize("text", CALCULATED)
def test_as_calculated_before(text: str) -> None:
    found = span(text)
    begin, end, matrix, first = CALCULATED[text]
    assert found.solidus_c == pytest.approx(begin, abs=0.05)
    assert found.liquidus_c == pytest.approx(end, abs=0.05)
    assert found.matrix_liquidus_c == pytest.approx(matrix, abs=0.05)
    assert found.first_solid == first


@pytest.mark.parametrize(("base", "lead"), LEAD)
def test_lead_lowers_the_onset(base: str, lead: float) -> None:
    shares = {symbol: share * (1 - lead / 100) for symbol, share in read_composition(base).shares}
    alloy = Composition.of({**shares, "Pb": lead})
    # To 0.01 wt%: half of that is 0.3 K where a little lead counts most.
    assert span(alloy.text).solidus_c == pytest.approx(LEAD[base, lead], abs=0.3)


@pytest.mark.parametrize("text", LEFT_AT_140)
def test_liquid_left_of_hybrids(text: str) -> None:
    found = freezing(read_composition(text))
    assert isinstance(found, Freezing)
    assert found.left_at[140.0] == pytest.approx(LEFT_AT_140[text], abs=0.002)
    assert found.end_c == pytest.approx(eutectic("Ag", "Bi", "Cu", "Sn").t_c, abs=0.01)


def test_little_lead_leaves_liquid_down_to_98() -> None:
    """0.1 to 0.2 wt% Pb: the joint as soldered holds liquid to the ternary eutectic, unlike at equilibrium."""
    found = freezing(read_composition("Sn41.9Bi57.9Pb0.2"), (100.0,))
    assert isinstance(found, Freezing)
    assert found.end_c == pytest.approx(97.96, abs=0.05)
    assert found.left_at[100.0] == pytest.approx(0.005, abs=0.002)  # origin as above, 0.005 of the moles


def test_tin_bismuth_diagram() -> None:
    """The liquid on the tin side, wt% Bi by °C; origin as above."""
    diagram = binary("Sn", "Bi", 0.5)
    assert isinstance(diagram, BinaryDiagram)
    tin_side = [(share, t_c) for share, t_c in diagram.liquidus if share < 56.9]
    for share, t_c in ((54.4392, 145), (42.6103, 170), (34.0909, 185), (24.4015, 200), (9.6795, 220)):
        left = max(point for point in tin_side if point[0] <= share)
        right = min(point for point in tin_side if point[0] > share)
        between = left[1] + (right[1] - left[1]) * (share - left[0]) / (right[0] - left[0])
        assert between == pytest.approx(t_c, abs=0.05)
