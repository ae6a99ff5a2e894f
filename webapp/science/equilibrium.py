"""Phases in equilibrium, for many compositions and temperatures at once.

At given T and overall composition z the stable phases are those that make G least. The chemical potentials mu are the
solution of the dual problem: z . mu is greatest while no phase lies below the plane of mu anywhere,

    d_s(mu) = min over x of [G_s(x) - mu . x] >= 0   for every phase site s,

and the amounts n_s are its multipliers. Solved by a primal-dual interior-point method (n_s d_s = t, t towards zero),
in which the composition of each site takes one Newton step an iteration; it needs no guess of which phases are stable.
The last digits come from Newton's method on the phases found. Method: S. Boyd, L. Vandenberghe, Convex Optimization,
Cambridge 2004, ch. 11.7. Energies are over R T, amounts are mol of atoms a mol of alloy.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.science.gibbs import Array, System, Thermal

_MOST_STEPS, _POLISH_STEPS, _SETTLING_STEPS = 80, 12, 3
_FIRST_GAP, _FIRST_PRODUCT, _LAST_PRODUCT = 0.3, 0.1, 1e-11  # slack in R T, slack times amount: from and to where
_KEPT = 0.02  # share of a slack or amount that a step leaves at least
_CENTRING = (0.01, 0.5)  # by how much the products are to fall in a step: much after a full one, little after a short
_TOLERANCE, _POLISHED, _TOUCH = 1e-9, 1e-7, 1e-13
_SAME = 1e-4  # difference of x below which two sites of one phase are one
_CLEAR = 0.05  # gap in R T from which a phase is clearly absent
_LEAST_SHARE = 1e-250  # of an element that a phase does not take up
_ACROSS = 1e3  # stiffness against a change of the sum of x
_LARGEST_MOVE = 0.1  # of x in one step
_LARGEST_CHANGE = 2.0  # of ln x in one step


class NoEquilibriumError(ArithmeticError):
    """The search did not settle: a fault of the method or a composition it was not made for."""


@dataclass(frozen=True, slots=True)
class Tangent:
    """How far each phase lies above a plane of chemical potentials, and how its composition is to change.

    ``gap`` (S, N) over R T; of the solutions the change of x with mu ``response`` (solutions, N, c, c) and the Newton
    step ``step`` (solutions, N, c) towards where the gap is least.
    """

    gap: Array
    response: Array
    step: Array


@dataclass(frozen=True, slots=True)
class Equilibrium:
    """Stable phases: ``amounts`` (S, N) mol of atoms, ``x`` (S, N, c) mole fractions, ``mu`` (N, c), ``gap`` (S, N)."""

    amounts: Array
    x: Array
    mu: Array
    gap: Array

    def at(self, points: NDArray[np.intp]) -> "Equilibrium":
        """The same for some of the points."""
        return Equilibrium(self.amounts[:, points], self.x[:, points], self.mu[points], self.gap[:, points])

    def put(self, points: NDArray[np.intp], other: "Equilibrium") -> None:
        """``other`` in place of what is held for these points."""
        self.amounts[:, points], self.x[:, points], self.gap[:, points] = other.amounts, other.x, other.gap
        self.mu[points] = other.mu


def tangent(system: System, thermal: Thermal, x: Array, mu: Array) -> Tangent:
    """One look from the plane ``mu`` (N, c), or (S, N, c) for a plane a site, at the phases with ``x`` (S, N, c)."""
    solutions = len(system.solutions)
    some, plane = x[:solutions], np.broadcast_to(mu, x.shape)
    excess = system.curvature(some, thermal.basis)
    slope = (excess @ some[..., None])[..., 0] / 3
    height = thermal.pure + np.log(some) + slope - plane[:solutions]
    # The sum of x * slope is four times the excess (degree four), which counts once.
    over = (some * (height - 0.75 * slope)).sum(axis=-1)
    response = _response(np.sqrt(some), excess)
    step = -(response @ height[..., None])[..., 0]
    under = thermal.compound - (x[solutions:] * plane[solutions:]).sum(axis=-1)
    return Tangent(np.concatenate([over, under]), response, step)


def _response(root: Array, excess: Array) -> Array:
    """d x / d mu with the sum of x kept; where the phase would demix with curvatures made positive, to descend."""
    # Stiffness across the allowed directions changes nothing along them, but lets the determinant speak of them alone.
    scaled = np.eye(root.shape[-1]) + root[..., :, None] * (excess + _ACROSS) * root[..., None, :]
    inverse = np.linalg.inv(scaled)
    demixing = np.linalg.det(scaled) <= 0
    if demixing.any():
        values, vectors = np.linalg.eigh(scaled[demixing])
        inverse[demixing] = (vectors / np.maximum(np.abs(values), 0.1)[:, None, :]) @ vectors.transpose(0, 2, 1)
    side = (inverse @ root[..., None])[..., 0]
    along = (side * root).sum(axis=-1)
    inverse -= side[..., :, None] * side[..., None, :] / along[..., None, None]
    response: Array = root[..., :, None] * inverse * root[..., None, :]
    return response


def moved(x: Array, change: Array, reach: Array | float = _LARGEST_MOVE) -> Array:
    """``x`` moved by ``change``, no share by more than ``reach``, kept positive and summing to one."""
    change = change * np.minimum(1, reach / (np.abs(change).max(axis=-1, keepdims=True) + 1e-300))
    new = x * np.exp(np.clip(change / x, -_LARGEST_CHANGE, _LARGEST_CHANGE))
    kept: Array = np.maximum(new / new.sum(axis=-1, keepdims=True), _LEAST_SHARE)
    return kept


def equilibrium(
    system: System, t_k: Array, z: Array, *, solids_only: bool = False, start: Equilibrium | None = None
) -> Equilibrium:
    """The stable phases at ``t_k`` (N) K of alloys ``z`` (N, c) mole fractions, all above zero.

    ``solids_only`` leaves the liquid out of the choice (its gap is still given, negative where it would be stable).
    ``start``: a solution nearby, from which the phases are tried first. Raises :class:`NoEquilibriumError`.
    """
    try:
        return _equilibrium(system, t_k, z, solids_only, start)
    except np.linalg.LinAlgError as error:
        raise NoEquilibriumError("The equations for the phases in equilibrium cannot be solved.") from error


def _equilibrium(system: System, t_k: Array, z: Array, solids_only: bool, start: Equilibrium | None) -> Equilibrium:
    thermal = system.thermal(t_k)
    if start is None:
        found = _search(system, thermal, t_k, z, solids_only=solids_only)
        result, good = _polished(system, thermal, z, found, solids_only=solids_only)
        # At the very temperature of an invariant the amounts are not determined: those of the search hold.
        result.put(np.flatnonzero(~good), found.at(np.flatnonzero(~good)))
        return result
    result, good = _polished(system, thermal, z, start, solids_only=solids_only)
    if good.all():
        return result
    again = np.flatnonzero(~good)
    result.put(again, equilibrium(system, t_k[again], z[again], solids_only=solids_only))
    return result


def all_liquid(system: System, t_k: Array, z: Array) -> Equilibrium:
    """Alloys ``z`` (N, c) as liquids at ``t_k`` (N), whether that is stable or not: somewhere to start from."""
    mu = system.liquid_plane(t_k[None], z)[0][0]
    x = _settled(system, system.thermal(t_k), z, mu)
    amounts = np.zeros(x.shape[:2])
    amounts[0] = 1.0
    return Equilibrium(amounts, x, mu, tangent(system, system.thermal(t_k), x, mu).gap)


def _search(system: System, thermal: Thermal, t_k: Array, z: Array, *, solids_only: bool) -> Equilibrium:
    """The interior-point search, from no knowledge of the phases."""
    solutions, first = len(system.solutions), int(solids_only)
    mu = system.liquid_plane(t_k[None], z)[0][0]
    x = _settled(system, thermal, z, mu)
    slack = np.maximum(tangent(system, thermal, x, mu).gap, _FIRST_GAP)
    amounts = _FIRST_PRODUCT / slack
    amounts[:first] = 0.0
    length = np.ones(len(z))
    before, reach = np.zeros((solutions, *z.shape)), np.full((solutions, len(z), 1), _LARGEST_MOVE)
    for _ in range(_MOST_STEPS):
        look = tangent(system, thermal, x, mu)
        gap = look.gap
        miss, products = gap - slack, (amounts * slack)[first:]
        missing = z - (amounts[..., None] * x).sum(axis=0)
        # A phase that is clearly absent need not be placed to the last digit.
        unplaced = np.abs(miss[first:]) > np.maximum(_TOLERANCE, np.where(gap[first:] > _CLEAR, 0.5 * gap[first:], 0))
        if max(products.max(), np.abs(missing).max()) < _TOLERANCE and not unplaced.any():
            return Equilibrium(np.where(amounts > gap, amounts, 0.0), x, mu, gap)
        # Points that are done wait for the others at a product at which the equations still hold.
        target = np.maximum(products.mean(axis=0) * np.clip((1 - length) ** 2, *_CENTRING), _LAST_PRODUCT)
        wanted = (target - amounts * miss) / slack
        wanted[:first] = 0.0
        ratio = amounts / slack
        matrix = np.einsum("sn,snij->nij", amounts[:solutions], look.response)
        matrix += np.einsum("sn,sni,snj->nij", ratio, x, x)
        side = z - (wanted[..., None] * x).sum(axis=0) - (amounts[:solutions, :, None] * look.step).sum(axis=0)
        d_mu = np.linalg.solve(matrix, side[..., None])[..., 0]
        sunk = np.einsum("sni,ni->sn", x, d_mu)
        d_slack, d_amounts = miss - sunk, wanted - amounts + ratio * sunk
        length = np.minimum(_longest(slack[first:], d_slack[first:]), _longest(amounts[first:], d_amounts[first:]))
        slack[first:] += length * d_slack[first:]
        amounts[first:] += length * d_amounts[first:]
        mu = mu + length[:, None] * d_mu
        # A site that goes to and fro takes shorter steps.
        reach = np.where((look.step * before).sum(axis=-1, keepdims=True) < 0, 0.5 * reach, _LARGEST_MOVE)
        before = look.step
        x[:solutions] = moved(x[:solutions], look.step + _shift(look, d_mu * length[:, None]), reach)
    raise NoEquilibriumError("The search for the phases in equilibrium did not settle.")


def _settled(system: System, thermal: Thermal, z: Array, mu: Array) -> Array:
    """Compositions to start from: each phase site moved towards where it comes closest to the plane ``mu``."""
    solutions = len(system.solutions)
    x = np.empty((len(system.sites), *z.shape))
    x[:solutions], x[solutions:] = system.start[:, None, :], system.fixed[:, None, :]
    x[0] = z
    for _ in range(_SETTLING_STEPS):
        look = tangent(system, thermal, x, mu)
        x[:solutions] = moved(x[:solutions], look.step)
    return x


def _shift(look: Tangent, d_mu: Array) -> Array:
    """What a change of the plane does to the compositions."""
    shift: Array = (look.response @ d_mu[None, :, :, None])[..., 0]
    return shift


def _longest(values: Array, changes: Array) -> Array:
    """The longest step up to one that leaves each value a share of itself."""
    with np.errstate(divide="ignore", invalid="ignore"):
        limits = np.where(changes < 0, -(1 - _KEPT) * values / changes, np.inf)
    longest: Array = np.minimum(limits.min(axis=0), 1.0)
    return longest


def _polished(
    system: System, thermal: Thermal, z: Array, near: Equilibrium, *, solids_only: bool
) -> tuple[Equilibrium, NDArray[np.bool_]]:
    """Newton's method on the phases that ``near`` holds: equal potentials, mass balance; and where they stay right."""
    points, c = z.shape
    sites, solutions = len(system.sites), len(system.solutions)
    x, mu, amounts = near.x.copy(), near.mu.copy(), near.amounts.copy()
    for one, other in system.twins:
        same = np.abs(x[one] - x[other]).max(axis=-1) < _SAME
        amounts[one] += np.where(same, amounts[other], 0.0)
        amounts[other] = np.where(same, 0.0, amounts[other])
    active = amounts > np.maximum(near.gap, 0)
    if solids_only:
        active[0] = False
    amounts = np.where(active, amounts, 0.0)
    diagonal = np.arange(c, c + sites)
    matrix = np.zeros((points, c + sites, c + sites))
    # A touch on the diagonal holds at the very temperature of an invariant, where one phase is too many.
    matrix[:, diagonal, diagonal] = np.where(active, -_TOUCH, 1.0).T
    for _ in range(_POLISH_STEPS):
        look = tangent(system, thermal, x, mu)
        gap = look.gap
        missing = z - (amounts[..., None] * x).sum(axis=0) - (amounts[:solutions, :, None] * look.step).sum(axis=0)
        matrix[:, :c, :c] = np.einsum("sn,snij->nij", amounts[:solutions], look.response)
        block = x.transpose(1, 2, 0) * active.T[:, None, :]
        matrix[:, :c, c:], matrix[:, c:, :c] = block, block.transpose(0, 2, 1)
        side = np.concatenate([missing, np.where(active, look.gap, 0.0).T], axis=1)
        change = np.linalg.solve(matrix, side[..., None])[..., 0]
        d_mu, d_amounts = change[:, :c], change[:, c:].T * active
        amounts, mu = amounts + d_amounts, mu + d_mu
        x[:solutions] = moved(x[:solutions], look.step + _shift(look, d_mu))
        error = np.maximum(np.abs(d_mu).max(axis=1), np.abs(d_amounts).max(axis=0))
        if not np.isfinite(error).all() or error.max() < _POLISHED:
            break
    gap = tangent(system, thermal, x, mu).gap
    counted = gap[int(solids_only) :]
    good = (error < _POLISHED) & (amounts.min(axis=0) > -_TOLERANCE) & (counted.min(axis=0) > -_TOLERANCE)
    return Equilibrium(amounts, x, mu, gap), good
