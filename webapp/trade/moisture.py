"""J-STD-020 and J-STD-033: classification temperature, profile limits, floor life, drying.

Ranges in, ranges out: what is not known exactly is looked up in every cell it may fall into.
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from webapp.errors import InvalidInputError
from webapp.trade.masks import Msl
from webapp.trade.ranges import Span, spanning
from webapp.trade.sources import Source
from webapp.trade.tables import Interval, Row, rows

_LENGTHS = Span(0.0, math.inf)


class Process(StrEnum):
    """Which of the two sets of limits of J-STD-020 holds."""

    LEAD_FREE = "lead_free"
    TIN_LEAD = "tin_lead"


@dataclass(frozen=True, slots=True)
class TemperatureCell:
    """One cell of the classification table: bodies of this thickness and volume stand ``limit_c``."""

    process: Process
    revision: str
    thickness_mm: Interval
    volume_mm3: Interval
    limit_c: float
    source: Source


@cache
def temperature_cells() -> tuple[TemperatureCell, ...]:
    """The classification temperatures of J-STD-020, all revisions."""
    return tuple(
        TemperatureCell(
            Process(row.text("process")),
            row.text("revision"),
            row.interval("thickness_mm"),
            row.interval("volume_mm3"),
            row.number("limit_c"),
            row.source(),
        )
        for row in rows("classification_temperature")
    )


def matching_cells(
    thickness_mm: Span, volume_mm3: Span, process: Process = Process.LEAD_FREE, revision: str = "E"
) -> tuple[TemperatureCell, ...]:
    """Every cell the body may fall into; ``revision`` is C, D or E of J-STD-020.

    Raises InvalidInputError for negative sizes and for a revision that is none of them.
    """
    if not (_LENGTHS.contains(thickness_mm) and _LENGTHS.contains(volume_mm3)):
        raise InvalidInputError("Thickness and volume of a body are not negative.")
    if revision not in ("C", "D", "E"):
        raise InvalidInputError("The revision of J-STD-020 is C, D or E.")
    return tuple(
        cell
        for cell in temperature_cells()
        if cell.process is process
        and revision in _REVISIONS[cell.revision]
        and cell.thickness_mm.meets(thickness_mm)
        and cell.volume_mm3.meets(volume_mm3)
    )


_REVISIONS = {"C to E": "CDE", "D and E": "DE", "C": "C"}


def classification_temperature_c(
    thickness_mm: Span, volume_mm3: Span, process: Process = Process.LEAD_FREE, revision: str = "E"
) -> Span:
    """The classification temperature (°C, package body top) a moisture-classified SMD package may have.

    J-STD-020 Tables 4-1 and 4-2. Volume without terminals and non-integral heat sinks. See ``matching_cells`` for
    errors, and for the source of each value.
    """
    cells = matching_cells(thickness_mm, volume_mm3, process, revision)
    return spanning(Span.exactly(cell.limit_c) for cell in cells)


@cache
def profile_limits(process: Process) -> dict[str, tuple[Span, Source]]:
    """Limits of the classification profile (J-STD-020 Table 5-2) by name, the unit in the name.

    They say what a part survives, not how to solder. Do not change the dictionary.
    """
    found = (row for row in rows("profile_limits") if row.text("process") == process)
    return {row.text("limit"): (row.span("value"), row.source()) for row in found}


@cache
def _floor_lives() -> dict[Msl, Row]:
    return {Msl.from_level(row.text("level")): row for row in rows("msl")}


def floor_life_h(possible: Msl) -> Span:
    """Hours outside the dry bag at 30 °C and 60 % RH (level 1: 85 %) allowed by J-STD-020 Table 5-1.

    Level 1 is unlimited (inf); level 6 is 0, for it is baked before use and the label gives the time. At least one
    level must be possible: InvalidInputError.
    """
    if not possible:
        raise InvalidInputError("No moisture level is possible.")
    return spanning(Span.exactly(_floor_lives()[level].number("floor_life_h")) for level in possible)


def floor_life_source(level: Msl) -> Source:
    """Where the floor life of one level comes from."""
    return _floor_lives()[level].source()


@dataclass(frozen=True, slots=True)
class Drying:
    """One bake of J-STD-033 Table 4-1, by how far the floor life was exceeded (more than, or within, 72 h)."""

    scope: str
    thickness_mm: Interval
    levels: Msl
    bake_c: float
    humidity: str
    over_72h_h: float
    within_72h_h: float
    source: Source


@cache
def _dryings() -> tuple[Drying, ...]:
    return tuple(
        Drying(
            row.text("scope"),
            row.interval("thickness_mm"),
            _levels(row.text("level")),
            row.number("bake_c"),
            row.text("humidity"),
            row.number("over_72h_h"),
            row.number("within_72h_h"),
            row.source(),
        )
        for row in rows("bakes")
    )


def gentle_bakes_c() -> list[float]:
    """The temperatures of the longer bakes of J-STD-033, °C: all but the hottest, hottest first."""
    return sorted({bake.bake_c for bake in _dryings()}, reverse=True)[1:]


def _levels(text: str) -> Msl:
    return Msl(sum(Msl.from_level(word) for word in text.split()))


def dryings(level: Msl, thickness_mm: Span) -> tuple[Drying, ...]:
    """All bakes that may apply to bodies of one level: hottest first, the one for large array packages last.

    None for levels 1 and 6 and for bodies above 4.5 mm: the table has none.
    """
    found = [item for item in _dryings() if level & item.levels and item.thickness_mm.meets(thickness_mm)]
    return tuple(sorted(found, key=lambda item: (item.scope, -item.bake_c)))


@dataclass(frozen=True, slots=True)
class DeratedLife:
    """Floor life in another ambient: hours (inf: unlimited), and where each value comes from."""

    hours: Span
    sources: tuple[Source, ...]


_COLUMNS = ((20.0, "days_20c"), (25.0, "days_25c"), (30.0, "days_30c"), (35.0, "days_35c"))
_MAX_RH_PCT = 90.0


def derated_floor_life(level: Msl, thickness_mm: Span, rh_pct: float, ambient_c: float) -> DeratedLife | None:
    """Floor life by J-STD-033 Table 7-1 at the next higher humidity and temperature of the table (no interpolation).

    ``rh_pct`` 0 to 90, ``ambient_c`` at most 35. ``None`` where the table as known here has no value: other
    ambients, levels 1, 2 and 6, and thin bodies of level 4 and above. Rows for bodies under 3.1 mm are unverified.
    """
    column = next((name for limit_c, name in _COLUMNS if ambient_c <= limit_c), None)
    if column is None or not 0 <= rh_pct <= _MAX_RH_PCT:
        return None
    table = [row for row in rows("floor_life_derating") if _levels(row.text("level")) == level]
    table = [row for row in table if row.number("rh_pct") >= rh_pct]
    lowest = min((row.number("rh_pct") for row in table), default=None)
    cells = [
        row for row in table if row.number("rh_pct") == lowest and row.interval("thickness_mm").meets(thickness_mm)
    ]
    if not cells or not _covers(cells, thickness_mm) or not all(row.text(column) for row in cells):
        return None
    hours = spanning(Span.exactly(row.number(column) * 24) for row in cells)
    return DeratedLife(hours, tuple(row.source() for row in cells))


def _covers(cells: list[Row], thickness_mm: Span) -> bool:
    """Whether the cells hold every thickness of the range: a body that may be thinner than all rows has no value."""
    intervals = [row.interval("thickness_mm") for row in cells]
    return min(interval.low for interval in intervals) <= thickness_mm.low
