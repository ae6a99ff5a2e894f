"""Melting of solder alloys, calculated from thermodynamics: range, phases over temperature, freezing, slopes.

Model: Gibbs energies of Sn-Bi-Ag-Cu-Pb from published assessments (``tables/parameters.csv``, each with its source).
Where no parameter is published (Ag-Bi-Sn, Bi-Cu-Sn and Ag-Bi-Cu in the liquid) it extrapolates from the pairs. Against
measurements the eutectics are within 2 K, Bi-Pb-Sn 2.7 K high (98.0 against 95.3 +- 0.5 °C): use the figures to
compare and to screen. Valid for the alloys that :func:`webapp.science.alloy_points.not_covered` names, 25 to 1100 °C;
for any other the answer is a :class:`NotCovered`, never a number.

Compositions are taken to 0.01 wt%. Fractions are mass fractions, temperatures °C.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from math import ceil, floor
from operator import itemgetter
from typing import TypeVar

import numpy as np

from webapp.errors import InvalidInputError
from webapp.science.alloy_points import grouped, not_covered, present_labels
from webapp.science.equilibrium import equilibrium
from webapp.science.gibbs import ZERO_C, Array
from webapp.science.memory import Memory
from webapp.science.parameters import data_version
from webapp.science.phase_search import NoEquilibriumError
from webapp.science.scheil import solidification
from webapp.science.transitions import liquid_mass_share, liquid_share_reached, liquidus, solidus
from webapp.trade.composition import Composition

MOSTLY_LIQUID = 0.99
COLDEST_C, HOTTEST_C = 25.0, 1100.0
"""Copper, the last of the five metals to melt, does at 1084.6 °C; every parameter holds up to 1800 °C and more."""
EXPOSURES_C = (100.0, 138.0, 140.0)
_MARGIN_C = 5
_NEAR_C = 0.02  # beside a solidus, at which the amounts may not be determined
_DRAWN_STEPS, _DRAWN_LAST_STEPS = 18, 6
_KEPT = 4096


@dataclass(frozen=True, slots=True)
class NotCovered:
    """An alloy that the thermodynamic data do not cover, and why; tabulated values are to be shown instead."""

    composition: Composition
    reason: str


@dataclass(frozen=True, slots=True)
class MeltingRange:
    """Where an alloy melts in equilibrium, °C.

    ``liquidus_c`` is where the last solid goes (``first_solid``, the first to form on cooling), even if it is a trace
    of Ag3Sn or Cu6Sn5; ``matrix_liquidus_c`` where the last of the solid solutions of tin, bismuth or lead would go
    without those compounds (``matrix_solid``); at ``mostly_liquid_c`` 99 % of the mass is liquid. ``solids`` are the
    phases just below the solidus.
    """

    composition: Composition
    solidus_c: float
    liquidus_c: float
    first_solid: str
    matrix_liquidus_c: float
    matrix_solid: str
    mostly_liquid_c: float
    solids: tuple[str, ...]

    @property
    def matrix_gone_c(self) -> float:
        """Where the last solid solution goes: its liquidus, but not below the solidus. Where a compound is the last of
        all, the matrix may melt at the solidus whole, and the liquidus without the compound lie lower."""
        return max(self.matrix_liquidus_c, self.solidus_c)


@dataclass(frozen=True, slots=True)
class PhaseFractions:
    """Equilibrium over temperature: for each phase found its mass fraction at each of ``t_c``."""

    composition: Composition
    t_c: tuple[float, ...]
    fractions: Mapping[str, tuple[float, ...]]

    @property
    def liquid(self) -> tuple[float, ...]:
        """Mass fraction of liquid at each temperature."""
        return self.fractions["liquid"]


@dataclass(frozen=True, slots=True)
class Freezing:
    """Freezing without diffusion in the solids: ``liquid`` mass fraction left at each of ``t_c`` (falling), all
    solid at ``end_c``, where melting of the joint as soldered begins; ``left_at`` by exposure temperature."""

    composition: Composition
    t_c: tuple[float, ...]
    liquid: tuple[float, ...]
    end_c: float
    left_at: Mapping[float, float]


_Case = TypeVar("_Case")
_Found = TypeVar("_Found")
_ranges: Memory[Composition, MeltingRange | NotCovered] = Memory(_KEPT)
_freezing: Memory[tuple[Composition, tuple[float, ...]], Freezing | NotCovered] = Memory(_KEPT)


def melting_range(composition: Composition) -> MeltingRange | NotCovered:
    """Solidus and liquidus of one alloy."""
    return melting_ranges([composition])[0]


def melting_ranges(compositions: Sequence[Composition]) -> list[MeltingRange | NotCovered]:
    """The same for many alloys at once; equal ones are calculated once, known ones not again."""
    wanted = [composition.rounded() for composition in compositions]
    reasons = {composition: not_covered(composition) for composition in set(wanted)}
    covered = [composition for composition in dict.fromkeys(wanted) if reasons[composition] is None]
    found = _ranges.fill(covered, partial(_each, _calculated_ranges, Composition.rounded))
    return [
        found[composition] if reason is None else NotCovered(composition, reason)
        for composition in wanted
        for reason in (reasons[composition],)
    ]


def phase_fractions(composition: Composition, t_c: Sequence[float]) -> PhaseFractions | NotCovered:
    """Phases in equilibrium at ``t_c`` (25 to 1100 °C); raises :class:`InvalidInputError` outside that."""
    if any(not COLDEST_C <= value <= HOTTEST_C for value in t_c):
        raise InvalidInputError(f"A temperature is between {COLDEST_C:g} and {HOTTEST_C:g} °C here.", field="t_c")
    alloy = composition.rounded()
    reason = not_covered(alloy)
    return NotCovered(alloy, reason) if reason else _phase_fractions(alloy, tuple(map(float, t_c)), data_version())


def melting_curve(composition: Composition) -> PhaseFractions | NotCovered:
    """Phases over temperature at whole degrees, from 5 K below the solidus to 5 K above the liquidus."""
    span = melting_range(composition)
    if isinstance(span, NotCovered):
        return span
    return phase_fractions(composition, range(floor(span.solidus_c - _MARGIN_C), ceil(span.liquidus_c + _MARGIN_C) + 1))


def drawn_curve(composition: Composition, also_c: Sequence[float] = ()) -> PhaseFractions | NotCovered:
    """The same at a few dozen temperatures that follow the shape, and at ``also_c``: closer while the matrix melts, and
    on both sides of the solidus, where much may melt at once. A third of the work for a curve over 170 K."""
    span = melting_range(composition)
    if isinstance(span, NotCovered):
        return span
    low, most, high = span.solidus_c, span.mostly_liquid_c, span.liquidus_c
    t_c = [*also_c, low - _MARGIN_C, low - _NEAR_C, low + _NEAR_C, span.matrix_liquidus_c, high, high + _MARGIN_C]
    t_c += [low + place * (most - low) / _DRAWN_STEPS for place in range(1, _DRAWN_STEPS + 1)]
    t_c += [most + place * (high - most) / _DRAWN_LAST_STEPS for place in range(1, _DRAWN_LAST_STEPS)]
    return phase_fractions(composition, sorted({round(max(value, COLDEST_C), 3) for value in t_c}))


def freezing(composition: Composition, at_c: Sequence[float] = EXPOSURES_C) -> Freezing | NotCovered:
    """How one alloy freezes after soldering (Scheil), and what is liquid again at the exposures ``at_c``."""
    return freezings([composition], at_c)[0]


def freezings(compositions: Sequence[Composition], at_c: Sequence[float] = EXPOSURES_C) -> list[Freezing | NotCovered]:
    """The same for many alloys at once."""
    wanted = [composition.rounded() for composition in compositions]
    exposures = tuple(sorted(map(float, at_c)))
    reasons = {composition: not_covered(composition) for composition in set(wanted)}
    covered = [(composition, exposures) for composition in dict.fromkeys(wanted) if reasons[composition] is None]
    found = _freezing.fill(covered, partial(_each, _calculated_freezing, itemgetter(0)))
    return [
        found[composition, exposures] if reason is None else NotCovered(composition, reason)
        for composition in wanted
        for reason in (reasons[composition],)
    ]


def _each(
    calculate: Callable[[Sequence[_Case]], Sequence[_Found]],
    alloy_of: Callable[[_Case], Composition],
    cases: Sequence[_Case],
) -> list[_Found | NotCovered]:
    """All at once; should the search fail for one, one by one, so that only that one is without a result."""
    try:
        return list(calculate(cases))
    except NoEquilibriumError as error:
        if len(cases) == 1:
            return [NotCovered(alloy_of(cases[0]), f"The calculation came to no result: {error}")]
        return [_each(calculate, alloy_of, [case])[0] for case in cases]


def _calculated_ranges(compositions: Sequence[Composition]) -> list[MeltingRange]:
    result: dict[int, MeltingRange] = {}
    for points in grouped(compositions):
        above = liquidus(points.system, points.z)
        below = solidus(points.system, points.z, above.t_k, matrix_t_k=above.matrix_t_k)
        t_k = np.minimum(below.t_k, above.t_k)
        most = liquid_share_reached(points.system, points.z, points.masses, (t_k, above.t_k), MOSTLY_LIQUID)
        for row, place in enumerate(points.places.tolist()):
            result[place] = MeltingRange(
                composition=compositions[place],
                solidus_c=float(t_k[row]) - ZERO_C,
                liquidus_c=float(above.t_k[row]) - ZERO_C,
                first_solid=points.system.sites[int(above.site[row])].label,
                matrix_liquidus_c=float(above.matrix_t_k[row]) - ZERO_C,
                matrix_solid=points.system.sites[int(above.matrix_site[row])].label,
                mostly_liquid_c=float(most[row]) - ZERO_C,
                solids=present_labels(points.system, below.solids, row),
            )
    return [result[place] for place in range(len(compositions))]


def _calculated_freezing(wanted: Sequence[tuple[Composition, tuple[float, ...]]]) -> list[Freezing]:
    """For alloys that share their exposures."""
    compositions, exposures = [composition for composition, _ in wanted], wanted[0][1]
    result: dict[int, Freezing] = {}
    for points in grouped(compositions):
        above = liquidus(points.system, points.z)
        way = solidification(points.system, points.z, above.t_k, exposures)
        mass = way.liquid * (way.x @ points.masses) / (points.z @ points.masses)
        for row, place in enumerate(points.places.tolist()):
            shown = slice(*_shown(way.t_c, float(above.t_k[row]) - ZERO_C, float(way.end_c[row])))
            result[place] = Freezing(
                composition=compositions[place],
                t_c=tuple(way.t_c[shown].tolist()),
                liquid=tuple(mass[shown, row].tolist()),
                end_c=float(way.end_c[row]),
                left_at={t_c: float(mass[np.searchsorted(-way.t_c, -t_c), row]) for t_c in exposures},
            )
    return [result[place] for place in range(len(compositions))]


def _shown(t_c: Array, liquidus_c: float, end_c: float) -> tuple[int, int]:
    """The part of the way from the last step above the liquidus to the first below the end."""
    return max(int((t_c >= liquidus_c).sum()) - 1, 0), int((t_c >= end_c).sum()) + 1


@lru_cache(maxsize=256)
def _phase_fractions(alloy: Composition, t_c: tuple[float, ...], _version: str) -> PhaseFractions:
    points = next(grouped([alloy]))
    many = np.repeat(points.z, len(t_c), axis=0)
    found = equilibrium(points.system, np.array(t_c) + ZERO_C, many)
    fractions: dict[str, Array] = {"liquid": liquid_mass_share(found, many, points.masses)}
    share = found.amounts * (found.x @ points.masses) / (many @ points.masses)
    named = points.system.named(found.x)
    for place, site in list(enumerate(points.system.sites))[1:]:
        amount = np.where(named == place, share, 0.0).sum(axis=0)
        if amount.max() > 0:
            fractions[site.label] = fractions.get(site.label, 0.0) + amount
    return PhaseFractions(alloy, t_c, {label: tuple(share.tolist()) for label, share in fractions.items()})
