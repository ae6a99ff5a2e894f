"""Newton's method on equal potentials and mass balance, for phases that are given.

The unknowns are the plane of potentials and the amounts, and the temperature where the share of the liquid is given
instead; with them the compositions of the phases take one step an iteration. Only the phases that are there take part.
Energies are over R T, amounts are mol of atoms a mol of alloy.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.science.gibbs import Array, System, Thermal
from webapp.science.tangents import Tangent, moved, shift_of, tangent

_STEPS = 12
_TOUCH = 1e-13
CONVERGED = 1e-7
_STRIDE_K, _LIMITS_K = 30.0, (250.0, 1400.0)


@dataclass(frozen=True, slots=True)
class Phases:
    """Phases that are given: ``amounts`` (S, N), compositions ``x`` (S, N, c), their plane ``mu`` (N, c)."""

    amounts: Array
    x: Array
    mu: Array


def newton(system: System, thermal: Thermal, z: Array, near: Phases, active: NDArray[np.bool_]) -> tuple[Phases, Array]:
    """The phases ``active`` (S, N) in equilibrium in alloys ``z`` (N, c), from ``near``; and the last change (N).

    All of it over the sites of ``system``, mostly a part of one. Ends once no change is as large as ``CONVERGED``.
    """
    amounts, x, mu = near.amounts, near.x.copy(), near.mu
    solutions, moving = len(system.solutions), active[: len(system.solutions), :, None]
    matrix = _blank(active, z.shape[1])
    for _ in range(_STEPS):
        look = tangent(system, thermal, x, mu)
        side = _balanced(matrix, look, z, Phases(amounts, x, mu), active)
        answer = np.linalg.solve(matrix, side)[..., 0].astype(np.float64, copy=False)
        d_mu, d_amounts = answer[:, : z.shape[1]], answer[:, z.shape[1] :].T * active
        amounts, mu = amounts + d_amounts, mu + d_mu
        # Absent phases wait: led by steps that overshoot they would end in another region of composition.
        change = look.step + shift_of(look, d_mu)
        x[:solutions] = moved(x[:solutions], np.where(moving, change, 0.0))
        error = np.maximum(np.abs(d_mu).max(axis=1), np.abs(d_amounts).max(axis=0))
        # Not a number is neither close nor far: it ends here as well.
        if not error.max() >= CONVERGED:
            break
    return Phases(amounts, x, mu), error


def newton_of_chain(
    system: System, thermal: Thermal, z: Array, near: Phases, active: NDArray[np.bool_]
) -> tuple[Phases, NDArray[np.bool_]]:
    """The same for K points on the way of each alloy ``z`` (N, c), each point the liquid of the one before it.

    ``near`` and ``active`` (S, K N) have the first point of all alloys first. All points are solved at once: a change
    of one moves those after it. The second result says which points (K N) are found, their phases all there; no point
    after one without a phase counts.
    """
    (points, c), solutions = z.shape, len(system.solutions)
    amounts, x, mu = near.amounts, near.x.copy(), near.mu
    moving, matrix = active[:solutions, :, None], _blank(active, c)
    side = np.zeros((len(mu), c + len(x), 1 + c))
    with np.errstate(over="ignore", invalid="ignore"):
        for _ in range(_STEPS):
            look = tangent(system, thermal, x, mu)
            liquid = np.concatenate([z, (x[0] + look.step[0])[:-points]])
            side[:, :, :1] = _balanced(matrix, look, liquid, Phases(amounts, x, mu), active)
            side[points:, :c, 1:] = look.response[0, :-points]
            answer = np.linalg.solve(matrix, side).astype(np.float64, copy=False)
            change = _passed_on(answer, points, c)
            d_mu, d_amounts = change[:, :c], change[:, c:].T * active
            amounts, mu = amounts + d_amounts, mu + d_mu
            d_x = look.step + shift_of(look, d_mu)
            x[:solutions] = moved(x[:solutions], np.where(moving, d_x, 0.0))
            error = np.maximum(np.abs(d_mu).max(axis=1), np.abs(d_amounts).max(axis=0))
            there = np.where(active, amounts, 1.0).min(axis=0) > 0
            close, whole = (error < CONVERGED).reshape(-1, points), there.reshape(-1, points).cumprod(axis=0) > 0
            # Up to the first without a phase, which must be sure.
            counts = np.concatenate([np.full((1, points), True), whole[:-1]])
            if close[counts].all():
                break
    return Phases(amounts, x, mu), (close & whole).ravel()


def _passed_on(answer: Array, points: int, c: int) -> Array:
    """The change of each point (K N, c + S), from what it would be alone and how that before it moves it."""
    alone, moved_by = answer[..., 0].copy(), answer[..., 1:]
    for start in range(points, len(alone), points):
        now, last = slice(start, start + points), slice(start - points, start)
        alone[now] += (moved_by[now] @ alone[last, :c, None])[..., 0]
    return alone


@dataclass(frozen=True, slots=True)
class Melting:
    """``phases`` at ``t_k`` (N) K where the wanted share is liquid; whether found, with more liquid above: ``good``."""

    phases: Phases
    t_k: Array
    good: NDArray[np.bool_]


def newton_to_share(
    system: System, t_k: Array, z: Array, near: Phases, active: NDArray[np.bool_], masses: Array, share: float
) -> Melting:
    """Where the phases ``active`` (S, N) of alloys ``z`` (N, c) leave ``share`` of the mass liquid, from ``near``.

    ``masses`` (c) are those of the elements, ``t_k`` (N) K the temperatures of ``near``. The liquid is active.
    """
    amounts, x, mu, t_k = near.amounts, near.x.copy(), near.mu, t_k.copy()
    c, solutions, moving = z.shape[1], len(system.solutions), active[: len(system.solutions), :, None]
    matrix = np.zeros((len(z), c + len(x) + 1, c + len(x) + 1))
    matrix[:, :-1, :-1] = inner = _blank(active, c)
    side, wanted = np.zeros((*matrix.shape[:2], 2)), share * (z @ masses)
    side[:, -1, 1] = 1.0
    for _ in range(_STEPS):
        thermal = system.thermal(t_k)
        look = tangent(system, thermal, x, mu)
        rise, warm = _slopes(system, thermal, t_k, x, look)
        side[:, :-1, :1] = _balanced(inner, look, z, Phases(amounts, x, mu), active)
        matrix[:, :-1, :-1] = inner
        matrix[:, :c, -1] = np.einsum("sn,snc->nc", amounts[:solutions], warm)
        matrix[:, c:-1, -1] = -(rise * active).T
        matrix[:, -1, :c] = amounts[0, :, None] * (look.response[0] @ masses)
        matrix[:, -1, c] = x[0] @ masses
        matrix[:, -1, -1] = amounts[0] * (warm[0] @ masses)
        side[:, -1, 0] = wanted - amounts[0] * ((x[0] + look.step[0]) @ masses)
        answer = np.linalg.solve(matrix, side)
        d_mu, d_amounts, d_t = answer[:, :c, 0], answer[:, c:-1, 0].T * active, answer[:, -1, 0]
        d_t = np.clip(d_t, -_STRIDE_K, _STRIDE_K)
        change = look.step + shift_of(look, d_mu) + warm * d_t[:, None]
        x[:solutions] = moved(x[:solutions], np.where(moving, change, 0.0))
        # Potentials are over R T: those of a step belong to the temperature it began at.
        new = np.clip(t_k + d_t, *_LIMITS_K)
        amounts, mu, t_k, before = amounts + d_amounts, (mu + d_mu) * (t_k / new)[:, None], new, t_k
        error = np.maximum(np.abs(d_mu).max(axis=1), np.abs(d_amounts).max(axis=0))
        error = np.maximum(error, np.abs(t_k - before))
        if not error.max() >= CONVERGED:
            break
    return Melting(Phases(amounts, x, mu), t_k, (error < CONVERGED) & (answer[:, -1, 1] > 0))


def _slopes(system: System, thermal: Thermal, t_k: Array, x: Array, look: Tangent) -> tuple[Array, Array]:
    """Per K, the potentials in J/mol kept: of the gaps, over R T (S, N), and of the compositions (solutions, N, c)."""
    some = x[: len(system.solutions)]
    excess = (system.curvature(some, thermal.basis_slope) @ some[..., None])[..., 0] / 3
    height = thermal.pure_slope + np.log(some) / t_k[:, None] + excess
    warm: Array = -(look.response @ height[..., None])[..., 0]
    rise = (some * (height - 0.75 * excess)).sum(axis=-1)
    return np.concatenate([rise, thermal.compound_slope]), warm


def _blank(active: NDArray[np.bool_], c: int) -> Array:
    """The matrix of the equations (N, c + S, c + S) before its parts are filled in."""
    sites, points = active.shape
    diagonal = np.arange(c, c + sites)
    matrix = np.zeros((points, c + sites, c + sites))
    # A touch on the diagonal holds at the very temperature of an invariant, where one phase is too many.
    matrix[:, diagonal, diagonal] = np.where(active, -_TOUCH, 1.0).T
    return matrix


def _balanced(matrix: Array, look: Tangent, z: Array, now: Phases, active: NDArray[np.bool_]) -> Array:
    """Fills in the equations in ``matrix``; gives what is missing of mass and of touch, (N, c + S, 1)."""
    c, dissolved = z.shape[1], now.amounts[: len(look.step)]
    matrix[:, :c, :c] = np.einsum("sn,snij->nij", dissolved, look.response)
    block = (now.x * active[..., None]).transpose(1, 2, 0)
    matrix[:, :c, c:], matrix[:, c:, :c] = block, block.transpose(0, 2, 1)
    side = np.empty((*matrix.shape[:2], 1))
    held = np.einsum("sn,snc->nc", now.amounts, now.x) + np.einsum("sn,snc->nc", dissolved, look.step)
    side[:, :c, 0] = z - held
    side[:, c:, 0] = (look.gap * active).T
    return side
