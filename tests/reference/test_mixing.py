"""Hybrid joints beside worked values, and beside what a separate implementation calculated."""

import pytest

from tests.reference.published import joint
from webapp.science.melting import MeltingRange, melting_range
from webapp.science.mixing import diluted
from webapp.trade.composition import mixed, read_composition

BALL, PASTE = read_composition("Sn96.5Ag3Cu0.5"), read_composition("Sn42Bi57Ag1")

# Share of the paste in the mass, wt% -> bismuth in wt%, liquidus, matrix liquidus and solidus in °C. Origin: a separate
# implementation with the same parameters.
HYBRIDS = {
    5.7677: (3.2876, 216.0026, 216.0026, 204.6008),
    11.4429: (6.5224, 212.1326, 212.1326, 192.6466),
    22.5247: (12.8391, 204.3437, 204.3437, 167.3219),
    33.2621: (18.9594, 198.6143, 196.4456, 140.7393),
    43.6711: (24.8925, 201.106, 188.3784, 137.0588),
    53.7665: (30.6469, 202.0701, 180.0743, 137.0588),
    63.5622: (36.2304, 200.9546, 171.457, 137.0588),
}


@pytest.mark.parametrize("paste_pct", HYBRIDS)
def test_hybrids_as_calculated_elsewhere(paste_pct: float) -> None:
    whole = mixed({PASTE: paste_pct, BALL: 100 - paste_pct})
    bismuth, last, matrix, begin = HYBRIDS[paste_pct]
    assert whole.wt_pct["Bi"] == pytest.approx(bismuth, abs=1e-3)
    found = melting_range(whole)
    assert isinstance(found, MeltingRange)
    # The composition is taken to 0.01 wt%, which is 0.2 K where Cu6Sn5 is the last to go.
    assert found.liquidus_c == pytest.approx(last, abs=0.05 if last == matrix else 0.8)
    assert found.matrix_liquidus_c == pytest.approx(matrix, abs=0.05)
    assert found.solidus_c == pytest.approx(begin, abs=0.05)


def test_dissolution_by_hand() -> None:
    """58 / w - 1 masses of tin are taken up by one of 42Sn-58Bi, w the calculated liquidus (wt% Bi) at the peak."""
    at = joint(175)
    by_hand = at.paste_mg / at.ball_mg * (58 / 39.8971 - 1)
    assert by_hand == pytest.approx(0.059, abs=2e-4)


def test_dilution_by_mass() -> None:
    """3 mg of SAC305 wire in 10 mg of 42Sn-57Bi-1Ag: 57 x 10/13 wt% bismuth."""
    found = diluted([(PASTE, 10.0), (BALL, 3.0)])
    assert found.composition.wt_pct["Bi"] == pytest.approx(57 * 10 / 13, abs=1e-9)
