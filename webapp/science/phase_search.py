"""The search for the phases in equilibrium from no knowledge of them: a primal-dual interior-point method.

The chemical potentials mu are the solution of the dual problem: z . mu is greatest while no phase lies below the plane
of mu anywhere,

    d_s(mu) = min over x of [G_s(x) - mu . x] >= 0   for every phase site s,

and the amounts n_s are its multipliers. n_s d_s = t is solved with t towards zero by Newton's method, in which the
composition of each site takes one step an iteration. Method: S. Boyd, L. Vandenberghe, Convex Optimization, Cambridge
2004, ch. 11.7. Energies are over R T, amounts are mol of atoms a mol of alloy.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.science.gibbs import Array, System, Thermal
from webapp.science.tangents import LARGEST_MOVE, moved, settled, shift_of, tangent

_MOST_STEPS = 80
_FIRST_GAP, _FIRST_PRODUCT, _LAST_PRODUCT = 0.3, 0.1, 1e-11  # slack in R T, slack times amount: from and to where
_KEPT = 0.02  # share of a slack or amount that a step leaves at least
_CENTRING = (0.01, 0.5)  # by how much the products are to fall in a step: much after a full one, little after a short
_TOLERANCE = 1e-9
_CLEAR = 0.05  # gap in R T from which a phase is clearly absent


class NoEquilibriumError(ArithmeticError):
    """The search did not settle: a fault of the method or a composition it was not made for."""


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


def search(system: System, thermal: Thermal, t_k: Array, z: Array, *, solids_only: bool) -> Equilibrium:
    """The interior-point search, from no knowledge of the phases. Raises :class:`NoEquilibriumError`."""
    try:
        return _together(system, thermal, t_k, z, solids_only=solids_only)
    except NoEquilibriumError:
        if len(z) == 1:
            raise
    # Points that are done wait for the others, now and then for too long: in halves fewer do.
    halves = np.array_split(np.arange(len(z)), 2)
    found = [search(system, system.thermal(t_k[half]), t_k[half], z[half], solids_only=solids_only) for half in halves]
    amounts, x, gap = (
        np.concatenate([getattr(one, name) for one in found], axis=1) for name in ("amounts", "x", "gap")
    )
    return Equilibrium(amounts, x, np.concatenate([one.mu for one in found]), gap)


def _together(system: System, thermal: Thermal, t_k: Array, z: Array, *, solids_only: bool) -> Equilibrium:
    solutions, first = len(system.solutions), int(solids_only)
    mu = system.liquid_plane(t_k[None], z)[0][0]
    x = settled(system, thermal, z, mu)
    slack = np.maximum(tangent(system, thermal, x, mu).gap, _FIRST_GAP)
    amounts = _FIRST_PRODUCT / slack
    amounts[:first] = 0.0
    length = np.ones(len(z))
    before, reach = np.zeros((solutions, *z.shape)), np.full((solutions, len(z), 1), LARGEST_MOVE)
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
        reach = np.where((look.step * before).sum(axis=-1, keepdims=True) < 0, 0.5 * reach, LARGEST_MOVE)
        before = look.step
        x[:solutions] = moved(x[:solutions], look.step + shift_of(look, d_mu * length[:, None]), reach)
    raise NoEquilibriumError("The search for the phases in equilibrium did not settle.")


def _longest(values: Array, changes: Array) -> Array:
    """The longest step up to one that leaves each value a share of itself."""
    with np.errstate(divide="ignore", invalid="ignore"):
        limits = np.where(changes < 0, -(1 - _KEPT) * values / changes, np.inf)
    longest: Array = np.minimum(limits.min(axis=0), 1.0)
    return longest
