"""Solidification without diffusion in the solids (Scheil and Gulliver), for many alloys at once.

Going down in steps of temperature, the liquid left over comes to equilibrium; the solid that forms is set aside and
never takes part again. Within a step the lever rule holds. What is liquid at a temperature on the way down melts
there again when a joint that froze this way is heated.
"""

from dataclasses import dataclass

import numpy as np

from webapp.science.equilibrium import all_liquid, equilibrium
from webapp.science.gibbs import ZERO_C, Array, System
from webapp.science.transitions import solidus

STEP_K = 1.0
_LEAST_LIQUID = 1e-7  # mol a mol of alloy, below which it counts as frozen
_LEAST_SHARE = 1e-10  # mole fraction in the liquid kept for an element that has all but gone into solids
_COLDEST_C = 40.0


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
    liquidus_c = liquidus_t_k - ZERO_C
    steps = _steps(float(liquidus_c.max()), also_c)
    amount, x = np.ones(len(z)), z.copy()
    liquid, xs = np.ones((len(steps), len(z))), np.repeat(z[None], len(steps), axis=0)
    end_c = np.full(len(z), np.nan)
    near = all_liquid(system, liquidus_t_k, z)
    for row, t_c in enumerate(steps):
        now = np.flatnonzero((t_c < liquidus_c) & np.isnan(end_c))
        if len(now):
            found = equilibrium(system, np.full(len(now), t_c + ZERO_C), x[now], start=near.at(now))
            near.put(now, found)
            left = found.amounts[0] * amount[now]
            frozen = left < _LEAST_LIQUID
            if frozen.any():
                end_c[now[frozen]] = _end(system, x[now[frozen]], t_c)
            amount[now] = np.where(frozen, 0.0, left)
            x[now[~frozen]] = _kept(found.x[0][~frozen])
        liquid[row], xs[row] = amount, x
    return Solidification(steps, liquid, xs, end_c)


def _steps(top_c: float, also_c: tuple[float, ...]) -> Array:
    whole = np.arange(np.ceil(top_c), _COLDEST_C - STEP_K, -STEP_K)
    return np.unique(np.concatenate([whole, also_c]))[::-1]


def _end(system: System, x: Array, t_c: float) -> Array:
    """Where liquid ``x`` that is gone at ``t_c`` became all solid, a step higher at most; °C."""
    above = np.full(len(x), t_c + STEP_K + ZERO_C)
    return solidus(system, x, above).t_k - ZERO_C


def _kept(x: Array) -> Array:
    x = np.maximum(x, _LEAST_SHARE)
    kept: Array = x / x.sum(axis=-1, keepdims=True)
    return kept
