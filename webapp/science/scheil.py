"""Solidification without diffusion in the solids (Scheil and Gulliver), for many alloys at once.

Going down in steps of temperature, the liquid left over comes to equilibrium; the solid that forms is set aside and
never takes part again. Within a step the lever rule holds. What is liquid at a temperature on the way down melts
there again when a joint that froze this way is heated.

While the same solids form, some steps are solved ahead for these phases alone, each from where the last two lead; then
all phases are looked at for all of these steps together. The first step at which that does not hold is solved again
with the whole choice of phases.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.science.equilibrium import TOLERANCE, all_liquid, equilibrium
from webapp.science.gibbs import ZERO_C, Array, System
from webapp.science.newton import Phases, newton_of_chain
from webapp.science.phase_search import Equilibrium
from webapp.science.tangents import placed, with_liquid
from webapp.science.transitions import Points, Solidus, solidus

STEP_K = 1.0
_LEAST_LIQUID = 1e-7  # mol a mol of alloy, below which it counts as frozen
_LEAST_SHARE = 1e-10  # mole fraction in the liquid kept for an element that has all but gone into solids
_COLDEST_C = 40.0
_AHEAD = 16  # steps solved before the other phases are looked at
_MOST_AT_ONCE = 2048  # points, for the sake of memory


@dataclass(frozen=True, slots=True)
class Solidification:
    """The way down: ``t_c`` (steps), falling; ``liquid`` (steps, N) mol left a mol of alloy; ``x`` (steps, N, c) mole
    fractions in it; ``end_c`` (N) where the last of it freezes."""

    t_c: Array
    liquid: Array
    x: Array
    end_c: Array


def solidification(system: System, z: Array, liquidus_t_k: Array, also_c: tuple[float, ...] = ()) -> Solidification:
    """The way down of alloys ``z`` (N, c), mole fractions, from their liquidus (N), K, in steps of 1 K.

    Steps stand at whole degrees and at the temperatures ``also_c`` besides.
    """
    steps = _steps(float(liquidus_t_k.max()) - ZERO_C, also_c)
    way = _Way(system, z, liquidus_t_k, steps)
    stuck = way.under_way()
    while len(way.under_way()):
        if len(stuck):
            way.step(stuck)
        stuck = way.go_ahead(way.under_way())
    return Solidification(steps, way.liquid, way.x, way.end_c)


class _Way:
    """The way of each alloy: at which step of ``t_c`` it is, its phases there, the liquid left at the steps so far."""

    def __init__(self, system: System, z: Array, liquidus_t_k: Array, t_c: Array) -> None:
        self._system, self._t_k = system, t_c + ZERO_C
        self._row = (t_c[:, None] >= liquidus_t_k - ZERO_C).sum(axis=0)
        self._near = all_liquid(system, liquidus_t_k, z)
        self._amount, self._left = np.ones(len(z)), z.copy()
        self.liquid, self.x = np.ones((len(t_c), len(z))), np.repeat(z[None], len(t_c), axis=0)
        self.end_c = np.full(len(z), np.nan)

    def under_way(self) -> Points:
        """The alloys that are not all solid and have steps before them."""
        return np.flatnonzero(np.isnan(self.end_c) & (self._row < len(self._t_k)))

    def step(self, now: Points) -> None:
        """One step of the alloys ``now`` with whatever phases."""
        rows, before = self._row[now], self._left[now]
        found = equilibrium(self._system, self._t_k[rows], before, start=self._near.at(now))
        self._near.put(now, found)
        left = found.amounts[0] * self._amount[now]
        frozen = left < _LEAST_LIQUID
        self._amount[now] = np.where(frozen, 0.0, left)
        self._left[now] = np.where(frozen[:, None], before, _kept(found.x[0]))
        self.liquid[rows, now], self.x[rows, now] = self._amount[now], self._left[now]
        self._row[now] += 1
        if frozen.any():
            solids = Solidus(self._t_k[rows[frozen]], found.at(np.flatnonzero(frozen)))
            self.end_c[now[frozen]] = _end(self._system, before[frozen], solids)
            for row, point in zip(rows[frozen], now[frozen], strict=True):
                self.liquid[row:, point], self.x[row:, point] = 0.0, self._left[point]

    def go_ahead(self, now: Points) -> Points:
        """Some steps of the alloys ``now``, as long as their phases stay the same; which have to choose anew."""
        if not len(now):
            return now
        steps = min(_AHEAD, max(_MOST_AT_ONCE // len(now), 2))
        rows = self._row[now] + np.arange(steps)[:, None]
        t_k = self._t_k[np.minimum(rows, len(self._t_k) - 1)]
        ahead = _ahead(self._system, t_k, self._left[now], self._near.at(now))
        rows = rows[: len(ahead.good)]
        liquid = self._amount[now] * ahead.found.amounts[0].reshape(rows.shape).cumprod(axis=0)
        good = ahead.good & (rows < len(self._t_k)) & (liquid >= _LEAST_LIQUID)
        done = good.cumprod(axis=0).sum(axis=0)
        step, there = np.nonzero(np.arange(len(rows))[:, None] < done)
        x = _kept(ahead.found.x[0]).reshape(*rows.shape, -1)
        self.liquid[rows[step, there], now[there]] = liquid[step, there]
        self.x[rows[step, there], now[there]] = x[step, there]
        some = np.flatnonzero(done)
        last = done[some] - 1
        self._amount[now[some]], self._left[now[some]] = liquid[last, some], x[last, some]
        self._near.put(now[some], ahead.found.at(last * len(now) + some))
        self._row[now] += done
        stuck: Points = now[(done < steps) & (self._row[now] < len(self._t_k))]
        return stuck


@dataclass(frozen=True, slots=True)
class _Ahead:
    """Steps on, those of the first step of all alloys first, and whether each is ``good`` (K, N)."""

    found: Equilibrium
    good: NDArray[np.bool_]


def _ahead(system: System, t_k: Array, z: Array, near: Equilibrium) -> _Ahead:
    """The steps to ``t_k`` (K, N) of liquids ``z`` (N, c) with the phases of ``near``, all others looked at after."""
    steps, points = t_k.shape
    active = np.tile(near.amounts > 0, (1, steps))
    amounts, x, mu = (np.tile(near.amounts, (1, steps)), np.tile(near.x, (1, steps, 1)), np.tile(near.mu, (steps, 1)))
    sites = with_liquid(active)
    part = system.part(tuple(sites.tolist()))
    found, converged = newton_of_chain(
        part, part.thermal(t_k.ravel()), z, Phases(amounts[sites], x[sites], mu), active[sites]
    )
    amounts[sites], x[sites] = found.amounts, found.x
    done = max(int(converged.reshape(steps, points).any(axis=1).sum()), 1) * points
    x, gap = placed(system, system.thermal(t_k.ravel()[:done]), x[:, :done], found.mu[:done], active[:, :done])
    amounts, active, liquid = amounts[:, :done], active[:, :done], _kept(x[0])
    mass = (amounts[..., None] * x).sum(axis=0) - np.concatenate([z, liquid])[:done]
    good = converged[:done] & (np.abs(mass).max(axis=-1) < TOLERANCE)
    good &= (gap.min(axis=0) > -TOLERANCE) & (np.where(active, gap, 0.0).max(axis=0) < TOLERANCE)
    return _Ahead(Equilibrium(amounts, x, found.mu[:done], gap), good.reshape(-1, points))


def _steps(top_c: float, also_c: tuple[float, ...]) -> Array:
    whole = np.arange(np.ceil(top_c), _COLDEST_C - STEP_K, -STEP_K)
    return np.unique(np.concatenate([whole, also_c]))[::-1]


def _end(system: System, x: Array, solids: Solidus) -> Array:
    """Where liquid ``x`` that is gone among ``solids`` became all solid, a step higher at most; °C."""
    return solidus(system, x, solids.t_k + STEP_K, start=solids).t_k - ZERO_C


def _kept(x: Array) -> Array:
    x = np.maximum(x, _LEAST_SHARE)
    kept: Array = x / x.sum(axis=-1, keepdims=True)
    return kept
