"""Figures that a site may set its own way: margins and thresholds of the checks, prices of metals.

Each has a default with its source; a site's own value takes its place, with a source of its own. Whatever decides by
a figure names it (checks.declare.Check.figures), so that a new value opens again what it was used for.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from itertools import pairwise
from types import MappingProxyType

from webapp.errors import InvalidInputError
from webapp.trade.ranges import Span, number_text
from webapp.trade.sources import Kind, Source
from webapp.trade.tables import rows


class FigureGroup(StrEnum):
    """What a figure is for."""

    CHECKS = "checks"
    JOINTS = "joints"
    METALS = "metals"

    @property
    def words(self) -> str:
        """The group as people read it."""
        return _GROUPS[self]


_GROUPS = {
    FigureGroup.CHECKS: "Margins and thresholds of the checks",
    FigureGroup.JOINTS: "Joints of array packages",
    FigureGroup.METALS: "Prices of metals",
}


@dataclass(frozen=True, slots=True)
class SiteFigure:
    """One figure: ``value`` in ``unit`` ("" for a share), within ``plausible``; ``own``: set by the site."""

    key: str
    group: FigureGroup
    label: str
    unit: str
    value: float
    plausible: Span
    source: Source
    own: bool = False

    @property
    def text(self) -> str:
        """ "10 K", "0.9"."""
        return f"{number_text(self.value)} {self.unit}".rstrip()

    def set_to(self, value: float, source: Source) -> "SiteFigure":
        """The site's own value; InvalidInputError, field ``value``, outside what is plausible."""
        if not self.plausible.contains(value):
            raise InvalidInputError(
                f"{self.label}: {number_text(value)} is outside {self.plausible.text(self.unit)}.", field="value"
            )
        return replace(self, value=value, source=source, own=True)


Figures = Mapping[str, SiteFigure]

CURRENCY = "USD"
"""Of every price: metals are quoted in US dollars, and sums want one currency."""

RISING = (
    ("service_fine_share", "service_prove_share", "service_change_share"),
    ("thin_band_pct", "thick_band_pct"),
    ("opening_share_low", "opening_share_high"),
    ("foil_low_mm", "foil_high_mm"),
    ("transfer_low", "transfer_high"),
    ("lead_plating_low_um", "lead_plating_high_um"),
    ("lead_plating_low_wt_pct", "lead_plating_high_wt_pct"),
    ("fillet_low_um", "fillet_high_um"),
    ("repair_wire_low", "repair_wire_high"),
)
"""Keys whose values may not fall from one to the next."""


@cache
def default_figures() -> Figures:
    """Key -> figure with its default, in the order of the table."""
    found = {
        row.text("key"): SiteFigure(
            key=row.text("key"),
            group=FigureGroup(row.text("group")),
            label=row.text("label"),
            unit=row.text("unit"),
            value=row.number("value"),
            plausible=Span(row.number("low"), row.number("high")),
            source=row.source(kind=Kind.ASSUMED),
        )
        for row in rows("figures")
    }
    return MappingProxyType(found)


def with_own(own: Iterable[SiteFigure]) -> Figures:
    """The defaults with a site's own figures in their places; figures that the table no longer has are left out."""
    known = default_figures()
    return MappingProxyType(dict(known) | {figure.key: figure for figure in own if figure.key in known})


def check_order(figures: Figures) -> None:
    """InvalidInputError, field ``value``, where an order (RISING) is broken."""
    for keys in RISING:
        for lower, higher in pairwise(keys):
            if figures[lower].value > figures[higher].value:
                message = f'"{figures[lower].label}" may not be above "{figures[higher].label}".'
                raise InvalidInputError(message, field="value")


def price_per_kg(composition_wt_pct: Mapping[str, float], figures: Figures) -> float | None:
    """Value of the metals in a kilogram of an alloy, in CURRENCY; None where one has no price."""
    keys = {element: f"price_{element.lower()}" for element in composition_wt_pct}
    if any(key not in figures for key in keys.values()):
        return None
    return sum(share / 100 * figures[keys[element]].value for element, share in composition_wt_pct.items())
