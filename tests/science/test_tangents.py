"""Phases above a plane of potentials."""

import numpy as np
import pytest

from webapp.science.gibbs import system_of
from webapp.science.tangents import moved, placed, tangent


def test_a_phase_touches_the_plane_of_its_own_potentials() -> None:
    system = system_of(("Bi", "Sn"))
    t_k, z = np.array([450.0]), np.array([[0.4, 0.6]])
    mu = system.liquid_plane(t_k[None], z)[0][0]
    x = np.repeat(z[None], len(system.solutions), axis=0)
    look = tangent(system, system.thermal(t_k), x, mu)
    assert look.gap[0, 0] == pytest.approx(0, abs=1e-12)
    assert np.abs(look.step[0]).max() < 1e-12


def test_response_is_the_change_of_the_composition_with_the_plane() -> None:
    system = system_of(("Bi", "Sn"))
    t_k, z = np.array([450.0]), np.array([[0.4, 0.6]])
    thermal, mu = system.thermal(t_k), system.liquid_plane(t_k[None], z)[0][0]
    x = np.repeat(z[None], len(system.solutions), axis=0)
    response = tangent(system, thermal, x, mu).response[0, 0]
    shifted = z + 1e-6 * response[:, 0]
    plane = system.liquid_plane(t_k[None], shifted)[0][0] - mu
    # A change of both potentials alike does not move the composition: compare their difference.
    assert plane[0, 0] - plane[0, 1] == pytest.approx(1e-6, rel=1e-3)


def test_a_wandered_site_begins_again_in_its_region() -> None:
    """(Bi) on the tin side of its demixing, at the plane of the eutectic liquid, goes back to bismuth."""
    system = system_of(("Bi", "Sn"))
    t_k, z = np.array([412.0]), np.array([[0.43, 0.57]])
    mu = system.liquid_plane(t_k[None], z)[0][0]
    row = [site.phase for site in system.sites].index("rhombo")
    x = np.repeat(z[None], len(system.sites), axis=0)
    x[row, 0] = [0.02, 0.98]
    found, gap = placed(system, system.thermal(t_k), x, mu, np.zeros((len(system.sites), 1), bool))
    assert found[row, 0, 0] > 0.99
    assert abs(gap[row, 0]) < 0.01


def test_held_sites_stay() -> None:
    system = system_of(("Bi", "Sn"))
    t_k, z = np.array([412.0]), np.array([[0.43, 0.57]])
    mu = system.liquid_plane(t_k[None], z)[0][0]
    x = np.repeat(z[None], len(system.sites), axis=0)
    found, _ = placed(system, system.thermal(t_k), x, mu, np.ones((len(system.sites), 1), bool))
    assert (found == x).all()


def test_moving_keeps_shares_positive_and_summing_to_one() -> None:
    new = moved(np.array([[0.5, 0.3, 0.2]]), np.array([[5.0, -5.0, 0.0]]))
    assert new.min() > 0
    assert new.sum() == pytest.approx(1)
