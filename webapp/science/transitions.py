"""Where melting begins and ends: liquidus and solidus of many alloys at once.

The liquidus of one solid phase s is the root in T of its gap above the plane of the liquid's own potentials,
G_s(x, T) - mu_liquid(z, T) . x with x where the gap is least; Newton's method takes T and x together. The liquidus of
the alloy is the highest of them, which also names the first solid; left without the intermetallic compounds it is the
liquidus of the matrix. The solidus is the root of the liquid's gap above the plane of the solids in equilibrium.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.science.equilibrium import TOLERANCE, equilibrium
from webapp.science.gibbs import Array, System, Thermal
from webapp.science.newton import Phases, newton_to_share
from webapp.science.phase_search import Equilibrium, NoEquilibriumError
from webapp.science.tangents import moved, placed, tangent, with_liquid

Points = NDArray[np.intp]

_GUESS_K = 480.0
_COLDEST_K, _HOTTEST_K = 250.0, 1400.0
_STRIDE_K = 60.0
_STEPS, _SETTLING_STEPS, _MOST_STEPS = 30, 3, 90
_CLOSE_K, _CLOSE_GAP = 1e-7, 1e-9
_FIRST_STEP_K = 8.0
_FLOOR_K = 340.0  # no alloy of the five elements melts below the Bi-Pb-Sn eutectic, 371 K


@dataclass(frozen=True, slots=True)
class Liquidus:
    """Per alloy (N): temperature in K of the first solid and its row in ``System.sites``, of all and of the matrix."""

    t_k: Array
    site: Array
    matrix_t_k: Array
    matrix_site: Array


@dataclass(frozen=True, slots=True)
class Solidus:
    """Per alloy (N): temperature in K where melting begins, and the solids there."""

    t_k: Array
    solids: Equilibrium


def liquidus(system: System, z: Array) -> Liquidus:
    """The liquidus of alloys ``z`` (N, c), mole fractions, all above zero."""
    by_site, matrix, named = _liquidus_of_sites(system, z)
    if not np.isfinite(by_site.max(axis=0)).all():
        raise NoEquilibriumError("No liquidus was found.")
    # An alloy without tin, bismuth and lead has no matrix but its first solid.
    matrix = np.where(np.isfinite(matrix.max(axis=0)), matrix, by_site)
    first, first_of_matrix, points = by_site.argmax(axis=0) + 1, matrix.argmax(axis=0) + 1, np.arange(len(z))
    return Liquidus(by_site.max(axis=0), named[first, points], matrix.max(axis=0), named[first_of_matrix, points])


def solidus(
    system: System, z: Array, liquidus_t_k: Array, *, matrix_t_k: Array | None = None, start: Solidus | None = None
) -> Solidus:
    """Where melting of alloys ``z`` (N, c) begins, at or below ``liquidus_t_k`` (N).

    The search begins below ``matrix_t_k``, the liquidus of the matrix, if given; or with ``start``, the solidus of
    alloys nearby, one each.
    """
    every, high, unknown = np.arange(len(z)), liquidus_t_k, np.full_like(liquidus_t_k, np.nan)
    low, at_high = np.full_like(high, _FLOOR_K), unknown
    if start is None:
        t_k = _near_the_top(low, high if matrix_t_k is None else np.minimum(high, matrix_t_k))
        start = Solidus(t_k, equilibrium(system, t_k, z, solids_only=True))
        gap = start.solids.gap[0]
        low, high, at_high = np.where(gap > 0, t_k, low), np.where(gap > 0, high, t_k), np.where(gap > 0, unknown, gap)
    solids = start.solids.at(every)
    leap = _Leap(system, z, np.ones(z.shape[1]), 0.0, solids)
    t_k, sure = leap(every, start.t_k, (low, high))
    other = np.flatnonzero(~sure)

    def liquid_gap(points: Points, at: Array) -> Array:
        some = other[points]
        solids.put(some, equilibrium(system, at, z[some], solids_only=True, start=solids.at(some)))
        gap: Array = solids.gap[0, some]
        return gap

    def leap_of_others(points: Points, at: Array, bounds: tuple[Array, Array]) -> tuple[Array, NDArray[np.bool_]]:
        return leap(other[points], at, bounds)

    if len(other):
        first = np.where(np.isfinite(t_k), t_k, 0.5 * (low + high))[other]
        t_k[other] = falling_root(liquid_gap, low[other], high[other], at_high[other], first, leap_of_others)
    return Solidus(t_k, solids)


def liquid_share_reached(
    system: System, z: Array, masses: Array, bounds_t_k: tuple[Array, Array], share: float
) -> Array:
    """Temperature, K, at which ``share`` of the mass of alloys ``z`` (N, c) is liquid.

    ``masses`` (c) are those of the elements, ``bounds_t_k`` solidus and liquidus (N). Where that share melts at the
    solidus itself the solidus is returned.
    """
    low, high = bounds_t_k
    found = equilibrium(system, high, z)

    def missing(points: Points, t_k: Array) -> Array:
        now = equilibrium(system, t_k, z[points], start=found.at(points))
        found.put(points, now)
        return share - liquid_mass_share(now, z[points], masses)

    leap = _Leap(system, z, masses, share, found)
    return falling_root(missing, low, high, np.full_like(high, share - 1), _near_the_top(low, high), leap)


class _Leap:
    """From phases near a root to where these themselves have it, which is the root if no other phase is in the way.

    ``found`` is what was found last at each alloy; a root is put there.
    """

    def __init__(self, system: System, z: Array, masses: Array, share: float, found: Equilibrium) -> None:
        self._system, self._z, self._masses, self._share, self._found = system, z, masses, share, found

    def __call__(self, points: Points, t_k: Array, bounds_t_k: tuple[Array, Array]) -> tuple[Array, NDArray[np.bool_]]:
        """Where the phases found last at ``t_k`` lead, not a number if nowhere; and whether that is the root."""
        near, z = self._found.at(points), self._z[points]
        active = near.amounts > 0
        active[0] = True
        sites, x = with_liquid(active), near.x.copy()
        part, phases = self._system.part(tuple(sites.tolist())), Phases(near.amounts[sites], x[sites], near.mu)
        try:
            there = newton_to_share(part, t_k, z, phases, active[sites], self._masses, self._share)
        except np.linalg.LinAlgError:
            return np.full_like(t_k, np.nan), np.zeros(len(points), bool)
        inside = there.good & (there.t_k > bounds_t_k[0]) & (there.t_k < bounds_t_k[1] + _CLOSE_K)
        likely = np.flatnonzero(inside & (there.phases.amounts.min(axis=0) > -TOLERANCE))
        sure = np.zeros(len(points), bool)
        if len(likely):
            amounts = np.zeros((len(x), len(likely)))
            amounts[sites], x[sites] = there.phases.amounts[:, likely], there.phases.x
            mu, thermal = there.phases.mu[likely], self._system.thermal(there.t_k[likely])
            x, gap = placed(self._system, thermal, x[:, likely], mu, active[:, likely])
            right = gap.min(axis=0) > -TOLERANCE
            sure[likely] = right
            if not self._share:
                amounts[0] = 0.0
            done = Equilibrium(np.maximum(amounts, 0.0), x, mu, gap).at(np.flatnonzero(right))
            self._found.put(points[sure], done)
        return np.where(inside, there.t_k, np.nan), sure


def _near_the_top(low: Array, high: Array) -> Array:
    first: Array = np.maximum(high - _FIRST_STEP_K, 0.5 * (low + high))
    return first


def liquid_mass_share(found: Equilibrium, z: Array, masses: Array) -> Array:
    """The share of the mass that is liquid, (N)."""
    share: Array = found.amounts[0] * (found.x[0] @ masses) / (z @ masses)
    return share


def falling_root(
    evaluate: Callable[[Points, Array], Array],
    low: Array,
    high: Array,
    at_high: Array,
    first: Array,
    leap: Callable[[Points, Array, tuple[Array, Array]], tuple[Array, NDArray[np.bool_]]] | None = None,
) -> Array:
    """Roots (N) between ``low``, where the function is positive, and ``high``, where it is ``at_high`` <= 0
    (not a number if not known).

    ``evaluate`` takes the points still open and where to look for each; ``first`` is looked at first. The secant
    method inside a bracket, which is halved whenever three steps have not made it half as wide. Roots
    are good to 1e-7, or to a value of the function of 1e-9. ``leap``, given the points, where they were looked at and
    the bracket, knows better where to look, not a number if it does not, and whether the root is there.
    """
    low, high = low.copy(), high.copy()
    last_t, last_value = high.copy(), at_high
    t = first.copy()
    width = high - low
    points = np.arange(len(t))
    for step in range(_MOST_STEPS):
        here, value = t[points], evaluate(points, t[points])
        high[points] = np.where(value <= 0, here, high[points])
        low[points] = np.where(value <= 0, low[points], here)
        with np.errstate(divide="ignore", invalid="ignore"):
            new = here - value * (here - last_t[points]) / (value - last_value[points])
        bottom, top = low[points], high[points]
        narrow = np.full(len(points), True)
        if step % 3 == 2:
            narrow = top - bottom < 0.5 * width[points]
            width[points] = top - bottom
        led, sure = (
            leap(points, here, (bottom, top)) if leap else (np.full_like(here, np.nan), np.zeros(len(here), bool))
        )
        new = np.where(np.isfinite(led), led, new)
        new = np.where((new > bottom) & (new < top) & narrow, new, 0.5 * (bottom + top))
        last_t[points], last_value[points] = here, value
        done = (np.abs(value) < _CLOSE_GAP) | (top - bottom < _CLOSE_K) | (np.abs(new - here) < _CLOSE_K)
        t[points] = np.where(sure, led, np.where(done, here, new))
        points = points[~(done | sure)]
        if not len(points):
            return t
    raise NoEquilibriumError("A temperature or composition of melting was not found.")


def _liquidus_of_sites(system: System, z: Array) -> tuple[Array, Array, Points]:
    """Temperature at which each solid appears in the liquid, (S - 1, N) K, minus infinity where it never does.

    The second is the same for the solids that make up the matrix of a solder, the third the site each is named by.
    """
    sites, solutions = len(system.sites), len(system.solutions)
    t_k = np.full((sites, len(z)), _GUESS_K)
    x = np.empty((sites, *z.shape))
    x[:solutions], x[solutions:] = system.start[:, None, :], system.fixed[:, None, :]
    change = np.zeros_like(t_k)
    for step in range(_STEPS):
        thermal = system.thermal(t_k)
        mu, d_mu = system.liquid_plane(t_k, z)
        look = tangent(system, thermal, x, mu)
        if step >= _SETTLING_STEPS:
            slope = _slopes(system, thermal, t_k, x) - (x * d_mu).sum(axis=-1)
            with np.errstate(divide="ignore", invalid="ignore"):
                change = np.clip(np.where(slope > 0, -look.gap / slope, 0.0), -_STRIDE_K, _STRIDE_K)
            new = np.clip(t_k + change, _COLDEST_K, _HOTTEST_K)
            t_k, change = new, new - t_k
        x[:solutions] = moved(x[:solutions], look.step)
        if step > _SETTLING_STEPS and np.abs(change[1:]).max() < _CLOSE_K:
            break
    found = np.where((np.abs(change) < _CLOSE_K) & (np.abs(look.gap) < _CLOSE_GAP), t_k, -np.inf)[1:]
    named = system.named(x)
    in_matrix = system.is_matrix[named[1:]] & (x[1:].argmax(axis=-1) == system.near[named[1:]])
    return found, np.where(in_matrix, found, -np.inf), named


def _slopes(system: System, thermal: Thermal, t_k: Array, x: Array) -> Array:
    """The slope per K of each phase's energy at constant composition, over R T: (S, N)."""
    some = x[: len(system.solutions)]
    excess = system.curvature(some, thermal.basis_slope)
    slope = thermal.pure_slope + np.log(some) / t_k[: len(some), :, None] + (excess @ some[..., None])[..., 0] / 12
    return np.concatenate([(some * slope).sum(axis=-1), thermal.compound_slope])
