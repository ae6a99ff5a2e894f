"""Freezing without diffusion."""

import numpy as np
import pytest

from webapp.science import scheil
from webapp.science.alloy_points import grouped
from webapp.science.equilibrium import equilibrium
from webapp.science.gibbs import ZERO_C
from webapp.science.scheil import solidification
from webapp.science.transitions import liquidus
from webapp.trade.composition import read_composition


def left_at(text: str, t_c: float) -> float:
    (points,) = grouped([read_composition(text)])
    way = solidification(points.system, points.z, liquidus(points.system, points.z).t_k, (t_c,))
    return float(way.liquid[way.t_c.tolist().index(t_c), 0])


def test_a_finer_step_changes_little(monkeypatch: pytest.MonkeyPatch) -> None:
    """The lever within a step of 1 K takes 1 % of what is left."""
    coarse = left_at("Sn80Bi20", 140.0)
    monkeypatch.setattr(scheil, "STEP_K", 0.25)
    assert left_at("Sn80Bi20", 140.0) == pytest.approx(coarse, rel=0.015)


def test_liquid_ends_at_the_eutectic_composition() -> None:
    (points,) = grouped([read_composition("Sn80Bi20")])
    way = solidification(points.system, points.z, liquidus(points.system, points.z).t_k)
    last = np.flatnonzero(way.liquid[:, 0] > 0)[-1]
    assert 100 * points.mass_fractions(way.x[last, 0])[0] == pytest.approx(56.97, abs=0.5)
    assert way.end_c[0] == pytest.approx(138.81, abs=0.01)


def test_alloys_that_begin_at_different_heights_do_not_disturb_each_other() -> None:
    alloys = [read_composition(text) for text in ("Sn42Bi58", "Sn90Bi10", "Sn60Bi40")]
    (points,) = grouped(alloys)
    tops = liquidus(points.system, points.z).t_k
    together = solidification(points.system, points.z, tops, (145.0,))
    row = together.t_c.tolist().index(145.0)
    for place, alloy in enumerate(alloys):
        assert together.liquid[row, place] == pytest.approx(left_at(alloy.text, 145.0), abs=1e-9)


@pytest.mark.parametrize("text", ["Sn78Bi18Ag2.3Cu0.7Pb1", "Sn60Bi38Cu2", "Sn41.9Bi57.9Pb0.2"])
def test_steps_ahead_are_those_of_the_whole_choice_of_phases(text: str) -> None:
    """The plain way: each step alone, with a search from no knowledge."""
    (points,) = grouped([read_composition(text)])
    top = liquidus(points.system, points.z).t_k
    way = solidification(points.system, points.z, top)
    left, x = 1.0, points.z
    for t_c, liquid in zip(way.t_c, way.liquid[:, 0], strict=True):
        if t_c < top[0] - ZERO_C and left:
            found = equilibrium(points.system, np.array([t_c + ZERO_C]), x)
            left *= float(found.amounts[0, 0])
            left, x = (left, found.x[0]) if left > 1e-7 else (0.0, x)
        assert liquid == pytest.approx(left, abs=1e-7)
