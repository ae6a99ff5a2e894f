"""A ball joint in words: what the step makes of it, beside what other values would make; the ways to change that."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from urllib.parse import urlencode

from webapp.desk.joint_detail import JointDetail, Makes, Worked
from webapp.desk.joint_typed import written
from webapp.desk.joint_ways import OverLimit, Way, Ways
from webapp.trade.materials import Materials
from webapp.trade.practice import stencil_rule
from webapp.trade.ranges import Span
from webapp.web.wording import number, plural


@dataclass(frozen=True, slots=True)
class Row:
    """A quantity as it is now and, where another joint is tried, as it would be; ``change``: with its sign, "" where
    there is none to speak of."""

    label: str
    note: str
    now: str
    tried: str
    change: str


@dataclass(frozen=True, slots=True)
class WayEntry:
    """A way in words: the change, what it takes, whether it can be done at all, and its values as an address."""

    change: str
    takes: tuple[str, ...]
    is_possible: bool
    query: str


def state_words(worked: Worked | None) -> str:
    """How the joint stands, in a sentence."""
    if worked is None:
        return "Not worked out: the step lacks its peak or its paste."
    mixing, at = worked.mixing, number(round(worked.joint.peak_c, 1), "°C")
    if mixing is None:
        return "What dissolves and melts is not covered by the thermodynamic data."
    share = number(100 * mixing.band.height_share, "%", 0) if mixing.band else ""
    return {
        Makes.NOTHING: f"At {at} neither ball nor paste is all liquid: no joint forms.",
        Makes.ONE: f"At {at} ball and paste become one.",
        Makes.BALL_WHOLE: f"A hybrid joint: at {at} the ball stays whole on a mixed band of {share} of the height.",
        Makes.PASTE_WHOLE: f"At {at} the ball melts and the paste does not: {share} of the height is mixed.",
    }[worked.makes]


@dataclass(frozen=True, slots=True)
class _Quantity:
    """A number of a joint: how it is called and rounded, and what it is (None: not calculated)."""

    label: str
    unit: str
    places: int
    value: Callable[[Worked], Span | float | None]
    note: str = ""

    def row(self, now: Worked, tried: Worked | None) -> Row:
        """The quantity of both."""
        before, after = _span(self.value(now)), _span(self.value(tried or now))
        change = "" if before is None or after is None else self._change(before, after)
        return Row(self.label, self.note, self._text(before), self._text(after), change)

    def _text(self, span: Span | None) -> str:
        if span is None:
            return "not calculated"
        low, high = (number(end, places=self.places) for end in (span.low, span.high))
        return f"{low if low == high else f'{low} to {high}'} {self.unit}".rstrip()

    def _change(self, before: Span, after: Span) -> str:
        ends = [after.low - before.low, after.high - before.high]
        low, high = (number(end, places=self.places) for end in sorted(ends))
        if all(abs(end) < 0.5 * 10.0**-self.places for end in ends):
            return ""
        unit = {"°C": "K", "%": "points"}.get(self.unit, self.unit)
        return f"{_signed(low)} {unit}" if low == high else f"{_signed(low)} to {_signed(high)} {unit}"


def _signed(text: str) -> str:
    return text if text.startswith("−") else f"+{text}"


def _span(value: Span | float | None) -> Span | None:
    return value if value is None or isinstance(value, Span) else Span.exactly(value)


def _dissolved(worked: Worked) -> Span | None:
    if worked.mixing is None:
        return None
    ends = sorted((worked.mixing.dissolved_ball_bound, worked.mixing.dissolved_ball))
    return Span(100 * ends[0], 100 * ends[1])


def _height(worked: Worked) -> float | None:
    band = worked.mixing.band if worked.mixing else None
    return 100 * band.height_share if band else None


_QUANTITIES = (
    _Quantity("Ball dissolved", "%", 1, _dissolved, "the least: silver and copper counted as tin"),
    _Quantity("Height of the mixed band", "%", 0, _height, "of the joint"),
    _Quantity("Melts through from", "°C", 1, lambda worked: worked.mixing.full_melt_c if worked.mixing else None),
    _Quantity("First melts again", "°C", 0, lambda worked: worked.onset.onset_c if worked.onset else None),
    _Quantity("Stand-off, ball whole", "mm", 3, lambda worked: worked.result.standoff_unmelted_mm),
    _Quantity("Stand-off, melted through", "mm", 3, lambda worked: worked.result.standoff_collapsed_mm),
    _Quantity(
        "Solder of the paste",
        "%",
        1,
        lambda worked: 100 * worked.joint.deposit.metal_mm3 / worked.joint.ball_mm3,
        "of the ball's volume",
    ),
    _Quantity("Area ratio of the opening", "", 2, lambda worked: worked.joint.deposit.area_ratio, "IPC-7525: 0.66"),
)


def compared(now: Worked, tried: Worked | None) -> list[Row]:
    """What the peak makes of the joint, quantity by quantity; the compositions last."""
    rows = [quantity.row(now, tried) for quantity in _QUANTITIES]
    pairs = (("Mixed band", "carries the load", _band), ("Whole joint", "as if it were mixed", _whole))
    return rows + [Row(label, note, text(now), text(tried or now), "") for label, note, text in pairs]


def _band(worked: Worked) -> str:
    band = worked.mixing.band if worked.mixing else None
    return band.composition.rounded(1).text if band else "none"


def _whole(worked: Worked) -> str:
    return worked.result.composition.rounded(1).text


def way_entries(ways: Ways, detail: JointDetail) -> dict[str, list[WayEntry]]:
    """The ways in words, those that can be done first, by aim: "through" and "whole"."""
    materials = detail.case.site.materials
    return {
        aim: sorted((_way_entry(way, materials) for way in some), key=lambda entry: not entry.is_possible)
        for aim, some in (("through", ways.through), ("whole", ways.whole))
    }


def _way_entry(way: Way, materials: Materials) -> WayEntry:
    deposit, peak_c = way.joint.deposit, way.joint.peak_c
    change = {
        "aperture": f"An opening of {number(deposit.aperture_mm, 'mm', 2)}",
        "foil": f"A foil of {number(deposit.foil_mm, 'mm', 3)}",
        "peak": f"A coldest joint at {number(peak_c, '°C', 0)}, so a hottest body at {number(way.body_c, '°C', 0)}",
    }[way.remedy.change]
    typed = written(way.joint, materials) | {"opening_mm": f"{deposit.aperture_mm:.3f}"}
    return WayEntry(change, tuple(_takes(way)), way.is_possible, urlencode(typed))


def _takes(way: Way) -> Iterator[str]:
    if way.remedy.change != "peak":
        ratio, least = number(way.remedy.area_ratio, places=2), stencil_rule("area_ratio_min").value
        releases = "paste releases" if way.releases else f"below {number(least)}: paste stays in it"
        yield f"Area ratio {ratio}, {releases}."
    if way.gap_mm is not None:
        gap = number(abs(way.gap_mm), "mm", 2)
        yield (
            f"Leaves {gap} to the next opening." if way.gap_mm > 0 else f"Wider than the pitch by {gap}: not possible."
        )
    if way.over is not None:
        yield _over(way.over)
    if way.past_window:
        yield "Outside the window of the paste."


def _over(over: OverLimit) -> str:
    certain = f"{plural(over.certain, 'part')} more above {'its' if over.certain == 1 else 'their'} body limit"
    if not over.perhaps:
        return f"{certain}." if over.certain else "No part gets above its body limit."
    near = f"{plural(over.perhaps, 'part')} near the limit, or where it is not known"
    return f"{certain}; {near}." if over.certain else f"{near[0].upper()}{near[1:]}."
