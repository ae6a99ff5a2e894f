"""Compositions at which each phase is looked at, so that none goes unseen because its site has wandered off.

A site near an element holds a grid of the compositions in which that element is the main one, finer where it is almost
alone. Their energies at any temperature and any plane of potentials are a few matrix products.
"""

from itertools import combinations

import numpy as np

from webapp.science.gibbs import Array, System, Thermal
from webapp.science.parameters import PhaseSite

_GRID = 10
_DILUTE = (0.002, 0.02, 0.05)
_NOTHING = 1e-9


class Samples:
    """The sample compositions of every solution phase of a system but the liquid."""

    def __init__(self, system: System) -> None:
        self._x = [_compositions(site, system.elements) for site in system.solutions[1:]]
        self._mixing = [(x * np.log(x)).sum(axis=-1) for x in self._x]
        self._excess = [_excess(system, row, x) for row, x in enumerate(self._x, start=1)]

    def lowest(self, thermal: Thermal, mu: Array) -> tuple[Array, Array]:
        """Of each site after the liquid the sample with the least gap above ``mu`` (N, c): x (S, N, c), gap (S, N)."""
        points = np.arange(len(mu))
        best_x, best_gap = [], []
        for row, x in enumerate(self._x):
            gaps = (thermal.pure[row + 1] - mu) @ x.T + self._mixing[row] + thermal.basis[0] @ self._excess[row]
            best = gaps.argmin(axis=1)
            best_x.append(x[best])
            best_gap.append(gaps[points, best])
        return np.array(best_x).reshape(-1, *mu.shape), np.array(best_gap).reshape(-1, len(mu))


def _compositions(site: PhaseSite, elements: tuple[str, ...]) -> Array:
    near = elements.index(site.near)
    others = [place for place, element in enumerate(elements) if element != site.near and element in site.constituents]
    found = [_with(len(elements), near, {})]
    for share in _DILUTE:
        found += [_with(len(elements), near, {place: share}) for place in others]
        found.append(_with(len(elements), near, {place: share / len(others) for place in others}))
    for shares in _grid(len(others)):
        if sum(shares) < 1 and max(shares, default=0.0) <= 1 - sum(shares):
            found.append(_with(len(elements), near, dict(zip(others, shares, strict=True))))
    return np.array(found)


def _grid(count: int) -> list[tuple[float, ...]]:
    """Shares of ``count`` elements in tenths, summing to one at most."""
    bars = combinations(range(_GRID + count), count)
    steps = ([high - low - 1 for low, high in zip((-1, *bar), bar, strict=False)] for bar in bars)
    return [tuple(step / _GRID for step in shares) for shares in steps]


def _with(count: int, near: int, shares: dict[int, float]) -> list[float]:
    x = [max(shares.get(place, 0.0), _NOTHING) for place in range(count)]
    x[near] = 1 - sum(x) + x[near]
    return x


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
