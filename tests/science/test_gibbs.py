"""Energies: the closed form against the series written out, slopes against differences."""

from math import log

import numpy as np
import pytest

from webapp.science.gibbs import GAS_CONSTANT, system_of
from webapp.science.parameters import ELEMENTS

T_K = 423.15


def row(system_elements: tuple[str, ...], phase: str) -> int:
    return [site.phase for site in system_of(system_elements).solutions].index(phase)


def test_excess_of_tin_bismuth_written_out() -> None:
    system = system_of(("Bi", "Sn"))
    thermal = system.thermal(np.array([T_K]))
    bi, sn = 0.15, 0.85
    # bct: L0 = -4828.9 - 18.811 T, L1 = -8134.2 (B.-J. Lee et al. 1996)
    by_hand = bi * sn * ((-4828.9 - 18.811 * T_K) - 8134.2 * (bi - sn)) / (GAS_CONSTANT * T_K)
    x = np.tile([bi, sn], (len(system.solutions), 1, 1))
    curvature = system.curvature(x, thermal.basis)[row(("Bi", "Sn"), "bct"), 0]
    assert x[0, 0] @ curvature @ x[0, 0] / 12 == pytest.approx(by_hand, rel=1e-12)


def test_excess_of_three_written_out() -> None:
    """fcc of Bi-Pb-Sn, whose one ternary parameter is 10000 J/mol (S.W. Yoon, H.M. Lee 1998)."""
    system = system_of(("Bi", "Pb", "Sn"))
    thermal = system.thermal(np.array([T_K]))
    bi, pb, sn = 0.2, 0.5, 0.3
    by_hand = (
        bi * pb * (-5208.18 + 0.575 * T_K)
        + pb * sn * (4758.8 + 2.4719 * T_K + (2293.4 - 4.9197 * T_K) * (pb - sn))
        + bi * pb * sn * 10000
    ) / (GAS_CONSTANT * T_K)
    x = np.tile([bi, pb, sn], (len(system.solutions), 1, 1))
    curvature = system.curvature(x, thermal.basis)[row(("Bi", "Pb", "Sn"), "fcc"), 0]
    assert x[0, 0] @ curvature @ x[0, 0] / 12 == pytest.approx(by_hand, rel=1e-12)


def test_tin_melts_where_its_energies_meet() -> None:
    """7103.092 / 14.087767 but for a term in T^7: 505.08 K (A.T. Dinsdale 1991)."""
    system = system_of(("Sn",))
    thermal = system.thermal(np.array([505.078]))
    assert thermal.pure[0, 0, 0] == pytest.approx(thermal.pure[1, 0, 0], abs=1e-6)


def test_slopes_are_the_differences() -> None:
    system = system_of(ELEMENTS)
    step = 1e-3
    low, here, high = (system.thermal(np.array([T_K + shift])) for shift in (-step, 0.0, step))
    scale_low, scale_high = (T_K - step) / T_K, (T_K + step) / T_K
    for value, slope in (("pure", "pure_slope"), ("compound", "compound_slope"), ("basis", "basis_slope")):
        difference = (getattr(high, value) * scale_high - getattr(low, value) * scale_low) / (2 * step)
        assert getattr(here, slope) == pytest.approx(difference, rel=1e-5, abs=1e-9)


def test_potentials_of_the_liquid_are_slopes_of_its_energy() -> None:
    system = system_of(ELEMENTS)
    z = np.array([[0.02, 0.4, 0.01, 0.05, 0.52]])
    mu, slope = system.liquid_plane(np.array([[T_K]]), z)
    above, _ = system.liquid_plane(np.array([[T_K + 0.01]]), z)
    assert slope[0, 0] == pytest.approx((above[0, 0] * (T_K + 0.01) - mu[0, 0] * T_K) / T_K / 0.01, rel=1e-4)

    def energy(moles: np.ndarray) -> float:
        total = moles.sum()
        potentials, _ = system.liquid_plane(np.array([[T_K]]), moles[None] / total)
        return float(moles @ potentials[0, 0])

    for element in range(5):
        more = z[0].copy()
        more[element] += 1e-6
        assert (energy(more) - energy(z[0])) / 1e-6 == pytest.approx(mu[0, 0, element], abs=1e-4)


def test_an_element_a_phase_does_not_take_up() -> None:
    system = system_of(("Ag", "Bi", "Sn"))
    thermal = system.thermal(np.array([T_K]))
    assert thermal.pure[row(("Ag", "Bi", "Sn"), "rhombo"), 0, 0] > 100


def test_logarithm_is_natural() -> None:
    """The table's T ln T: the reference of silver at 500 K, written out from its row."""
    t = 500.0
    by_hand = -7209.512 + 118.200733 * t - 23.8463314 * t * log(t) - 0.001790585 * t**2 - 3.98587e-7 * t**3 - 12011 / t
    thermal = system_of(("Ag",)).thermal(np.array([t]))
    assert thermal.pure[1, 0, 0] * GAS_CONSTANT * t == pytest.approx(by_hand, rel=1e-12)


def test_a_part_of_a_system_has_the_same_energies() -> None:
    system = system_of(("Ag", "Bi", "Cu", "Pb", "Sn"))
    t_k = np.array([400.0, 500.0])
    sites = np.array([0, 2, len(system.solutions), len(system.sites) - 1])
    part, whole = system.part(tuple(sites.tolist())), system.thermal(t_k)
    assert [site.label for site in part.sites] == [system.sites[site].label for site in sites]
    own, taken = part.thermal(t_k), whole.of(sites)
    assert own.pure == pytest.approx(whole.pure[[0, 2]])
    assert own.compound == pytest.approx(whole.compound[[0, -1]])
    assert taken.pure == pytest.approx(own.pure)
    assert taken.compound == pytest.approx(own.compound)
    x = np.repeat(system.start[[0, 2], None], 2, axis=1)
    both = np.repeat(system.start[:, None], 2, axis=1)
    assert part.curvature(x, own.basis) == pytest.approx(system.curvature(both, whole.basis)[[0, 2]])
    assert part.named(np.zeros((4, 1, 5))).shape == (4, 1)
