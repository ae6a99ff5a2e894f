"""Charts as the pages draw them: scales, ticks, labels and paths from data, for inline SVG (templates/_charts.html).

Across, every place is in per cent of the plot, so that a chart fits any box while its text keeps its size; up and down
it is in px. Labels stand beside what they name; those of vertical marks in rows above the plot, so that none covers
another even on a phone.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]

PLOT_HEIGHT = 220
ROW_HEIGHT = 16
_HEADROOM = 10
_NARROWEST, _LETTER = 290, 6.6  # px: the plot on a phone, and a letter of a label on average
_LEAST_WIDTH = 0.5  # per cent of a bar
_GAP, _HALF_LETTER = 6, 4  # px: between a label and what it names, and from the middle of a letter to its foot


@dataclass(frozen=True, slots=True)
class Scale:
    """Values ``low`` to ``high`` laid out linearly from ``start`` to ``end``; low and high differ."""

    low: float
    high: float
    start: float = 0.0
    end: float = 100.0

    def __call__(self, value: float) -> float:
        """Where ``value`` stands, also outside of what is shown."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def shows(self, value: float) -> bool:
        """Whether ``value`` lies on the scale."""
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True)
class Tick:
    """A number beside an axis; ``at`` in the unit of the scale's ends."""

    at: float
    text: str
    anchor: Anchor = "middle"


@dataclass(frozen=True, slots=True)
class Axis:
    """A scale with its name, unit and numbers."""

    label: str
    unit: str
    scale: Scale
    ticks: tuple[Tick, ...]

    @property
    def words(self) -> str:
        """ "Temperature, °C"."""
        return f"{self.label}, {self.unit}" if self.unit else self.label


def tick_step(low: float, high: float, most: int = 6) -> float:
    """The least of 1, 2, 5 times a power of ten that divides ``low`` to ``high`` by at most ``most`` ticks."""
    rough = (high - low) / max(most - 1, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step for factor in (1, 2, 5, 10) if (step := factor * power) >= rough * (1 - 1e-9))


def tick_values(low: float, high: float, most: int = 6) -> tuple[float, ...]:
    """Round numbers from ``low`` to ``high``, both included where they are round; ``low`` is below ``high``."""
    step = tick_step(low, high, most)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return tuple(round(place * step, 10) + 0.0 for place in range(first, last + 1))


def rounded_out(low: float, high: float, most: int = 6) -> Point:
    """``low`` and ``high`` moved outwards to round numbers; equal ones are moved apart."""
    if low == high:
        low, high = low - 1, high + 1
    step = tick_step(low, high, most)
    return math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step


def across(label: str, unit: str, low: float, high: float, most: int = 6) -> Axis:
    """A horizontal axis from ``low`` to ``high``; numbers at its very ends stay inside."""
    scale = Scale(low, high)
    values = tick_values(low, high, most)
    return Axis(
        label, unit, scale, tuple(Tick(scale(value), _number(value), _inside(scale(value))) for value in values)
    )


def upwards(label: str, unit: str, low: float, high: float, most: int = 6) -> Axis:
    """A vertical axis; its ends in px are set by the chart that it is of."""
    return Axis(
        label, unit, Scale(low, high), tuple(Tick(value, _number(value)) for value in tick_values(low, high, most))
    )


def path(points: Iterable[Point]) -> str:
    """The points as the ``d`` of an SVG path, in the order given; "" for none."""
    return " ".join(f"{'L' if place else 'M'}{x:.2f} {y:.1f}" for place, (x, y) in enumerate(points))


@dataclass(frozen=True, slots=True)
class Curve:
    """Points to be joined, with the name that stands beside them; ``style`` 1 to 6 sets line and colour.

    ``label_y``: at which value of y the name stands, aside; or ``label_x``: at which value of x it stands, above, or
    ``below``, of a line that rises. Neither: no name.
    """

    points: Sequence[Point]
    name: str
    style: int = 1
    label_y: float | None = None
    label_x: float | None = None
    below: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """A value of x that is named above the plot; ``kind`` "limit", "exposure" or "note" sets its line."""

    x: float
    name: str
    kind: Literal["limit", "exposure", "note"] = "note"


@dataclass(frozen=True, slots=True)
class Band:
    """All of y between two values of x, with a name: how uncertain a value is, or how far a temperature scatters."""

    low: float
    high: float
    name: str


@dataclass(frozen=True, slots=True)
class Spot:
    """A point with its name; ``kind`` "band" is hollow: a part of something only."""

    x: float
    y: float
    name: str
    kind: Literal["point", "band"] = "point"


@dataclass(frozen=True, slots=True)
class Label:
    """A text at a place of the plot, ``dx`` px aside of it."""

    x: float
    y: float
    text: str
    anchor: Anchor = "middle"
    dx: int = 0


@dataclass(frozen=True, slots=True)
class DrawnCurve:
    """A curve as a path with its label."""

    d: str
    style: int
    label: Label | None


@dataclass(frozen=True, slots=True)
class DrawnMark:
    """A vertical line from its label down to the axis."""

    x: float
    kind: str
    label: Label


@dataclass(frozen=True, slots=True)
class DrawnBand:
    """A box over the whole height of the plot, with its label."""

    x: float
    width: float
    label: Label


@dataclass(frozen=True, slots=True)
class DrawnSpot:
    """A dot with its label."""

    x: float
    y: float
    kind: str
    label: Label


@dataclass(frozen=True, slots=True)
class Values:
    """The table behind a chart, for whoever cannot see it or wants the numbers."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """What templates/_charts.html draws. ``key``: unique on its page; ``title`` and ``words`` tell it to a listener."""

    key: str
    title: str
    words: str
    x: Axis
    y: Axis
    values: Values
    height: int
    top: int
    curves: tuple[DrawnCurve, ...] = ()
    marks: tuple[DrawnMark, ...] = ()
    bands: tuple[DrawnBand, ...] = ()
    spots: tuple[DrawnSpot, ...] = ()
    regions: tuple[Label, ...] = field(default=())


def xy_chart(
    key: str,
    title: str,
    words: str,
    x: Axis,
    y: Axis,
    values: Values,
    *,
    curves: Sequence[Curve] = (),
    marks: Sequence[Mark] = (),
    bands: Sequence[Band] = (),
    spots: Sequence[Spot] = (),
    regions: Sequence[Label] = (),
    plot_height: int = PLOT_HEIGHT,
) -> Chart:
    """A chart of ``curves`` over ``x`` (of :func:`across`) and ``y`` (of :func:`upwards`); ``regions`` in values.

    What lies outside the axes is left out, a curve's points are cut at the ends of x.
    """
    shown = sorted((mark for mark in marks if x.scale.shows(mark.x)), key=lambda mark: mark.x)
    clipped = [band for band in bands if band.high > x.scale.low and band.low < x.scale.high]
    names = [(x.scale(max(band.low, x.scale.low)), band.name) for band in clipped]
    names += [(x.scale(mark.x), mark.name) for mark in shown]
    labels, rows = _in_rows(names)
    top = rows * ROW_HEIGHT + _HEADROOM
    height = top + plot_height
    scale = Scale(y.scale.low, y.scale.high, height, top)
    up = Axis(y.label, y.unit, scale, tuple(Tick(scale(tick.at), tick.text) for tick in y.ticks))
    return Chart(
        key,
        title,
        words,
        x,
        up,
        values,
        height,
        top,
        curves=tuple(_drawn_curve(curve, x.scale, scale) for curve in curves),
        marks=tuple(
            DrawnMark(x.scale(mark.x), mark.kind, label)
            for mark, label in zip(shown, labels[len(clipped) :], strict=True)
        ),
        bands=tuple(
            DrawnBand(label.x, x.scale(min(band.high, x.scale.high)) - label.x, label)
            for band, label in zip(clipped, labels, strict=False)
        ),
        spots=tuple(
            DrawnSpot(at, scale(spot.y), spot.kind, _beside(at, scale(spot.y) - _GAP, spot.name, to_right=at < 60))
            for spot in spots
            if x.scale.shows(spot.x) and y.scale.shows(spot.y)
            for at in (x.scale(spot.x),)
        ),
        regions=tuple(Label(x.scale(one.x), scale(one.y), one.text, one.anchor) for one in regions),
    )


@dataclass(frozen=True, slots=True)
class RangeBar:
    """A range on a common axis, in the axis's values: the bar ``low`` to ``high``, a thin tail to ``tail``, a tick at
    each of ``at``; ``listed``: another range of the same thing, drawn as an outline beneath. ``words`` tell it all."""

    words: str
    low: float | None = None
    high: float | None = None
    tail: float | None = None
    at: tuple[float, ...] = ()
    listed: Point | None = None


@dataclass(frozen=True, slots=True)
class DrawnBar:
    """The same in per cent of the axis: starts and widths, none too narrow to be seen."""

    words: str
    bar: Point | None
    tail: Point | None
    at: tuple[float, ...]
    listed: Point | None


def drawn_bar(bar: RangeBar, scale: Scale) -> DrawnBar:
    """``bar`` laid out on ``scale``."""

    def box(low: float | None, high: float | None) -> Point | None:
        return None if low is None or high is None else (scale(low), max(scale(high) - scale(low), _LEAST_WIDTH))

    return DrawnBar(
        bar.words,
        box(bar.low, bar.high),
        box(bar.high, bar.tail),
        tuple(scale(value) for value in bar.at),
        box(*bar.listed) if bar.listed else None,
    )


def value_at(points: Sequence[Point], x: float) -> float | None:
    """y of the line through ``points`` (x not falling) at ``x``; None outside."""
    for (x0, y0), (x1, y1) in pairwise(points):
        if x0 <= x <= x1:
            return y1 if x1 == x0 else y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return None


def _drawn_curve(curve: Curve, x: Scale, y: Scale) -> DrawnCurve:
    points = _cut(curve.points, x)
    label = None
    if curve.label_y is not None and (at := _where(points, curve.label_y)) is not None:
        label = _beside(x(at), y(curve.label_y) + _HALF_LETTER, curve.name, to_right=x(at) < 60)
    elif curve.label_x is not None and (height := value_at(points, curve.label_x)) is not None:
        away = 2 * _GAP + _HALF_LETTER if curve.below else -_GAP
        label = _beside(x(curve.label_x), y(height) + away, curve.name, to_right=curve.below)
    return DrawnCurve(path((x(px), y(py)) for px, py in points), curve.style, label)


def _cut(points: Sequence[Point], x: Scale) -> list[Point]:
    """The part of the line that the axis shows, with points at its very ends where the line goes on beyond."""
    inside = [point for point in points if x.shows(point[0])]
    before = [(x.low, y) for y in (value_at(points, x.low),) if y is not None and points[0][0] < x.low]
    after = [(x.high, y) for y in (value_at(points, x.high),) if y is not None and points[-1][0] > x.high]
    return before + inside + after


def _where(points: Sequence[Point], y: float) -> float | None:
    """The first x at which the line through ``points`` has the value ``y``."""
    for (x0, y0), (x1, y1) in pairwise(points):
        if min(y0, y1) <= y <= max(y0, y1):
            return x0 if y0 == y1 else x0 + (x1 - x0) * (y - y0) / (y1 - y0)
    return None


def _in_rows(names: Sequence[tuple[float, str]]) -> tuple[list[Label], int]:
    """A label for each (place, text), in the first row in which it is free of those before; how many rows.

    Labels run towards the middle. The outer ones come first, so that the line down from an inner one begins below
    the labels that run across its place.
    """
    taken: list[list[Point]] = []
    found: dict[int, Label] = {}
    for place in sorted(range(len(names)), key=lambda place: -abs(names[place][0] - 50)):
        at, text = names[place]
        width = (len(text) * _LETTER + 2 * _GAP) * 100 / _NARROWEST
        left, right = (at, at + width) if at < 50 else (at - width, at)
        row = next((i for i, row in enumerate(taken) if all(right < a or left > b for a, b in row)), len(taken))
        if row == len(taken):
            taken.append([])
        taken[row].append((left, right))
        found[place] = _beside(at, (row + 1) * ROW_HEIGHT - _HALF_LETTER, text, to_right=at < 50)
    return [found[place] for place in range(len(names))], len(taken)


def _beside(x: float, y: float, text: str, *, to_right: bool) -> Label:
    return Label(x, y, text, "start" if to_right else "end", _GAP if to_right else -_GAP)


def _inside(at: float, margin: float = 99) -> Anchor:
    return "start" if at < 100 - margin else "end" if at > margin else "middle"


def _number(value: float) -> str:
    return f"{value:g}".replace("-", "−")
