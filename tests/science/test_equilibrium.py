"""Phases in equilibrium: what must hold whatever the alloy."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.science.alloys import covered
from webapp.science.alloy_points import grouped
from webapp.science.equilibrium import all_liquid, equilibrium
from webapp.science.gibbs import ZERO_C, System, system_of
from webapp.science.transitions import liquidus, solidus
from webapp.trade.composition import Composition, read_composition

EXAMPLES = settings(max_examples=40, deadline=None)


def random_compositions(system: System, count: int) -> np.ndarray:
    """Anywhere in composition, many near the edges."""
    chance = np.random.default_rng(5)
    drawn = chance.dirichlet(np.full(len(system.elements), 0.4), count)
    return np.maximum(drawn, 1e-12) / np.maximum(drawn, 1e-12).sum(axis=1, keepdims=True)


@given(covered(), st.floats(25, 300))
@EXAMPLES
def test_mass_is_kept_and_no_amount_is_below_zero(alloy: Composition, t_c: float) -> None:
    (points,) = grouped([alloy])
    found = equilibrium(points.system, np.array([t_c + ZERO_C]), points.z)
    assert np.abs((found.amounts[..., None] * found.x).sum(axis=0) - points.z).max() < 1e-9
    assert found.amounts.min() >= 0
    assert found.amounts.sum() == pytest.approx(1, abs=1e-9)
    assert found.gap.min() > -1e-8


def lowest_above_the_plane(system: System, t_k: float, mu: np.ndarray, first: int) -> float:
    """Over 400 random compositions of every solution phase from ``first``."""
    x = random_compositions(system, 400)
    everywhere = np.repeat(x[None], len(system.solutions), axis=0)
    thermal = system.thermal(np.full(len(x), t_k))
    slope = (system.curvature(everywhere, thermal.basis) @ everywhere[..., None])[..., 0] / 3
    height = thermal.pure + np.log(everywhere) + slope - 0.75 * (everywhere * slope).sum(axis=-1, keepdims=True)
    return float((everywhere * (height - mu)).sum(axis=-1)[first:].min())


@given(covered(least=1), st.floats(40, 260))
@EXAMPLES
def test_no_phase_anywhere_lies_below_the_plane(alloy: Composition, t_c: float) -> None:
    """Against a search caught in one region of composition."""
    (points,) = grouped([alloy])
    found = equilibrium(points.system, np.array([t_c + ZERO_C]), points.z)
    assert lowest_above_the_plane(points.system, t_c + ZERO_C, found.mu, 0) > -1e-8


@given(covered(least=1))
@EXAMPLES
def test_at_the_solidus_no_phase_lies_below_the_plane(alloy: Composition) -> None:
    (points,) = grouped([alloy])
    begin = solidus(points.system, points.z, liquidus(points.system, points.z).t_k)
    assert lowest_above_the_plane(points.system, float(begin.t_k[0]), begin.solids.mu, 0) > -1e-7
    assert begin.solids.gap[0, 0] == pytest.approx(0, abs=1e-7)


@given(st.integers(0, 5000))
@settings(max_examples=15, deadline=None)
def test_a_start_nearby_changes_nothing(seed: int) -> None:
    chance = np.random.default_rng(seed)
    system = system_of(("Ag", "Bi", "Cu", "Pb", "Sn"))
    z = chance.dirichlet([0.2, 4, 0.1, 0.5, 8], 6)
    z = np.maximum(z, 1e-6) / np.maximum(z, 1e-6).sum(axis=1, keepdims=True)
    t_k = chance.uniform(330, 480, 6)
    cold = equilibrium(system, t_k, z)
    warm = equilibrium(system, t_k, z, start=equilibrium(system, t_k + 15, z))
    assert warm.amounts[0] == pytest.approx(cold.amounts[0], abs=1e-7)
    assert warm.mu == pytest.approx(cold.mu, abs=1e-6)


def test_two_solid_solutions_of_one_phase_are_held_apart() -> None:
    """Ag-Cu at 700 °C: silver-rich and copper-rich fcc side by side."""
    (points,) = grouped([read_composition("Ag72Cu28")])
    found = equilibrium(points.system, np.array([700 + ZERO_C]), points.z)
    labels = [site.label for site in points.system.sites]
    assert found.amounts[labels.index("(Ag)"), 0] > 0.5
    assert found.amounts[labels.index("(Cu)"), 0] > 0.2


def test_at_the_invariant_itself_the_mass_is_kept() -> None:
    (points,) = grouped([read_composition("Sn52.22Bi43.77Cu1.96Ag1.45Pb0.6")])
    t_k = solidus(points.system, points.z, liquidus(points.system, points.z).t_k).t_k
    for shift in (-1e-9, 0.0, 1e-9):
        found = equilibrium(points.system, t_k + shift, points.z)
        assert np.abs((found.amounts[..., None] * found.x).sum(axis=0) - points.z).max() < 1e-7
        assert 0 <= found.amounts.min() <= found.amounts.max() <= 1 + 1e-7


def test_solids_only_leaves_the_liquid_out() -> None:
    (points,) = grouped([read_composition("Sn42Bi58")])
    found = equilibrium(points.system, np.array([200 + ZERO_C]), points.z, solids_only=True)
    assert found.amounts[0, 0] == 0
    assert found.gap[0, 0] < 0


def test_all_liquid_is_the_alloy() -> None:
    (points,) = grouped([read_composition("Sn42Bi58")])
    found = all_liquid(points.system, np.array([500.0]), points.z)
    assert found.x[0] == pytest.approx(points.z)
    assert found.amounts[:, 0].tolist() == [1.0, *[0.0] * (len(points.system.sites) - 1)]
