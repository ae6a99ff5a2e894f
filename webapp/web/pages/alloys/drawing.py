"""The charts of the screens about alloys, made from what science gives."""

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.desk.alloy_facts import AlloyFacts
from webapp.science.diagrams import BinaryDiagram, Reading
from webapp.science.melting import Freezing, MeltingRange, PhaseFractions
from webapp.web.charts import (
    Axis,
    Chart,
    Curve,
    DrawnBar,
    Label,
    Mark,
    Point,
    RangeBar,
    Spot,
    Values,
    across,
    drawn_bar,
    rounded_out,
    upwards,
    value_at,
    xy_chart,
)
from webapp.web.wording import number

DIAGRAM_C = (25.0, 285.0)
_LIQUID = ("Liquid, % of the mass", "", 0.0, 100.0)
_EDGE_K = 4.0
_SAME_K = 0.05  # temperatures closer than this are one
_SAME_PCT = 2.0  # curves closer than this are one
_CLEAR_PCT, _NAMED_AT = 15.0, 0.4  # where a name below a curve is clear of the axis, and one above it of both ends
_REGIONS = (
    ("liquid", 49, 255),
    ("liquid + (Sn)", 24, 163),
    ("liquid + (Bi)", 78, 163),
    ("(Sn)", 5, 120),
    ("(Sn) + (Bi)", 29, 80),
)


def temperature_axis(facts: Sequence[AlloyFacts]) -> Axis:
    """One axis for all of ``facts``; at least one."""
    low = min(min(one.solidus_c, one.alloy.solidus_c) for one in facts)
    high = max(max(one.liquidus_c, one.alloy.liquidus_c) for one in facts)
    return across("Temperature", "°C", *rounded_out(low, high, 16), 8)


def melting_bar(facts: AlloyFacts, axis: Axis) -> DrawnBar:
    """Where an alloy melts: from the solidus to 99 % liquid, thin on to the last solid; beneath it what lists print."""
    listed = _listed(facts)
    if facts.span is None:
        words = f"{_range(facts.alloy.solidus_c, facts.alloy.liquidus_c)}, not calculated"
        return drawn_bar(RangeBar(words, listed=listed), axis.scale)
    span = facts.span
    last = number(span.liquidus_c, "°C", 1)
    bar = RangeBar(
        f"{_range(span.solidus_c, span.mostly_liquid_c)} for 99 %, last solid gone at {last}",
        low=span.solidus_c,
        high=span.mostly_liquid_c,
        tail=span.liquidus_c,
        at=(span.matrix_gone_c,),
        listed=listed,
    )
    return drawn_bar(bar, axis.scale)


def liquid_chart(span: MeltingRange, curve: PhaseFractions, way: Freezing | None) -> Chart:
    """How much of an alloy is liquid over temperature: in equilibrium, and once frozen as after soldering."""
    low = min(span.solidus_c, way.end_c) if way else span.solidus_c
    return xy_chart(
        "liquid",
        f"Liquid share of {span.composition.text} over temperature",
        f"Melts from {number(span.solidus_c, '°C', 1)}; 99 % is liquid at {number(span.mostly_liquid_c, '°C', 1)}, "
        f"the last solid, {span.first_solid}, is gone at {number(span.liquidus_c, '°C', 1)}.",
        across("Temperature", "°C", low - _EDGE_K, span.liquidus_c + _EDGE_K, 7),
        upwards(*_LIQUID),
        _liquid_values(curve, way),
        curves=_liquid_curves(_percent(curve.t_c, curve.liquid), _frozen(way) if way else None),
        marks=melting_marks(span),
    )


def _liquid_curves(even: Sequence[Point], frozen: Sequence[Point] | None) -> list[Curve]:
    """Both with their names, the one above itself and the other below; as one where they are alike."""
    if frozen is None:
        return [Curve(even, "in equilibrium", 1, 30)]
    apart = max(_held(frozen, t_c) - share for t_c, share in even if share > 0)
    if apart < _SAME_PCT:
        return [Curve(even, "in equilibrium, as soldered", 1, 30), Curve(frozen, "", 2)]
    low, high = frozen[0][0], even[-1][0]
    clear = next(t_c for t_c, share in even if share > _CLEAR_PCT)
    return [
        Curve(even, "in equilibrium", 1, label_x=clear, below=True),
        Curve(frozen, "as soldered", 2, label_x=low + _NAMED_AT * (high - low)),
    ]


def melting_marks(span: MeltingRange) -> list[Mark]:
    """The temperatures of a melting range, a matrix that is the last to go named once."""
    found = [(span.solidus_c, "solidus"), (span.mostly_liquid_c, "99 % liquid")]
    if span.solidus_c < span.matrix_liquidus_c < span.liquidus_c - _SAME_K:
        found.append((span.matrix_liquidus_c, f"matrix {span.matrix_solid} gone"))
    found.append((span.liquidus_c, f"last solid {span.first_solid} gone"))
    return [Mark(t_c, f"{name} {number(t_c, places=1)}") for t_c, name in found]


def together_chart(curves: Sequence[PhaseFractions], names: Sequence[str]) -> Chart:
    """The liquid of several alloys over one axis of temperature; at most six, at least one."""
    low, high = min(curve.t_c[0] for curve in curves), max(curve.t_c[-1] for curve in curves)
    axis = across("Temperature", "°C", low, high, 8)
    steps = [axis.scale.low + (axis.scale.high - axis.scale.low) * place / 24 for place in range(25)]
    points = [[(low, 0.0), *_percent(curve.t_c, curve.liquid), (high, 100.0)] for curve in curves]
    rows = tuple((number(t_c, places=0), *(number(value_at(one, t_c), places=0) for one in points)) for t_c in steps)
    return xy_chart(
        "together",
        f"Liquid share of {', '.join(names)} over temperature",
        "Each curve rises from nothing at the solidus to all of it at the liquidus.",
        axis,
        upwards(*_LIQUID),
        Values(("°C", *(f"{name}, %" for name in names)), rows),
        curves=[
            Curve(line, name, place + 1, 88 - 76 * (place + 0.5) / len(points))
            for place, (line, name) in enumerate(zip(points, names, strict=True))
        ],
        plot_height=280,
    )


@dataclass(frozen=True, slots=True)
class Projected:
    """An alloy on the tin-bismuth diagram: ``bi_wt_pct`` of what tin and bismuth it holds; ``apart``: wt% of others."""

    name: str
    bi_wt_pct: float
    apart: float


@dataclass(frozen=True, slots=True)
class JointSpot:
    """A joint on the diagram, projected too: its composition, and where the last of the matrix of that goes.

    ``is_band``: only of the band that was liquid, not of the whole joint.
    """

    name: str
    bi_wt_pct: float
    melt_c: float
    is_band: bool = False


@dataclass(frozen=True, slots=True)
class Cross:
    """Where a diagram is read off, on its chart: the point, and the line between the two phases beside each other."""

    x: float
    y: float
    tie: Point | None

    @classmethod
    def of(cls, chart: Chart, reading: Reading) -> "Cross":
        """On the chart of :func:`binary_chart`."""
        ends = sorted(chart.x.scale(part.wt_pct) for part in reading.parts)
        tie = (ends[0], ends[-1]) if len(ends) > 1 else None
        return cls(chart.x.scale(reading.wt_pct), chart.y.scale(reading.t_c), tie)


def binary_chart(diagram: BinaryDiagram, alloys: Sequence[Projected], joints: Sequence[JointSpot]) -> Chart:
    """The diagram of tin and bismuth with alloys as lines and joints as points, bands hollow."""
    solvus = diagram.solvus
    spots = [Spot(one.bi_wt_pct, one.melt_c, one.name, "band" if one.is_band else "point") for one in joints]
    axis = upwards("Temperature", "°C", *DIAGRAM_C, 7)
    return xy_chart(
        "diagram",
        "Phase diagram of tin and bismuth",
        _diagram_words(diagram),
        across("Bismuth", "wt%", 0, 100),
        axis,
        _diagram_values(diagram),
        curves=[
            Curve(diagram.liquidus, "liquidus", 1),
            Curve(diagram.solidus, "solidus", 3),
            Curve([(low, t_c) for t_c, low, _ in reversed(solvus)], "most bismuth in solid tin", 3),
            Curve([(high, t_c) for t_c, _, high in solvus], "most tin in solid bismuth", 3),
        ],
        marks=[Mark(alloy.bi_wt_pct, alloy.name) for alloy in alloys],
        spots=spots,
        regions=[Label(x, y, text) for text, x, y in _REGIONS],
        plot_height=340,
    )


def _diagram_words(diagram: BinaryDiagram) -> str:
    eutectic = diagram.eutectic
    if eutectic is None:
        return "No eutectic."
    return (
        f"The liquidus falls from {number(diagram.liquidus[0][1], '°C', 1)} for tin and "
        f"{number(diagram.liquidus[-1][1], '°C', 1)} for bismuth to {number(eutectic.t_c, '°C', 1)} at "
        f"{number(eutectic.liquid_wt_pct[diagram.second], 'wt%', 1)} bismuth, the eutectic."
    )


def _diagram_values(diagram: BinaryDiagram) -> Values:
    rows = tuple(
        (number(share, places=1), number(above, places=1), number(below, places=1))
        for (share, above), (_, below) in zip(diagram.liquidus, diagram.solidus, strict=True)
        if share % 4 == 0 or (diagram.eutectic and share == diagram.eutectic.liquid_wt_pct[diagram.second])
    )
    return Values((f"{diagram.second}, wt%", "Liquidus, °C", "Solidus, °C"), rows)


def _liquid_values(curve: PhaseFractions, way: Freezing | None) -> Values:
    solids = [label for label in curve.fractions if label != "liquid"]
    frozen = _frozen(way) if way else []
    rows = []
    for place, t_c in enumerate(curve.t_c):
        shares = [curve.liquid[place], *(curve.fractions[label][place] for label in solids)]
        row = [number(t_c, places=2), *(number(100 * share, places=1) for share in shares)]
        rows.append((*row, number(_held(frozen, t_c), places=1)) if way else tuple(row))
    head = ("°C", "Liquid, %", *(f"{label}, %" for label in solids))
    return Values((*head, "Liquid as soldered, %") if way else head, tuple(rows))


def _held(points: Sequence[Point], t_c: float) -> float:
    """The value at ``t_c``; before the first point and after the last it stays."""
    inside = value_at(points, t_c)
    return inside if inside is not None else points[0][1] if t_c < points[0][0] else points[-1][1]


def _frozen(way: Freezing) -> list[Point]:
    """The liquid as soldered on heating: what froze last, at the end, melts there at once."""
    above = [(t_c, 100 * share) for t_c, share in zip(way.t_c[::-1], way.liquid[::-1], strict=True) if t_c > way.end_c]
    return [(way.end_c - _EDGE_K, 0.0), (way.end_c, 0.0), (way.end_c, above[0][1]), *above]


def _percent(t_c: Sequence[float], shares: Sequence[float]) -> list[Point]:
    return [(t, 100 * share) for t, share in zip(t_c, shares, strict=True)]


def _listed(facts: AlloyFacts) -> Point | None:
    """What lists print, where they print both ends or there is nothing else."""
    is_printed = facts.listed_solidus_c is not None and facts.listed_liquidus_c is not None
    return (facts.alloy.solidus_c, facts.alloy.liquidus_c) if is_printed or facts.span is None else None


def _range(low: float, high: float) -> str:
    return f"{number(low, places=1)} to {number(high, '°C', 1)}"
