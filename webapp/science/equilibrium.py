"""Phases in equilibrium, for many compositions and temperatures at once.

The phases come from a search without any guess (:mod:`webapp.science.phase_search`) or from a solution nearby; the last
digits from Newton's method on equal potentials and mass balance. Then every phase is looked for once more above the
plane of potentials: one found below takes part, one of negative amount leaves, and Newton's method goes on.
Energies are over R T, amounts are mol of atoms a mol of alloy.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.science.gibbs import Array, System, Thermal
from webapp.science.newton import CONVERGED, Phases, newton
from webapp.science.phase_search import Equilibrium, NoEquilibriumError, search
from webapp.science.tangents import placed, settled, tangent, with_liquid

_EXCHANGES = 4
TOLERANCE = 1e-9
_FIRST_AMOUNT = 1e-4  # of a phase tried
_SAME = 1e-4  # difference of x below which two sites of one phase are one


@dataclass(frozen=True, slots=True)
class _Polished:
    """Newton's result, whether it ``converged``, and whether it is ``right``: no other phase, no negative amount."""

    found: Equilibrium
    converged: NDArray[np.bool_]
    right: NDArray[np.bool_]


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


def all_liquid(system: System, t_k: Array, z: Array) -> Equilibrium:
    """Alloys ``z`` (N, c) as liquids at ``t_k`` (N), whether that is stable or not: somewhere to start from."""
    mu = system.liquid_plane(t_k[None], z)[0][0]
    x = settled(system, system.thermal(t_k), z, mu)
    amounts = np.zeros(x.shape[:2])
    amounts[0] = 1.0
    return Equilibrium(amounts, x, mu, tangent(system, system.thermal(t_k), x, mu).gap)


def _equilibrium(system: System, t_k: Array, z: Array, solids_only: bool, start: Equilibrium | None) -> Equilibrium:
    thermal, first = system.thermal(t_k), int(solids_only)
    near = search(system, thermal, t_k, z, solids_only=solids_only) if start is None else start
    polished = _polish(system, thermal, z, near, first)
    result, right = polished.found, polished.right
    again = np.flatnonzero(polished.converged & ~right)
    for _ in range(_EXCHANGES):
        if not len(again):
            break
        other = _exchanged(result.at(again), first, z.shape[1])
        polished = _polish(system, system.thermal(t_k[again]), z[again], other, first)
        result.put(again, polished.found)
        right[again] = polished.right
        again = again[polished.converged & ~polished.right]
    wrong = np.flatnonzero(~right)
    if len(wrong):
        # At the very temperature of an invariant the amounts are not determined: those of the search hold.
        cold = near.at(wrong) if start is None else _equilibrium(system, t_k[wrong], z[wrong], solids_only, None)
        result.put(wrong, cold)
    return result


def _exchanged(tried: Equilibrium, first: int, most: int) -> Equilibrium:
    """Another choice of ``most`` phases: without those below nothing, with the one farthest below the plane."""
    amounts, gap, points = np.maximum(tried.amounts, 0.0), tried.gap[first:], np.arange(len(tried.mu))
    into = gap.argmin(axis=0) + first
    crowded = (amounts > 0).sum(axis=0) >= most
    least = np.where(amounts > 0, amounts, np.inf).argmin(axis=0)
    below = gap.min(axis=0) < -TOLERANCE
    amounts[least, points] = np.where(below & crowded, 0.0, amounts[least, points])
    amounts[into, points] = np.where(below, _FIRST_AMOUNT, amounts[into, points])
    return Equilibrium(amounts, tried.x, tried.mu, np.zeros_like(amounts))


def _polish(system: System, thermal: Thermal, z: Array, near: Equilibrium, first: int) -> _Polished:
    """Newton's method on the phases that ``near`` holds, then a look at all others; sites before ``first`` left out."""
    amounts, active = _held(system, near, first)
    sites, x = with_liquid(active), near.x.copy()
    phases = Phases(amounts[sites], x[sites], near.mu)
    found, error = newton(system.part(tuple(sites.tolist())), thermal.of(sites), z, phases, active[sites])
    amounts[sites], x[sites] = found.amounts, found.x
    x, gap = placed(system, thermal, x, found.mu, active)
    converged = error < CONVERGED
    right = converged & (amounts.min(axis=0) > -TOLERANCE) & (gap[first:].min(axis=0) > -TOLERANCE)
    kept = np.where(right, np.maximum(amounts, 0.0), amounts)
    return _Polished(Equilibrium(kept, x, found.mu, gap), converged, right)


def _held(system: System, near: Equilibrium, first: int) -> tuple[Array, NDArray[np.bool_]]:
    """Amounts of the phases that ``near`` holds, twins made one, and which they are."""
    amounts = near.amounts.copy()
    for one, other in system.twins:
        same = np.abs(near.x[one] - near.x[other]).max(axis=-1) < _SAME
        amounts[one] += np.where(same, amounts[other], 0.0)
        amounts[other] = np.where(same, 0.0, amounts[other])
    active = amounts > np.maximum(near.gap, 0.0)
    active[:first] = False
    # Of more phases than elements, which only an invariant holds, the smallest wait to be found missing.
    order = np.where(active, -amounts, 0.0).argsort(axis=0)[: near.mu.shape[1]]
    among = np.zeros_like(active)
    np.put_along_axis(among, order, True, axis=0)
    active &= among
    return np.where(active, amounts, 0.0), active
