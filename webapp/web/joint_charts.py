"""How much of a ball joint is liquid over temperature, with its peak and the heats that follow marked."""

from collections.abc import Sequence

from webapp.desk.joint_detail import Exposed, Heat, Reheated, Worked
from webapp.science.melting import Freezing
from webapp.web.charts import Chart, Curve, Mark, Point, Values, across, rounded_out, upwards, value_at, xy_chart
from webapp.web.wording import number

_EDGE_K = 6.0
_STEP_K = 10
_LONGEST = 26
"""Characters of a step's name beside its mark."""


def liquid_chart(worked: Worked, reheated: Reheated) -> Chart | None:
    """Band and whole as they freeze, and so melt again; None where that is not calculated."""
    whole, band = reheated.whole_way, reheated.band_way
    if whole is None:
        return None
    marks = _marks(worked, reheated.exposed)
    starts = [way.end_c for way in (whole, band) if way is not None]
    low, high = rounded_out(
        min(*starts, *(mark.x for mark in marks)) - _EDGE_K,
        max(whole.t_c[0], *(mark.x for mark in marks)) + _EDGE_K,
        8,
    )
    lines = [("mixed band", _points(band, low, high))] if band and band.composition != whole.composition else []
    lines.append(("whole joint, were it mixed", _points(whole, low, high)))
    curves = [
        Curve(points, name, style, label_y=70.0 - 40.0 * place)
        for place, (style, (name, points)) in enumerate(zip((1, 2) if len(lines) > 1 else (1,), lines, strict=True))
    ]
    return xy_chart(
        "liquid-again",
        "How much of the joint is liquid over temperature",
        _words(reheated.exposed),
        across("Temperature", "°C", low, high, 8),
        upwards("Liquid", "% of the mass", 0, 100),
        _values(lines, low, high, [mark.x for mark in marks]),
        curves=curves,
        marks=marks,
    )


def _marks(worked: Worked, exposed: Sequence[Exposed]) -> list[Mark]:
    """First melting, the peak, and every heat of route and use, those of one temperature together."""
    marks = [Mark(worked.joint.peak_c, f"peak {_c(worked.joint.peak_c)}", "note")]
    if worked.onset is not None:
        marks.append(Mark(worked.onset.onset_c, f"first melts {_c(worked.onset.onset_c)}", "limit"))
    names: dict[float, list[str]] = {}
    for one in exposed:
        if one.exposure.t_c is not None and one.exposure.kind is not Heat.SCREEN:
            names.setdefault(one.exposure.t_c, []).append(one.exposure.name)
    return marks + [Mark(t_c, f"{_short(some)} {_c(t_c)}", "exposure") for t_c, some in names.items()]


def _short(names: list[str]) -> str:
    first = names[0] if len(names[0]) <= _LONGEST else f"{names[0][: _LONGEST - 1].rstrip()}…"
    return first if len(names) == 1 else f"{first} +{len(names) - 1}"


def _points(way: Freezing, low: float, high: float) -> list[Point]:
    inner = [(t_c, 100 * share) for t_c, share in zip(way.t_c, way.liquid, strict=True) if t_c > way.end_c]
    return [(low, 0.0), (way.end_c, 0.0), *inner[::-1], (max(high, way.t_c[0]), 100.0)]


def _words(exposed: Sequence[Exposed]) -> str:
    parts = []
    for one in exposed:
        if one.exposure.t_c is not None:
            share = one.band if one.band is not None else one.whole
            what = "the band" if one.band is not None else "the joint"
            parts.append(f"At {_c(one.exposure.t_c)} ({one.exposure.name}) {number(_percent(share), '%', 0)} of {what}")
    return f"{'; '.join(parts)} is liquid." if parts else ""


def _percent(share: float | None) -> float | None:
    return None if share is None else 100 * share


def _values(lines: list[tuple[str, list[Point]]], low: float, high: float, also: list[float]) -> Values:
    steps = {float(t_c) for t_c in range(int(low), int(high) + 1, _STEP_K)} | set(also)
    rows = tuple(
        (number(t_c, places=0), *(number(value_at(points, t_c), places=1) for _, points in lines))
        for t_c in sorted(steps)
    )
    return Values(("°C", *(f"{name}, %" for name, _ in lines)), rows)


def _c(t_c: float) -> str:
    return number(round(t_c, 1), "°C")
