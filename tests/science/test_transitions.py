"""Liquidus, solidus and the search for roots."""

import numpy as np
import pytest

from webapp.science.alloy_points import grouped
from webapp.science.equilibrium import equilibrium
from webapp.science.gibbs import ZERO_C
from webapp.science.transitions import falling_root, liquid_mass_share, liquid_share_reached, liquidus, solidus
from webapp.trade.composition import Composition, read_composition


def test_roots_of_many_at_once() -> None:
    targets = np.array([1.0, 8.0, 27.0])
    found = falling_root(
        lambda points, at: targets[points] - at**3,
        np.zeros(3),
        np.full(3, 10.0),
        targets - 1000,
        np.full(3, 5.0),
    )
    assert found == pytest.approx([1, 2, 3], abs=1e-6)


def test_a_jump_is_found_as_the_root() -> None:
    found = falling_root(
        lambda _points, at: np.where(at < 0.3, 1.0, -1.0), np.zeros(1), np.ones(1), -np.ones(1), np.full(1, 0.5)
    )
    assert found == pytest.approx([0.3], abs=1e-6)


@pytest.mark.parametrize("text", ["Sn60Bi40", "Sn42Bi57Ag1", "Sn96.5Ag3Cu0.5", "Sn62Pb36Ag2"])
def test_around_solidus_and_liquidus_the_phases_say_the_same(text: str) -> None:
    (points,) = grouped([read_composition(text)])
    top = liquidus(points.system, points.z).t_k
    bottom = solidus(points.system, points.z, top).t_k
    for t_k, low, high in (
        (bottom - 1e-3, 0.0, 0.0),
        (bottom + 1e-3, 1e-6, 1.0),
        (top - 1e-3, 0.0, 1 - 1e-9),
        (top + 1e-3, 1.0, 1.0),
    ):
        share = liquid_mass_share(equilibrium(points.system, t_k, points.z), points.z, points.masses)[0]
        assert low - 1e-12 <= share <= high + 1e-12


def test_half_liquid() -> None:
    (points,) = grouped([read_composition("Sn60Bi40")])
    top = liquidus(points.system, points.z).t_k
    bottom = solidus(points.system, points.z, top).t_k
    t_k = liquid_share_reached(points.system, points.z, points.masses, (bottom, top), 0.7)
    share = liquid_mass_share(equilibrium(points.system, t_k, points.z), points.z, points.masses)
    assert share == pytest.approx([0.7], abs=1e-6)


@pytest.mark.parametrize("text", ["Sn60Bi39Pb1", "Sn42Bi57Ag1", "Sn96.5Ag3Cu0.5", "Sn93Bi4Pb2Ag1"])
def test_a_solidus_from_nearby_is_that_of_the_search(text: str) -> None:
    shares = read_composition(text).wt_pct
    near, there = (
        Composition.of({**shares, "Sn": shares["Sn"] - step, "Ag": shares.get("Ag", 0) + step}) for step in (0.1, 0.2)
    )
    (one,), (other,) = grouped([near]), grouped([there])
    begin = solidus(one.system, one.z, liquidus(one.system, one.z).t_k)
    top = liquidus(other.system, other.z)
    searched = solidus(other.system, other.z, top.t_k)
    assert solidus(other.system, other.z, top.t_k, start=begin).t_k == pytest.approx(searched.t_k, abs=1e-6)
    assert solidus(other.system, other.z, top.t_k, matrix_t_k=top.matrix_t_k).t_k == pytest.approx(
        searched.t_k, abs=1e-6
    )


def test_a_start_with_other_phases_is_given_up() -> None:
    """96.5Sn-3.5Ag begins to melt with Ag3Sn beside (Sn), ten kelvin below the start, which has (Sn) alone."""
    (plain,), (point,) = grouped([read_composition("Sn99.99Ag0.01")]), grouped([read_composition("Sn96.5Ag3.5")])
    begin = solidus(plain.system, plain.z, liquidus(plain.system, plain.z).t_k)
    top = liquidus(point.system, point.z).t_k
    assert begin.t_k[0] - ZERO_C > 230
    assert solidus(point.system, point.z, top, start=begin).t_k - ZERO_C == pytest.approx([220.25], abs=0.05)
