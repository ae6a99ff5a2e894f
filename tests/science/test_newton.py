"""Newton's method on phases that are given: one point, points of a chain, a share of liquid."""

import numpy as np
import pytest

from webapp.science.alloy_points import AlloyPoints, grouped
from webapp.science.equilibrium import equilibrium
from webapp.science.gibbs import ZERO_C
from webapp.science.newton import Phases, newton, newton_of_chain, newton_to_share
from webapp.science.phase_search import Equilibrium
from webapp.science.tangents import with_liquid
from webapp.trade.composition import read_composition


def known(text: str, t_c: float) -> tuple[AlloyPoints, Equilibrium]:
    (points,) = grouped([read_composition(text)])
    return points, equilibrium(points.system, np.array([t_c + ZERO_C]), points.z)


def phases_of(found: Equilibrium) -> Phases:
    return Phases(found.amounts, found.x, found.mu)


def test_from_ten_kelvin_away_to_what_the_search_finds() -> None:
    points, near = known("Sn60Bi38Ag2", 165.0)
    _, there = known("Sn60Bi38Ag2", 155.0)
    thermal = points.system.thermal(np.array([155.0 + ZERO_C]))
    found, change = newton(points.system, thermal, points.z, phases_of(near), near.amounts > 0)
    assert change.max() < 1e-7
    assert found.amounts == pytest.approx(there.amounts, abs=1e-9)
    assert found.mu == pytest.approx(there.mu, abs=1e-9)


def test_a_part_of_the_phases_gives_the_same() -> None:
    points, near = known("Sn60Bi38Ag2", 165.0)
    active = near.amounts > 0
    sites = with_liquid(active)
    thermal = points.system.thermal(np.array([155.0 + ZERO_C]))
    whole, _ = newton(points.system, thermal, points.z, phases_of(near), active)
    some = Phases(near.amounts[sites], near.x[sites], near.mu)
    part, _ = newton(points.system.part(tuple(sites.tolist())), thermal.of(sites), points.z, some, active[sites])
    assert part.amounts == pytest.approx(whole.amounts[sites], abs=1e-12)
    assert part.mu == pytest.approx(whole.mu, abs=1e-12)


def test_a_chain_is_its_points_one_after_the_other() -> None:
    """Each point takes the liquid of the one before as its alloy."""
    points, near = known("Sn60Bi38Ag2", 165.0)
    system, steps = points.system, 6
    t_k = np.arange(164.0, 164.0 - steps, -1.0) + ZERO_C
    start = Phases(np.tile(near.amounts, (1, steps)), np.tile(near.x, (1, steps, 1)), np.tile(near.mu, (steps, 1)))
    active = np.tile(near.amounts > 0, (1, steps))
    found, good = newton_of_chain(system, system.thermal(t_k), near.x[0], start, active)
    assert good.all()
    liquid = near.x[0]
    for place, one in enumerate(t_k):
        alone = equilibrium(system, np.array([one]), liquid)
        assert found.amounts[:, place] == pytest.approx(alone.amounts[:, 0], abs=1e-9)
        liquid = alone.x[0]
        assert found.x[0, place] == pytest.approx(liquid[0], abs=1e-9)


def test_a_chain_counts_up_to_where_a_phase_is_gone() -> None:
    """Going up, the liquid saturated with (Sn) at 173 °C has none of it left at 174."""
    points, near = known("Sn60Bi40", 172.0)
    t_k = np.array([173.0, 174.0, 176.0, 177.0]) + ZERO_C
    start = Phases(np.tile(near.amounts, (1, 4)), np.tile(near.x, (1, 4, 1)), np.tile(near.mu, (4, 1)))
    active = np.tile(near.amounts > 0, (1, 4))
    _, good = newton_of_chain(points.system, points.system.thermal(t_k), points.z, start, active)
    assert good.tolist() == [True, False, False, False]


@pytest.mark.parametrize(("share", "near_c"), [(0.0, 150.0), (0.8, 150.0), (0.99, 168.0)])
def test_where_a_share_is_liquid(share: float, near_c: float) -> None:
    points, near = known("Sn80Bi20", near_c)
    found = newton_to_share(
        points.system, np.array([near_c + ZERO_C]), points.z, phases_of(near), near.amounts > 0, points.masses, share
    )
    assert found.good.all()
    liquid = found.phases.amounts[0] * (found.phases.x[0] @ points.masses) / (points.z @ points.masses)
    assert liquid == pytest.approx([share], abs=1e-9)
    for shift in (-0.01, 0.01):
        beside = equilibrium(points.system, found.t_k + shift, points.z)
        left = float((beside.amounts[0] * (beside.x[0] @ points.masses) / (points.z @ points.masses))[0])
        assert (left > share) == (shift > 0) or left == share == 0
