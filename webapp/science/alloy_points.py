"""Alloys in wt% as points for the solver: which are covered, and those of the same elements together."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.science.gibbs import Array, System, system_of
from webapp.science.parameters import ELEMENTS
from webapp.science.phase_search import Equilibrium
from webapp.trade.composition import Composition
from webapp.trade.elements import ELEMENTS as METALS

MOST_AG_WT_PCT = 5.0
MOST_CU_WT_PCT = 2.0
LEAST_SN_WITH_CU_WT_PCT = 10.0
MOST_CU_IN_SN_WT_PCT = 7.0
MOSTLY_PB_WT_PCT = 50.0
MOST_AG_IN_PB_WT_PCT = 0.5
_FULL_PAIRS = (frozenset(("Ag", "Sn")), frozenset(("Ag", "Bi")), frozenset(("Ag", "Pb")), frozenset(("Ag", "Cu")))
_SN_CU = frozenset(("Cu", "Sn"))


@dataclass(frozen=True, slots=True)
class AlloyPoints:
    """Alloys of the same elements: places in the list asked for, ``z`` (N, c) mole fractions, ``masses`` (c) g/mol."""

    places: NDArray[np.intp]
    system: System
    z: Array
    masses: Array

    def mass_fractions(self, x: Array) -> Array:
        """Mass fractions from mole fractions, on the last axis."""
        weighed = x * self.masses
        fractions: Array = weighed / weighed.sum(axis=-1, keepdims=True)
        return fractions


def not_covered(composition: Composition) -> str | None:
    """Why the assessment does not cover an alloy; nothing when it does.

    Covered are Sn, Bi and Pb in any proportion with up to 5 wt% Ag and, where tin is at least 10 wt%, up to 2 wt% Cu;
    Ag with Sn, Bi, Pb or Cu alone in any proportion; Sn with up to 7 wt% Cu; each of the five metals alone. Where more
    than half is lead, up to 0.5 wt% Ag: no parameter for silver, lead and tin together is published, and for
    Sn5Pb92.5Ag2.5 the solidus came out 10 K above the 287 °C that lists print.
    """
    others = sorted(composition.elements - set(ELEMENTS))
    if others:
        names = " and ".join(METALS[symbol].name for symbol in others)
        return f"The thermodynamic data hold no {names}: no melting range is calculated."
    shares = composition.wt_pct
    if len(shares) == 1 or composition.elements in _FULL_PAIRS:
        return None
    silver, copper, tin = (shares.get(symbol, 0.0) for symbol in ("Ag", "Cu", "Sn"))
    if composition.elements == _SN_CU:
        return _over("copper in tin", copper, MOST_CU_IN_SN_WT_PCT)
    if copper and tin < LEAST_SN_WITH_CU_WT_PCT:
        return f"With copper, the calculation is good for {LEAST_SN_WITH_CU_WT_PCT:g} wt% tin and more."
    if shares.get("Pb", 0.0) > MOSTLY_PB_WT_PCT and silver > MOST_AG_IN_PB_WT_PCT:
        return f"Where most is lead, the calculation is good for up to {MOST_AG_IN_PB_WT_PCT:g} wt% silver."
    return _over("silver", silver, MOST_AG_WT_PCT) or _over("copper", copper, MOST_CU_WT_PCT)


def _over(what: str, share: float, limit: float) -> str | None:
    # Shares are wt% with two decimals: a hair more is rounding.
    return None if share <= limit + 1e-6 else f"The calculation is good for up to {limit:g} wt% {what}."


def grouped(compositions: Sequence[Composition]) -> Iterator[AlloyPoints]:
    """Covered alloys, those of the same elements together."""
    by_elements: dict[tuple[str, ...], list[int]] = {}
    for place, composition in enumerate(compositions):
        by_elements.setdefault(tuple(sorted(composition.elements)), []).append(place)
    for elements, places in by_elements.items():
        masses = np.array([METALS[element].atomic_mass_g_mol for element in elements])
        shares = np.array([[compositions[place].wt_pct[element] for element in elements] for place in places])
        moles = shares / masses
        yield AlloyPoints(np.array(places), system_of(elements), moles / moles.sum(axis=1, keepdims=True), masses)


def present_labels(system: System, found: Equilibrium, point: int) -> tuple[str, ...]:
    """The phases that hold some of the alloy at one point."""
    named = system.named(found.x[:, [point]])[:, 0]
    return tuple(dict.fromkeys(system.sites[place].label for place in named[found.amounts[:, point] > 0]))


def wt_pct(elements: Sequence[str], fractions: Array) -> Mapping[str, float]:
    """Mass fractions (c) as wt% by element."""
    return {element: 100 * float(fraction) for element, fraction in zip(elements, fractions, strict=True)}
