"""Solder pastes: powder types (J-STD-005), flux designators (J-STD-004) and generic examples to start from."""

import re
from dataclasses import dataclass
from functools import cache

from webapp.errors import InvalidInputError
from webapp.trade.practice import stencil_rule
from webapp.trade.ranges import Span
from webapp.trade.sources import Kind, Source
from webapp.trade.tables import Interval, Row, rows


@dataclass(frozen=True, slots=True)
class Powder:
    """A powder type: at least 80 % by mass of the particles measure ``size_um``."""

    number: int
    size_um: Span
    source: Source

    @property
    def smallest_opening_um(self) -> float:
        """Narrowest stencil opening by the rule of five largest particles across."""
        return self.size_um.high * stencil_rule("particles_across_min").value


@cache
def powders() -> dict[int, Powder]:
    """Type number 1 to 8 -> powder. Do not change the dictionary."""
    return {
        int(row.text("type")): Powder(
            int(row.text("type")), Span(row.number("from_um"), row.number("to_um")), row.source()
        )
        for row in rows("powder")
    }


_FLUX_BASES = {"RO": "rosin", "RE": "resin", "OR": "organic", "IN": "inorganic"}
_FLUX = re.compile(r"(RO|RE|OR|IN)([LMH][01])")


@dataclass(frozen=True, slots=True)
class Flux:
    """A flux designator such as ROL0: base, activity and halides of J-STD-004."""

    designator: str
    base: str
    activity: str
    halide_wt_pct: Interval
    residue: str
    source: Source


@cache
def _flux_levels() -> dict[str, Row]:
    return {row.text("level"): row for row in rows("flux")}


def parse_flux(text: str) -> Flux:
    """Read "ROL0" or "ro l0"; InvalidInputError (field ``flux``) for anything else."""
    designator = "".join(text.split()).upper()
    match = _FLUX.fullmatch(designator)
    if match is None:
        message = "A flux designator is RO, RE, OR or IN, then L, M or H, then 0 or 1: ROL0."
        raise InvalidInputError(message, field="flux")
    row = _flux_levels()[match[2]]
    return Flux(
        designator,
        _FLUX_BASES[match[1]],
        row.text("activity"),
        row.interval("halide_wt_pct"),
        row.text("residue"),
        row.source(),
    )


FLUX_DENSITY_G_CM3 = 1.0
"""Of the flux in a paste, from memory: rosin and solvents near that of water."""

NAME_LENGTH = 80
"""Longest name of a paste."""


@dataclass(frozen=True, slots=True)
class Paste:
    """A solder paste. ``alloy``: designation; ``metal_wt_pct``: metal by weight; ``peak_c`` and ``above_liquidus_s``:
    the window of its data sheet, hottest and coldest joint (°C), seconds above the liquidus. ``own``: the site's, not
    an example."""

    name: str
    alloy: str
    powder: Powder
    metal_wt_pct: float
    flux: Flux
    peak_c: Span
    above_liquidus_s: Span
    source: Source
    own: bool = False

    def metal_volume_share(self, alloy_density_g_cm3: float) -> float:
        """Share of solder in the volume printed: w / rho over w / rho + (1 - w) / rho of the flux."""
        metal = self.metal_wt_pct / alloy_density_g_cm3
        return metal / (metal + (100 - self.metal_wt_pct) / FLUX_DENSITY_G_CM3)


PASTE_LIMITS: dict[str, Span] = {
    "metal_wt_pct": Span(70, 95),
    "peak_c": Span(100, 400),
    "above_liquidus_s": Span(0, 600),
}
"""Number of a paste -> values that make sense, in its unit."""


@cache
def paste_examples() -> tuple[Paste, ...]:
    """Generic examples to start from, low-temperature pastes first."""
    return tuple(
        Paste(
            row.text("name"),
            row.text("alloy"),
            powders()[int(row.text("powder_type"))],
            row.number("metal_wt_pct"),
            parse_flux(row.text("flux")),
            row.span("peak_c"),
            row.span("above_liquidus_s"),
            row.source(kind=Kind.ASSUMED),
        )
        for row in rows("pastes")
    )
