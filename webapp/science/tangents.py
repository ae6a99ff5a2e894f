"""How far each phase lies above a plane of chemical potentials, and where it comes closest.

For a phase of energy G(x) and a plane mu the gap is the least of G(x) - mu . x over the compositions x; it is zero for
a phase in equilibrium and positive for one that is absent. The least is found by Newton's method from a composition
that belongs to the phase site. Energies are over R T.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from webapp.science.gibbs import Array, System, Thermal, system_of
from webapp.science.samples import Samples

_ACROSS = 1e3  # stiffness against a change of the sum of x
_LEAST_CURVATURE = 0.1
LARGEST_MOVE = 0.1  # of x in one step
_LARGEST_CHANGE = 2.0  # of ln x in one step
_LEAST_SHARE = 1e-250  # of an element that a phase does not take up
_SETTLING_STEPS, _PLACING_STEPS = 3, 12
_CLEAR = 0.15  # gap in R T from which a phase is clearly absent
_STILL = 1e-6


@dataclass(frozen=True, slots=True)
class Tangent:
    """How far each phase lies above a plane of chemical potentials, and how its composition is to change.

    ``gap`` (S, N) over R T; of the solutions the change of x with mu ``response`` (solutions, N, c, c) and the Newton
    step ``step`` (solutions, N, c) towards where the gap is least.
    """

    gap: Array
    response: Array
    step: Array


def tangent(system: System, thermal: Thermal, x: Array, mu: Array) -> Tangent:
    """One look from the plane ``mu`` (N, c), or (S, N, c) for a plane a site, at the phases with ``x`` (S, N, c)."""
    solutions = len(system.solutions)
    some, plane, below = x[:solutions], mu, mu
    if mu.ndim == x.ndim:
        plane, below = mu[:solutions], mu[solutions:]
    excess = system.curvature(some, thermal.basis)
    slope = (excess @ some[..., None])[..., 0] / 3
    height = thermal.pure + np.log(some) + slope - plane
    # The sum of x * slope is four times the excess (degree four), which counts once.
    over = (some * (height - 0.75 * slope)).sum(axis=-1)
    response = _response(np.sqrt(some), excess)
    step = -(response @ height[..., None])[..., 0]
    under = thermal.compound - (x[solutions:] * below).sum(axis=-1)
    return Tangent(np.concatenate([over, under]), response, step)


def _response(root: Array, excess: Array) -> Array:
    """d x / d mu with the sum of x kept; where the phase would demix with curvatures made positive, to descend."""
    # Stiffness across the allowed directions changes nothing along them, but lets the determinant speak of them alone.
    scaled = root[..., :, None] * (excess + _ACROSS) * root[..., None, :]
    scaled += np.eye(root.shape[-1])
    inverse = np.linalg.inv(scaled)
    demixing = np.linalg.det(scaled) <= 0
    if demixing.any():
        values, vectors = np.linalg.eigh(scaled[demixing])
        positive = np.maximum(np.abs(values), _LEAST_CURVATURE)
        inverse[demixing] = (vectors / positive[:, None, :]) @ vectors.transpose(0, 2, 1)
    side = (inverse @ root[..., None])[..., 0]
    along = (side * root).sum(axis=-1)
    inverse -= side[..., :, None] * side[..., None, :] / along[..., None, None]
    response: Array = root[..., :, None] * inverse * root[..., None, :]
    return response


def moved(x: Array, change: Array, reach: Array | float = LARGEST_MOVE) -> Array:
    """``x`` moved by ``change``, no share by more than ``reach``, kept positive and summing to one."""
    change = change * np.minimum(1, reach / (np.abs(change).max(axis=-1, keepdims=True) + 1e-300))
    new = x * np.exp(np.minimum(np.maximum(change / x, -_LARGEST_CHANGE), _LARGEST_CHANGE))
    kept: Array = np.maximum(new / new.sum(axis=-1, keepdims=True), _LEAST_SHARE)
    return kept


def shift_of(look: Tangent, d_mu: Array) -> Array:
    """What a change of the plane does to the compositions."""
    shift: Array = (look.response @ d_mu[None, :, :, None])[..., 0]
    return shift


def settled(system: System, thermal: Thermal, z: Array, mu: Array) -> Array:
    """Compositions to start from: each phase site moved towards where it comes closest to the plane ``mu``."""
    solutions = len(system.solutions)
    x = np.empty((len(system.sites), *z.shape))
    x[:solutions], x[solutions:] = system.start[:, None, :], system.fixed[:, None, :]
    x[0] = z
    for _ in range(_SETTLING_STEPS):
        look = tangent(system, thermal, x, mu)
        x[:solutions] = moved(x[:solutions], look.step)
    return x


def placed(system: System, thermal: Thermal, x: Array, mu: Array, held: NDArray[np.bool_]) -> tuple[Array, Array]:
    """Compositions and gaps of all sites at the plane ``mu`` (N, c), those ``held`` (S, N) staying as they are.

    A site begins at its lowest sample where that lies lower or the site has wandered from its region of composition;
    or a phase could go unseen. Phases that are clearly absent are not placed to the last digit.
    """
    solutions = len(system.solutions)
    x, free = x.copy(), ~held[:solutions]
    look = tangent(system, thermal, x, mu)
    sample, sample_gap = samples_of(system.elements).lowest(thermal, mu)
    near = system.near[:solutions, None]
    strayed = (near >= 0) & (x[:solutions].argmax(axis=-1) != near)
    anew = free & (strayed | (sample_gap < look.gap[:solutions]))
    if anew.any():
        x[:solutions] = np.where(anew[..., None], sample, x[:solutions])
        look = tangent(system, thermal, x, mu)
    if _unplaced(look, free).any():
        x[:solutions] = moved(x[:solutions], np.where(free[..., None], look.step, 0.0))
        look = tangent(system, thermal, x, mu)
        _place_further(system, thermal, x, mu, look, free)
    return x, look.gap


def _unplaced(look: Tangent, free: NDArray[np.bool_]) -> NDArray[np.bool_]:
    # Where the liquid stands is asked for its own sake.
    close = (look.gap[: len(free)] < _CLEAR) | (np.arange(len(free)) == 0)[:, None]
    unplaced: NDArray[np.bool_] = free & close & (np.abs(look.step).max(axis=-1) > _STILL)
    return unplaced


def _place_further(
    system: System, thermal: Thermal, x: Array, mu: Array, look: Tangent, free: NDArray[np.bool_]
) -> None:
    """The sites and points not yet where the gap is least, put into ``x`` and the gaps of ``look``."""
    unplaced = _unplaced(look, free)
    if not unplaced.any():
        return
    sites, points = with_liquid(unplaced), np.flatnonzero(unplaced.any(axis=0))
    block = np.ix_(sites, points)
    part, some, plane = system.part(tuple(sites.tolist())), thermal.of(sites).at(points), mu[points]
    moving: NDArray[np.bool_] = free[block]
    at, step = x[block], look.step[block]
    for _ in range(_PLACING_STEPS):
        at = moved(at, np.where(moving[..., None], step, 0.0))
        new = tangent(part, some, at, plane)
        step = new.step
        if not _unplaced(new, moving).any():
            break
    x[block], look.gap[block] = at, new.gap


def with_liquid(active: NDArray[np.bool_]) -> NDArray[np.intp]:
    """The phase sites that are there at any point of ``active`` (S, N), and the liquid."""
    return np.flatnonzero(active.any(axis=1) | (np.arange(len(active)) == 0))


@cache
def samples_of(elements: tuple[str, ...]) -> Samples:
    """The sample compositions of the system of these elements, made once."""
    return Samples(system_of(elements))
