"""What is drawn and read off around an alloy: binary diagrams, invariants, slopes, the effect of a tolerance."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import product
from math import ceil
from typing import NamedTuple

import numpy as np

from webapp.errors import InvalidInputError
from webapp.science.alloy_points import AlloyPoints, grouped, not_covered, present_labels, wt_pct
from webapp.science.equilibrium import equilibrium
from webapp.science.gibbs import ZERO_C, Array
from webapp.science.melting import COLDEST_C, HOTTEST_C, MeltingRange, NotCovered, melting_range
from webapp.science.parameters import ELEMENTS, data_version
from webapp.science.phase_search import Equilibrium
from webapp.science.tangents import moved, tangent
from webapp.science.transitions import Solidus, liquidus, solidus
from webapp.trade.composition import Composition, read_composition

SLOPE_STEP_WT_PCT = 0.1
MOST_TOLERANCE_WT_PCT = 5.0
_DIAGRAM_STEP_WT_PCT = 2.0
_SOLVUS_FROM_C, _SOLVUS_STEPS = 25.0, 12
_BELOW_K = 0.01  # under a eutectic, at which the amounts are not determined
_BESIDE_WT_PCT = 0.02  # inside of a corner, where melting still begins at the eutectic
_PURE_WT_PCT = 0.01  # closer to a pure metal counts as that
_LEVELS, _FINE_LEVELS = (-1.0, 0.0, 1.0), (-1.0, -0.5, 0.0, 0.5, 1.0)
_LIQUID_STEPS = 6
# A composition within each invariant: where its melting begins. The liquid there is calculated.
_WITHIN = (
    *("Sn50Bi50", "Sn96Ag4", "Sn99Cu1", "Sn62Pb38", "Bi55Pb45", "Ag3Bi97", "Ag3Pb97", "Ag72Cu28"),
    *("Sn42Bi57Ag1", "Sn95Ag4Cu1", "Sn16Bi52Pb32", "Sn42Bi57.5Cu0.5", "Sn62Pb36Ag2"),
    *("Sn41.5Bi57Ag1Cu0.5", "Sn16Bi51.5Pb32Ag0.5"),
)


@dataclass(frozen=True, slots=True)
class Invariant:
    """A eutectic: where melting begins for all alloys of ``system`` around it, °C, and the liquid there in wt%."""

    system: tuple[str, ...]
    t_c: float
    liquid_wt_pct: dict[str, float]
    solids: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BinaryDiagram:
    """Liquidus and solidus of a pair as points (wt% of the second element, °C), and the eutectic if there is one.

    ``solvus``: below the eutectic what the two solids beside each other hold, as (°C, wt% of the second element in the
    one, in the other), rising.
    """

    first: str
    second: str
    liquidus: tuple[tuple[float, float], ...]
    solidus: tuple[tuple[float, float], ...]
    eutectic: Invariant | None
    solvus: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, slots=True)
class Part:
    """A phase at one point of a diagram: its share of the mass, and wt% of the second element in it."""

    label: str
    share: float
    wt_pct: float


@dataclass(frozen=True, slots=True)
class Reading:
    """One point of a diagram, ``wt_pct`` of the second element at ``t_c``: where that alloy melts, and its phases."""

    wt_pct: float
    t_c: float
    solidus_c: float
    liquidus_c: float
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Slope:
    """Change in K per wt% more of an element at the cost of the first one: from below and from above the composition,
    which differ at a eutectic. ``None`` where the step would leave what is possible or covered."""

    liquidus: tuple[float | None, float | None]
    matrix_liquidus: tuple[float | None, float | None]
    solidus: tuple[float | None, float | None]


@dataclass(frozen=True, slots=True)
class ToleranceRange:
    """Lowest and highest of each temperature, °C, within a tolerance of composition."""

    tolerance_wt_pct: float
    liquidus_c: tuple[float, float]
    matrix_liquidus_c: tuple[float, float]
    solidus_c: tuple[float, float]


def binary(first: str, second: str, step_wt_pct: float = _DIAGRAM_STEP_WT_PCT) -> BinaryDiagram | NotCovered:
    """The diagram of two of the five elements, wherever the data cover the whole of it.

    Raises :class:`InvalidInputError` for elements outside the five, for a pair of one, or a step below 0.1 wt%.
    """
    _check_pair(first, second)
    if not 0.1 <= step_wt_pct <= 50:
        raise InvalidInputError("The step is between 0.1 and 50 wt%.", field="step_wt_pct")
    return _binary(first, second, step_wt_pct, data_version())


def read_binary(first: str, second: str, wt_pct: float, t_c: float) -> Reading | NotCovered:
    """What is in equilibrium in an alloy of two of the five elements, by the lever rule, the liquid first.

    Raises :class:`InvalidInputError` for ``wt_pct`` (of the second element) outside 0 to 100, ``t_c`` outside 25 to
    1100 °C, and as :func:`binary` does.
    """
    _check_pair(first, second)
    if not 0 <= wt_pct <= 100:
        raise InvalidInputError("A share is between 0 and 100 wt%.", field="wt_pct")
    if not COLDEST_C <= t_c <= HOTTEST_C:
        raise InvalidInputError(f"A temperature is between {COLDEST_C:g} and {HOTTEST_C:g} °C here.", field="t_c")
    share = 0.0 if wt_pct < _PURE_WT_PCT else 100.0 if wt_pct > 100 - _PURE_WT_PCT else wt_pct
    composition = Composition.of({first: 100 - share, second: share})
    if reason := not_covered(composition):
        return NotCovered(composition, reason)
    (ends,) = _ends([composition])
    (points,) = grouped([composition])
    found = equilibrium(points.system, np.array([t_c + ZERO_C]), points.z)
    return Reading(wt_pct, t_c, ends.solidus, ends.liquidus, tuple(_parts(points, found, second)))


@cache
def invariants() -> tuple[Invariant, ...]:
    """Eutectics of the covered systems, calculated."""
    return tuple(_invariant(composition) for composition in _within())


def _within() -> list[Composition]:
    return [read_composition(text) for text in _WITHIN]


def slopes(composition: Composition) -> dict[str, Slope] | NotCovered:
    """How fast the melting range moves with each element but the first, by steps of 0.1 wt%."""
    span = melting_range(composition)
    return span if isinstance(span, NotCovered) else dict(_slopes(span, data_version()))


@lru_cache(maxsize=256)
def _slopes(span: MeltingRange, _version: str) -> Mapping[str, Slope]:
    alloy = span.composition
    first, *others = [symbol for symbol, _ in alloy.shares]
    steps = [(symbol, sign * SLOPE_STEP_WT_PCT) for symbol in others for sign in (-1, 1)]
    shifted = [_shifted(alloy, first, {symbol: step}) for symbol, step in steps]
    here = _Ends(span.liquidus_c, span.matrix_liquidus_c, span.solidus_c)
    found = iter(_ends([there for there in shifted if there is not None], span))
    sides = [
        None if there is None else _Ends(*((then - now) / step for now, then in zip(here, next(found), strict=True)))
        for (_, step), there in zip(steps, shifted, strict=True)
    ]
    return {symbol: _slope(*sides[2 * place : 2 * place + 2]) for place, symbol in enumerate(others)}


def tolerance_range(composition: Composition, tolerance_wt_pct: float) -> ToleranceRange | NotCovered:
    """The range of each temperature when every element but the first may be off by the tolerance.

    The first takes up the difference; three to five levels of each, all combinations. Raises
    :class:`InvalidInputError` for a tolerance outside 0 to 5 wt%.
    """
    if not 0 <= tolerance_wt_pct <= MOST_TOLERANCE_WT_PCT:
        raise InvalidInputError(
            f"A tolerance is between 0 and {MOST_TOLERANCE_WT_PCT:g} wt%.", field="tolerance_wt_pct"
        )
    alloy = composition.rounded()
    reason = not_covered(alloy)
    return NotCovered(alloy, reason) if reason else _tolerance_range(alloy, tolerance_wt_pct, data_version())


@lru_cache(maxsize=256)
def _tolerance_range(alloy: Composition, tolerance_wt_pct: float, _version: str) -> ToleranceRange:
    first, *others = [symbol for symbol, _ in alloy.shares]
    levels = _FINE_LEVELS if len(others) <= 2 else _LEVELS
    shifts = (
        {symbol: level * tolerance_wt_pct for symbol, level in zip(others, chosen, strict=True)}
        for chosen in product(levels, repeat=len(others))
    )
    possible = [shifted for shift in shifts if (shifted := _shifted(alloy, first, shift)) is not None]
    figures = zip(*_ends(possible), strict=True)
    liquid, matrix, solid = ((min(values), max(values)) for values in figures)
    return ToleranceRange(tolerance_wt_pct, liquid, matrix, solid)


class _Ends(NamedTuple):
    """Liquidus, liquidus of the matrix and solidus: °C, or the slopes of these."""

    liquidus: float
    matrix_liquidus: float
    solidus: float


def _ends(compositions: Sequence[Composition], near: MeltingRange | None = None) -> list[_Ends]:
    """Of covered alloys, each to the last digit of its composition; ``near`` is of an alloy close to all of them."""
    found: dict[int, _Ends] = {}
    for group in grouped(compositions):
        above = liquidus(group.system, group.z)
        start = _start(group, near) if near and near.composition.elements == set(group.system.elements) else None
        below = np.minimum(
            solidus(group.system, group.z, above.t_k, matrix_t_k=above.matrix_t_k, start=start).t_k, above.t_k
        )
        for place, *t_k in zip(group.places.tolist(), above.t_k, above.matrix_t_k, below, strict=True):
            found[place] = _Ends(*(float(value) - ZERO_C for value in t_k))
    return [found[place] for place in range(len(compositions))]


def _start(group: AlloyPoints, near: MeltingRange) -> Solidus:
    """The solids with which one alloy begins to melt, for each of the group to begin with."""
    (point,) = grouped([near.composition])
    t_k = np.array([near.solidus_c + ZERO_C])
    solids = equilibrium(group.system, t_k, point.z, solids_only=True)
    every = np.zeros(len(group.z), np.intp)
    return Solidus(t_k[every], solids.at(every))


def _slope(below: _Ends | None, above: _Ends | None) -> Slope:
    return Slope(*((below and getattr(below, name), above and getattr(above, name)) for name in _Ends._fields))


def _shifted(alloy: Composition, first: str, changes_wt_pct: Mapping[str, float]) -> Composition | None:
    """``alloy`` with other shares, ``first`` taking up the difference; ``None`` if impossible or not covered."""
    shares = {symbol: share + changes_wt_pct.get(symbol, 0.0) for symbol, share in alloy.shares}
    shares[first] -= sum(changes_wt_pct.values())
    if min(shares.values()) < 0:
        return None
    shifted = Composition.of(shares)
    return shifted if not_covered(shifted) is None else None


@lru_cache(maxsize=64)
def _binary(first: str, second: str, step_wt_pct: float, _version: str) -> BinaryDiagram | NotCovered:
    shares = {share for place in range(ceil(100 / step_wt_pct)) if (share := place * step_wt_pct) < 100} | {100.0}
    eutectic: Invariant | None = None
    solvus: tuple[tuple[float, float, float], ...] = ()
    within = [composition for composition in _within() if composition.elements == {first, second}]
    if within:
        eutectic = _invariant(within[0])
        solvus = _solvus(within[0], second, eutectic.t_c)
        shares |= {eutectic.liquid_wt_pct[second], *_corners(solvus)}
    compositions = [Composition.of({first: 100 - share, second: share}) for share in sorted(shares)]
    for composition in compositions:
        if reason := not_covered(composition):
            return NotCovered(composition, reason)
    ends = _ends(compositions)
    return BinaryDiagram(
        first,
        second,
        tuple((share, end.liquidus) for share, end in zip(sorted(shares), ends, strict=True)),
        tuple((share, end.solidus) for share, end in zip(sorted(shares), ends, strict=True)),
        eutectic,
        solvus,
    )


def _check_pair(first: str, second: str) -> None:
    for symbol in (first, second):
        if symbol not in ELEMENTS:
            raise InvalidInputError(f'"{symbol}" is not among {", ".join(ELEMENTS)}.', field="binary")
    if first == second:
        raise InvalidInputError("A diagram is of two different elements.", field="binary")


def _solvus(within: Composition, second: str, eutectic_c: float) -> tuple[tuple[float, float, float], ...]:
    """What the two solids of ``within`` hold of ``second``, from room temperature up to the eutectic."""
    t_c = np.linspace(_SOLVUS_FROM_C, eutectic_c - _BELOW_K, _SOLVUS_STEPS)
    (points,) = grouped([within])
    found = equilibrium(points.system, t_c + ZERO_C, np.repeat(points.z, len(t_c), axis=0))
    held = [
        sorted(part.wt_pct for part in _parts(points, found.at(np.array([row])), second)) for row in range(len(t_c))
    ]
    return tuple((float(t), shares[0], shares[-1]) for t, shares in zip(t_c, held, strict=True))


def _corners(solvus: tuple[tuple[float, float, float], ...]) -> set[float]:
    """Where the lines of the two solids meet at the eutectic, and half way on to the pure metals, where they are steep.

    A compound, which always holds the same, has none.
    """
    (_, *coldest), (_, *hottest) = solvus[0], solvus[-1]
    inner = (_BESIDE_WT_PCT, -_BESIDE_WT_PCT)
    ends = zip(coldest, hottest, (0.0, 100.0), inner, strict=True)
    return {share for cold, hot, pure, by in ends if cold != hot for share in (hot + by, hot, (hot + pure) / 2)}


def _parts(points: AlloyPoints, found: Equilibrium, second: str) -> list[Part]:
    """The phases of one point, the liquid first."""
    column = points.system.elements.index(second) if second in points.system.elements else None
    named = points.system.named(found.x)
    mass: Array = found.amounts[:, 0] * (found.x[:, 0] @ points.masses)
    parts = []
    for site in np.flatnonzero(found.amounts[:, 0] > 0):
        held = 0.0 if column is None else 100 * float(points.mass_fractions(found.x[site, 0])[column])
        parts.append(Part(points.system.sites[int(named[site, 0])].label, float(mass[site] / mass.sum()), held))
    return parts


def _invariant(within: Composition) -> Invariant:
    """Where an alloy of c elements with c solids begins to melt, and the liquid that appears."""
    (group,) = grouped([within])
    system = group.system
    begin = solidus(system, group.z, liquidus(system, group.z).t_k)
    x, thermal = begin.solids.x.copy(), system.thermal(begin.t_k)
    for _ in range(_LIQUID_STEPS):
        look = tangent(system, thermal, x, begin.solids.mu)
        x[: len(system.solutions)] = moved(x[: len(system.solutions)], look.step)
    return Invariant(
        system=system.elements,
        t_c=float(begin.t_k[0]) - ZERO_C,
        liquid_wt_pct=dict(wt_pct(system.elements, group.mass_fractions(x[0, 0]))),
        solids=present_labels(system, begin.solids, 0),
    )
