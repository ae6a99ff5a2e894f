"""Compositions at which each phase is looked at, so that none goes unseen because its site has wandered off.

A site near an element holds a grid of the compositions in which that element is the main one, finer where it is almost
alone; the liquid holds the whole. Their energies at any temperature and any plane of potentials are a few matrix
products. No share is nothing, from where Newton's steps would hardly lead away.
"""

from itertools import combinations

import numpy as np

from webapp.science.gibbs import Array, System, Thermal
from webapp.science.parameters import PhaseSite

_GRID = 10
_DILUTE = (0.002, 0.02, 0.05)
_NOTHING, _TRACE = 1e-9, 1e-3  # of an element that the phase does not take up, and of one not in the sample else


class Samples:
    """The sample compositions of every solution phase of a system."""

    def __init__(self, system: System) -> None:
        self._x = [_compositions(site, system.elements) for site in system.solutions]
        self._mixing = [(x * np.log(x)).sum(axis=-1) for x in self._x]
        self._excess = [_excess(system, row, x) for row, x in enumerate(self._x)]

    def lowest(self, thermal: Thermal, mu: Array) -> tuple[Array, Array]:
        """Of each solution site the sample with the least gap above ``mu`` (N, c): x (S, N, c), gap (S, N)."""
        points = np.arange(len(mu))
        best_x, best_gap = [], []
        for row, x in enumerate(self._x):
            gaps = (thermal.pure[row] - mu) @ x.T + self._mixing[row] + thermal.basis[0] @ self._excess[row]
            best = gaps.argmin(axis=1)
            best_x.append(x[best])
            best_gap.append(gaps[points, best])
        return np.array(best_x).reshape(-1, *mu.shape), np.array(best_gap).reshape(-1, len(mu))


def _compositions(site: PhaseSite, elements: tuple[str, ...]) -> Array:
    if not site.near:
        return np.concatenate([_around(site, near, elements) for near in range(len(elements))])
    return _around(site, elements.index(site.near), elements)


def _around(site: PhaseSite, near: int, elements: tuple[str, ...]) -> Array:
    others = [place for place, element in enumerate(elements) if place != near and element in site.constituents]
    given = [dict.fromkeys(others, share / len(others)) for share in _DILUTE if others]
    given += [{place: share} for share in _DILUTE for place in others]
    given += [
        dict(zip(others, shares, strict=True))
        for shares in _grid(len(others))
        if max(shares, default=0.0) <= 1 - sum(shares)
    ]
    x = np.full((len(given), len(elements)), _NOTHING)
    x[:, others] = [[max(shares.get(place, 0.0), _TRACE) for place in others] for shares in given]
    x[:, near] = 0.0
    x[:, near] = 1 - x.sum(axis=1)
    return x


def _grid(count: int) -> list[tuple[float, ...]]:
    """Shares of ``count`` elements in tenths, summing to one at most."""
    bars = combinations(range(_GRID + count), count)
    steps = ([high - low - 1 for low, high in zip((-1, *bar), bar, strict=False)] for bar in bars)
    return [tuple(step / _GRID for step in shares) for shares in steps]


def _excess(system: System, row: int, x: Array) -> Array:
    """The excess of phase site ``row`` at ``x`` (M, c) for each term of temperature: (3, M), J/mol."""
    many = np.repeat(x[None], len(system.solutions), axis=0)
    terms = []
    for term in range(3):
        basis = np.zeros((1, len(x), 3))
        basis[..., term] = 1.0
        curvature = system.curvature(many, basis)[row]
        terms.append(np.einsum("mi,mij,mj->m", x, curvature, x) / 12)
    return np.array(terms)
