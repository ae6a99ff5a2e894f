"""Single numbers of standards and practice, limits of package warpage, and rules of stencils."""

from dataclasses import dataclass
from functools import cache

from webapp.trade.ranges import Span
from webapp.trade.sources import Source
from webapp.trade.tables import Row, rows


@dataclass(frozen=True, slots=True)
class Figure:
    """A number, or a range, with its unit, its meaning in words and its source."""

    key: str
    span: Span
    unit: str
    meaning: str
    source: Source

    @property
    def value(self) -> float:
        """The number; of a range the lower end."""
        return self.span.low


def _figures(table: str, key: str) -> dict[str, Figure]:
    return {row.text(key): _figure(row, key) for row in rows(table)}


def _figure(row: Row, key: str) -> Figure:
    return Figure(row.text(key), row.span("value"), row.text("unit"), row.text("meaning"), row.source())


@cache
def _practice() -> dict[str, Figure]:
    return _figures("practice", "key")


@cache
def _stencil() -> dict[str, Figure]:
    return _figures("stencil", "rule")


def practice_figure(key: str) -> Figure:
    """A figure of practice.csv, e.g. "gold_limit_wt_pct"; KeyError for a key that is none."""
    return _practice()[key]


def stencil_rule(rule: str) -> Figure:
    """A rule of stencil.csv (IPC-7525), e.g. "area_ratio_min"; KeyError for a rule that is none."""
    return _stencil()[rule]


@dataclass(frozen=True, slots=True)
class WarpageLimit:
    """Largest warpage of an array package at one ball pitch: convex positive, concave negative, mm.

    Given for 150 °C up to a tin-silver-copper peak; a lower peak needs its own measurement.
    """

    pitch_mm: float
    convex_mm: float
    concave_mm: float
    source: Source


@cache
def warpage_limits() -> tuple[WarpageLimit, ...]:
    """All limits, coarsest pitch first."""
    return tuple(
        WarpageLimit(row.number("pitch_mm"), row.number("convex_mm"), row.number("concave_mm"), row.source())
        for row in rows("warpage_limits")
    )


def warpage_limits_for(pitch_mm: float) -> tuple[WarpageLimit, ...]:
    """The limits of the table's nearest pitch that is not coarser; none when the pitch is finer than the table.

    A finer pitch has tighter limits, so taking the next finer row never allows too much.
    """
    finer = [limit.pitch_mm for limit in warpage_limits() if limit.pitch_mm <= pitch_mm + 1e-9]
    return tuple(limit for limit in warpage_limits() if finer and limit.pitch_mm == max(finer))
