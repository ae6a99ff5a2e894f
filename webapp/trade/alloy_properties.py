"""What is known of solder alloys beside their melting: strength, stiffness, heat, life beside SAC305.

A value holds for the alloy it was found for; for a few like it it is shown as theirs, which its source then says.
Where nothing is known there is no entry, which pages show as "not known".
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache

from webapp.trade.alloys import Alloy, alloys, find_alloy
from webapp.trade.practice import practice_figure
from webapp.trade.ranges import Span
from webapp.trade.sources import Source
from webapp.trade.tables import Row, rows

CONTROL = "Sn96.5Ag3.0Cu0.5"
"""The alloy that strength and life are compared with."""

_DUCTILE_PCT = 5.0  # elongation from which a metal counts as ductile (textbooks of materials)


class Property(StrEnum):
    """What may be known of an alloy, in the order in which it is shown."""

    TENSILE = "tensile_mpa"
    ELONGATION = "elongation_pct"
    HARDNESS = "hardness_hb"
    MODULUS = "modulus_gpa"
    EXPANSION = "expansion_ppm_k"
    CONDUCTIVITY = "conductivity_w_mk"
    RESISTIVITY = "resistivity_uohm_m"
    LATENT = "latent_j_g"
    HEAT_CAPACITY = "heat_capacity_j_gk"
    SURFACE_TENSION = "surface_tension_n_m"
    DROP_LIFE = "drop_life"
    CYCLING_LIFE = "cycling_life"
    AGAINST_EUTECTIC = "against_eutectic"

    @property
    def words(self) -> str:
        """The property as people read it."""
        return _NAMES[self][0]

    @property
    def unit(self) -> str:
        """The unit of its values; "" for ratios."""
        return _NAMES[self][1]

    @property
    def is_life(self) -> bool:
        """Whether it is a life over that of SAC305."""
        return self in (Property.DROP_LIFE, Property.CYCLING_LIFE)


_NAMES: Mapping[Property, tuple[str, str]] = {
    Property.TENSILE: ("Tensile strength", "MPa"),
    Property.ELONGATION: ("Elongation at break", "%"),
    Property.HARDNESS: ("Brinell hardness", "HB"),
    Property.MODULUS: ("Young's modulus", "GPa"),
    Property.EXPANSION: ("Thermal expansion", "ppm/K"),
    Property.CONDUCTIVITY: ("Thermal conductivity", "W/(m K)"),
    Property.RESISTIVITY: ("Resistivity", "µΩ m"),
    Property.LATENT: ("Latent heat of melting", "J/g"),
    Property.HEAT_CAPACITY: ("Heat capacity", "J/(g K)"),
    Property.SURFACE_TENSION: ("Surface tension of the liquid", "N/m"),
    Property.DROP_LIFE: ("Drop life over that of SAC305", ""),
    Property.CYCLING_LIFE: ("Thermal cycling life over that of SAC305", ""),
    Property.AGAINST_EUTECTIC: ("Beside the tin-bismuth eutectic", ""),
}


@dataclass(frozen=True, slots=True)
class AlloyProperty:
    """One property: a range in its unit (``span``), or ``words`` where no number is known; ``condition``: at what."""

    kind: Property
    span: Span | None
    words: str
    condition: str
    source: Source

    @property
    def text(self) -> str:
        """ "48 to 72", or the words; the unit is its kind's."""
        return self.span.text() if self.span else self.words


def properties_of(alloy: Alloy) -> dict[Property, AlloyProperty]:
    """What is known of ``alloy``, or of the alloy of the tables with its composition, in the order of Property."""
    listed = alloy if alloy.designation in alloys() and not alloy.own else find_alloy(alloy.composition_wt_pct)
    return dict(_by_alloy().get(listed.designation, {})) if listed else {}


@cache
def _by_alloy() -> Mapping[str, Mapping[Property, AlloyProperty]]:
    found: dict[str, dict[Property, AlloyProperty]] = {}
    for row in rows("alloy_properties"):
        value = _property(row)
        found.setdefault(row.text("alloy"), {})[value.kind] = value
        note = " ".join(filter(None, [f"Value of {row.text('alloy')}.", value.source.note]))
        for other in row.text("also_for").split():
            found.setdefault(other, {})[value.kind] = replace(value, source=replace(value.source, note=note))
    order = list(Property)
    return {name: dict(sorted(values.items(), key=lambda item: order.index(item[0]))) for name, values in found.items()}


def _property(row: Row) -> AlloyProperty:
    span = row.span("value") if row.text("value") else None
    return AlloyProperty(Property(row.text("property")), span, row.text("words"), row.text("condition"), row.source())


def strength_class(known: Mapping[Property, AlloyProperty]) -> str | None:
    """Tensile strength beside that of SAC305, in words; None where one of the two is not known."""
    own, control = known.get(Property.TENSILE), _by_alloy()[CONTROL][Property.TENSILE]
    if own is None or own.span is None or control.span is None:
        return None
    middle = (own.span.low + own.span.high) / 2
    if own.span.low >= control.span.high:
        return "above SAC305"
    if own.span.high <= control.span.low:
        return "below SAC305"
    if middle > control.span.high:
        return "as SAC305 or above"
    if middle < control.span.low:
        return "as SAC305 or below"
    return "as SAC305"


def ductility_class(alloy: Alloy, known: Mapping[Property, AlloyProperty]) -> str | None:
    """How the alloy gives before it breaks, in words; None where nothing is known.

    Solders rich in bismuth stretch when pulled slowly and break brittle in a drop, whatever a tensile test says.
    """
    if alloy.composition_wt_pct.get("Bi", 0.0) >= practice_figure("rate_brittle_bi_wt_pct").value:
        return "brittle when strained fast"
    elongation = known.get(Property.ELONGATION)
    if elongation is None or elongation.span is None:
        return None
    return "ductile" if elongation.span.low >= _DUCTILE_PCT else "little ductile"
