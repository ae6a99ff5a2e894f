"""Gibbs energies of the phases of Ag-Bi-Cu-Pb-Sn alloys, for many compositions and temperatures at once.

G(x, T) = sum x_i G_i(T) + R T sum x_i ln x_i + excess(x, T), J per mol of atoms, with the excess a Redlich-Kister
series of pairs (Muggianu's extension) and of the few triples that have a parameter. The series is a polynomial of
degree four at most; multiplied by powers of sum x_i = 1 it becomes a quartic form W x x x x, so that one matrix
product gives its second derivatives (12 W x x), from these the first (W' x / 3) and the value.

All energies here are divided by R T. Arrays run over (phase site, point, element).
"""

from copy import copy
from dataclasses import dataclass
from functools import cache
from itertools import combinations, permutations, product

import numpy as np
from numpy.typing import NDArray

from webapp.science.parameters import TERMS, Parameter, PhaseSite, parameters, phase_sites

Array = NDArray[np.float64]

GAS_CONSTANT = 8.31451  # J/(mol K), the value of the assessments
ZERO_C = 273.15
FORBIDDEN = 5e5  # J/mol for an element that the phase does not take up: a share of e^-100 and less
MATRIX_ELEMENTS = ("Sn", "Bi", "Pb")  # solid solutions of these make up the matrix of a solder
_EXCESS_TERMS = 3  # const, T, T ln T: no interaction in the table has others
_DEGREE = 4


@dataclass(frozen=True, slots=True)
class Thermal:
    """What depends on temperature alone, for N points: energies over R T, slopes of the energies per K over R T.

    ``pure`` and ``pure_slope`` (solutions, N, c) of the elements in each phase, ``compound`` and ``compound_slope``
    (compounds, N); ``basis`` and ``basis_slope`` (1 or solutions, N, 3) by which the excess depends on T.
    """

    pure: Array
    pure_slope: Array
    compound: Array
    compound_slope: Array
    basis: Array
    basis_slope: Array

    def of(self, sites: NDArray[np.intp]) -> "Thermal":
        """The same for some of the phase sites."""
        count = len(self.pure)
        solutions, compounds = sites[sites < count], sites[sites >= count] - count
        apart = len(self.basis) > 1
        return Thermal(
            pure=self.pure[solutions],
            pure_slope=self.pure_slope[solutions],
            compound=self.compound[compounds],
            compound_slope=self.compound_slope[compounds],
            basis=self.basis[solutions] if apart else self.basis,
            basis_slope=self.basis_slope[solutions] if apart else self.basis_slope,
        )

    def at(self, points: NDArray[np.intp]) -> "Thermal":
        """The same for some of the points."""
        return Thermal(
            pure=self.pure[:, points],
            pure_slope=self.pure_slope[:, points],
            compound=self.compound[:, points],
            compound_slope=self.compound_slope[:, points],
            basis=self.basis[:, points],
            basis_slope=self.basis_slope[:, points],
        )


class System:
    """The phases that can form from some of the elements, and their energies; made once by :func:`system_of`."""

    def __init__(self, elements: tuple[str, ...]) -> None:
        self.elements = elements
        sites = [site for site in phase_sites() if _can_form(site, elements)]
        self.solutions = tuple(site for site in sites if not site.is_compound)
        self.compounds = tuple(site for site in sites if site.is_compound)
        self.sites = self.solutions + self.compounds
        self.fixed: Array = np.array([_shares(site, elements) for site in self.compounds]).reshape(-1, len(elements))
        self.start: Array = np.array([_start(site, elements) for site in self.solutions])
        # For each site the column of the element it is near, and whether it is of the matrix of a solder.
        self.near = np.array([elements.index(site.near) if site.near else -1 for site in self.sites])
        self.is_matrix = np.array([site.near in MATRIX_ELEMENTS for site in self.sites])
        self._phase = np.array([site.phase for site in self.sites])
        # Sites of one phase, which can come to the same composition.
        self.twins = _twins(self.solutions)
        self._parts: dict[tuple[int, ...], System] = {}
        self._energies = _Energies(
            [(site.phase, (element,)) for site in self.solutions for element in elements]
            + [(site.phase, site.constituents) for site in self.compounds]
        )
        self._liquid = _Energies([("liquid", (element,)) for element in elements])
        solutions, compounds = np.arange(len(self.solutions)), np.arange(len(self.solutions), len(self.sites))
        self._site_of_row = np.concatenate([np.repeat(solutions, len(elements)), compounds])
        count = len(elements) ** 2
        quartic = np.stack([_quartic(site.phase, elements) for site in self.solutions])
        # (solutions, c*c, 3*c*c): second derivatives by one matrix product with x x.
        self._curvature_form: Array = (
            (12 * quartic)
            .reshape(len(self.solutions), _EXCESS_TERMS, count, count)
            .transpose(0, 2, 1, 3)
            .reshape(len(self.solutions), count, _EXCESS_TERMS * count)
        )

    def part(self, sites: tuple[int, ...]) -> "System":
        """The same with only some of the phase sites, rising; the liquid (0) among them. Made once for each choice."""
        if sites not in self._parts:
            self._parts[sites] = self._part(np.array(sites))
        return self._parts[sites]

    def _part(self, sites: NDArray[np.intp]) -> "System":
        part, count, c = copy(self), len(self.solutions), len(self.elements)
        solutions, compounds = sites[sites < count], sites[sites >= count] - count
        rows = [*(site * c + place for site in solutions for place in range(c)), *(count * c + compounds)]
        part.solutions = tuple(self.solutions[site] for site in solutions)
        part.compounds = tuple(self.compounds[site] for site in compounds)
        part.sites = part.solutions + part.compounds
        part.fixed, part.start = self.fixed[compounds], self.start[solutions]
        part.near, part.is_matrix, part._phase = self.near[sites], self.is_matrix[sites], self._phase[sites]
        part.twins = _twins(part.solutions)
        part._energies = self._energies.of(np.array(rows))
        part._site_of_row = np.concatenate(
            [np.repeat(np.arange(len(solutions)), c), np.arange(len(solutions), len(sites))]
        )
        part._curvature_form = self._curvature_form[solutions]
        part._parts = {}
        return part

    def named(self, x: Array) -> NDArray[np.intp]:
        """For each site and point of ``x`` (S, N, c) the site by whose label it goes: that near its main element.

        The search for one region of a phase can end in another.
        """
        result = np.repeat(np.arange(len(self.sites))[:, None], x.shape[1], axis=1)
        for site, near in enumerate(self.near):
            same = np.flatnonzero((self._phase == self._phase[site]) & (self.near >= 0))
            if near >= 0 and len(same) > 1:
                result[site] = same[x[site][:, self.near[same]].argmax(axis=1)]
        return result

    def thermal(self, t_k: Array) -> Thermal:
        """Everything that depends on temperature alone, at ``t_k`` in K: (N), or (S, N) for a temperature a site."""
        t_k = np.atleast_2d(t_k)
        apart = len(t_k) > 1
        energy, slope = self._energies.at(t_k[self._site_of_row] if apart else t_k)
        split, shape = len(self._site_of_row) - len(self.compounds), (len(self.solutions), len(self.elements), -1)
        here = t_k[: len(self.solutions)]
        log_t = np.log(here)
        scale = 1 / (GAS_CONSTANT * here)
        return Thermal(
            pure=energy[:split].reshape(shape).transpose(0, 2, 1),
            pure_slope=slope[:split].reshape(shape).transpose(0, 2, 1),
            compound=energy[split:],
            compound_slope=slope[split:],
            basis=np.stack([scale, here * scale, here * log_t * scale], axis=-1),
            basis_slope=np.stack([np.zeros_like(here), scale, (log_t + 1) * scale], axis=-1),
        )

    def liquid_plane(self, t_k: Array, z: Array) -> tuple[Array, Array]:
        """Chemical potentials of the liquid ``z`` (N, c) over R T, their slopes per K: each (K, N, c), at (K, N) K."""
        rows = t_k.reshape(1, -1)
        energy, slope = self._liquid.at(rows)
        first, log_t, scale = self._liquid_slopes(z), np.log(t_k)[..., None], 1 / (GAS_CONSTANT * t_k)[..., None]
        shape = (len(self.elements), *t_k.shape)
        mu = energy.reshape(shape).transpose(1, 2, 0) + np.log(z)
        mu += scale * (first[0] + t_k[..., None] * (first[1] + log_t * first[2]))
        d_mu = slope.reshape(shape).transpose(1, 2, 0) + np.log(z) / t_k[..., None]
        d_mu += scale * (first[1] + (log_t + 1) * first[2])
        return mu, d_mu

    def _liquid_slopes(self, z: Array) -> Array:
        """The excess part of the liquid's chemical potentials for each term of temperature: (3, N, c), J/mol."""
        points, c = z.shape
        pairs = (z[:, :, None] * z[:, None, :]).reshape(points, c * c)
        curvature = (pairs @ self._curvature_form[0]).reshape(points, _EXCESS_TERMS, c, c)
        slope = (curvature @ z[:, None, :, None])[..., 0] / 3
        # Of degree four: the sum of z times the slopes is four times the excess, of which the potential keeps one.
        potential: Array = slope - 0.75 * (slope * z[:, None, :]).sum(axis=-1, keepdims=True)
        return potential.transpose(1, 0, 2)

    def curvature(self, x: Array, basis: Array) -> Array:
        """Second derivatives of the excess at x (solutions, N, c) with ``basis`` of :class:`Thermal`.

        (solutions, N, c, c), over R T. First derivatives are a third of this times x, the excess a quarter of those
        times x.
        """
        sites, points, c = x.shape
        pairs = (x[:, :, :, None] * x[:, :, None, :]).reshape(sites, points, c * c)
        terms = (pairs @ self._curvature_form).reshape(sites, points, _EXCESS_TERMS, c * c)
        return (basis[:, :, None, :] @ terms).reshape(sites, points, c, c)


@cache
def system_of(elements: tuple[str, ...]) -> System:
    """The system of these elements (symbols of ``ELEMENTS`` in their order)."""
    return System(elements)


class _Energies:
    """Energies of pure elements in phases and of compounds, as rows of polynomials in T with limits."""

    def __init__(self, wanted: list[tuple[str, tuple[str, ...]]]) -> None:
        pieces = [_pieces(phase, elements) for phase, elements in wanted]
        most = max(len(row) for row in pieces)
        padded = [row + [row[-1]] * (most - len(row)) for row in pieces]
        self._limits = np.array([[limit for limit, _ in row] for row in padded])
        self._coefficients = np.array([[terms for _, terms in row] for row in padded])
        self._rows = np.arange(len(wanted))[:, None]

    def of(self, rows: NDArray[np.intp]) -> "_Energies":
        """The same with some of the rows."""
        some = copy(self)
        some._limits, some._coefficients = self._limits[rows], self._coefficients[rows]
        some._rows = np.arange(len(rows))[:, None]
        return some

    def at(self, t_k: Array) -> tuple[Array, Array]:
        """Energies over R T and their slopes per K over R T, each (rows, N), at ``t_k`` (1 or rows, N)."""
        which = (t_k[:, :, None] > self._limits[:, None, :]).sum(axis=-1)
        terms = self._coefficients[self._rows, np.minimum(which, self._limits.shape[1] - 1)]
        powers, slopes = _powers(t_k)
        scale = 1 / (GAS_CONSTANT * t_k)
        return (terms * powers).sum(axis=-1) * scale, (terms * slopes).sum(axis=-1) * scale


def _powers(t_k: Array) -> tuple[Array, Array]:
    """The terms of an energy and their slopes, on a last axis in the order of ``TERMS``."""
    one, zero, log_t, inverse, square = np.ones_like(t_k), np.zeros_like(t_k), np.log(t_k), 1 / t_k, t_k * t_k
    cube = square * t_k
    ninth = inverse**9
    powers = [one, t_k, t_k * log_t, square, cube, cube * cube * t_k, inverse, ninth]
    slopes = [zero, one, log_t + 1, 2 * t_k, 3 * square, 7 * cube * cube, -inverse * inverse, -9 * ninth * inverse]
    return np.stack(powers, axis=-1), np.stack(slopes, axis=-1)


def _pieces(phase: str, elements: tuple[str, ...]) -> list[tuple[float, Array]]:
    """The stretches of temperature of one energy: upper limit in K, coefficients with the elements' own included."""
    rows = [row for row in parameters() if row.phase == phase and row.kind == "energy" and row.elements == elements]
    if not rows:
        return [(np.inf, np.array([FORBIDDEN] + [0.0] * (len(TERMS) - 1)))]
    shares = next((site.shares for site in phase_sites() if site.phase == phase), ()) or (1.0,)
    pieces = [(row.up_to_k, np.array(row.coefficients)) for row in rows]
    if rows[0].over_elements:
        for element, share in zip(elements, shares, strict=True):
            own = [(row.up_to_k, share * np.array(row.coefficients)) for row in _reference(element)]
            pieces = _added(pieces, own)
    return pieces


def _added(first: list[tuple[float, Array]], second: list[tuple[float, Array]]) -> list[tuple[float, Array]]:
    limits = sorted({limit for limit, _ in first + second})
    return [(limit, _piece_at(first, limit) + _piece_at(second, limit)) for limit in limits]


def _piece_at(pieces: list[tuple[float, Array]], limit: float) -> Array:
    return next((terms for upper, terms in pieces if upper >= limit), pieces[-1][1])


def _reference(element: str) -> list[Parameter]:
    return [row for row in parameters() if row.phase == "reference" and row.elements == (element,)]


def _quartic(phase: str, elements: tuple[str, ...]) -> Array:
    """The excess of one phase as a symmetric form of degree four: (3, c, c, c, c), one layer a term of temperature."""
    c = len(elements)
    form = np.zeros((c, c, c, c, _EXCESS_TERMS))
    rows = [row for row in parameters() if row.phase == phase and row.kind == "interaction"]
    for row in rows:
        if not set(row.elements) <= set(elements):
            continue
        where = [elements.index(element) for element in row.elements]
        only = sum(other.elements == row.elements for other in rows) == 1
        polynomial = _pair(where, row.order, c) if len(where) == 2 else _triple(where, row.order, c, only=only)
        for powers, factor in polynomial.items():
            places = set(permutations(powers))
            for place in places:
                form[place] += np.array(row.coefficients[:_EXCESS_TERMS]) * factor / len(places)
    return np.moveaxis(form, -1, 0)


_Polynomial = dict[tuple[int, ...], float]  # sorted indices of a product of x, and its factor


def _pair(where: list[int], order: int, c: int) -> _Polynomial:
    """x_i x_j (x_i - x_j)^order, made homogeneous of degree four."""
    difference: _Polynomial = {(where[0],): 1.0, (where[1],): -1.0}
    result: _Polynomial = {tuple(sorted(where)): 1.0}
    for _ in range(order):
        result = _times(result, difference)
    return _homogeneous(result, c)


def _triple(where: list[int], order: int, c: int, *, only: bool) -> _Polynomial:
    """x_i x_j x_k, times x_o + (1 - x_i - x_j - x_k)/3 where there is more than one parameter."""
    result: _Polynomial = {tuple(sorted(where)): 1.0}
    if not only:
        share: _Polynomial = {
            (k,): (0.0 if k in where else 1 / 3) + (1.0 if k == where[order] else 0.0) for k in range(c)
        }
        result = _times(result, share)
    return _homogeneous(result, c)


def _homogeneous(polynomial: _Polynomial, c: int) -> _Polynomial:
    one: _Polynomial = {(k,): 1.0 for k in range(c)}
    while len(next(iter(polynomial))) < _DEGREE:
        polynomial = _times(polynomial, one)
    return polynomial


def _times(first: _Polynomial, second: _Polynomial) -> _Polynomial:
    result: _Polynomial = {}
    for (one, a), (two, b) in product(first.items(), second.items()):
        key = tuple(sorted(one + two))
        result[key] = result.get(key, 0.0) + a * b
    return result


def _twins(solutions: tuple[PhaseSite, ...]) -> list[tuple[int, int]]:
    return [
        (one, other)
        for one, other in combinations(range(len(solutions)), 2)
        if solutions[one].phase == solutions[other].phase
    ]


def _can_form(site: PhaseSite, elements: tuple[str, ...]) -> bool:
    if site.is_compound:
        return set(site.constituents) <= set(elements)
    return site.near in elements if site.near else True


def _shares(site: PhaseSite, elements: tuple[str, ...]) -> list[float]:
    given = dict(zip(site.constituents, site.shares, strict=True))
    return [given.get(element, 0.0) for element in elements]


def _start(site: PhaseSite, elements: tuple[str, ...]) -> list[float]:
    """Where the search for the phase begins: mostly the element it is near, evenly otherwise; never quite nothing."""
    weights = [1.0 if element in site.constituents else 1e-9 for element in elements]
    if site.near:
        weights = [40.0 if element == site.near else weight for element, weight in zip(elements, weights, strict=True)]
    return [weight / sum(weights) for weight in weights]
