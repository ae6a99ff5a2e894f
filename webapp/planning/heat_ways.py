"""Changes of heat: a step cooler, hotter, more even, shorter, or at another place of the route."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace

from webapp.checks.exposure import heats_finished, is_given, reached_c
from webapp.checks.joints import KELVIN
from webapp.planning.changes import Change, Place, edited, reordered
from webapp.planning.subject import Subject, at_least, at_most, below, degrees, joined
from webapp.trade.moisture import dryings, gentle_bakes_c
from webapp.trade.ranges import NOT_NEGATIVE, Span, number_text
from webapp.trade.route import Step, StepKind
from webapp.trade.words import capital

SHORT_HOURS = 1.0
"""Hours are shortened to whole hours, as long as they stay at least so long."""
SMALLEST_SPREAD_K = 2.0
"""Spread over a board that ovens reach: common practice, no source."""
_MOVABLE = frozenset({StepKind.BAKE, StepKind.CURE, StepKind.REFLOW})


def cooler_bodies(subject: Subject) -> Iterator[Change]:
    """Every step that is too hot for the parts, as cool as they want it."""
    limit_c = min(part.limit_c.low for part in subject.parts)
    most_c = limit_c - subject.figure("near_limit_k")
    if most_c <= 0:
        return
    hot = {}
    for position, step in enumerate(subject.steps[subject.first_made :], start=subject.first_made):
        heat_c = reached_c(step)
        # At a local step the part being soldered is heated at its terminals.
        is_beside = position > subject.first_made or not step.kind.is_local
        if is_beside and heat_c is not None and heat_c > most_c:
            hot[position] = at_most(most_c)
    yield from _cooler(subject, hot)


def cooler_later(subject: Subject) -> Iterator[Change]:
    """The step that is too hot for the joints made before it, as cool as they want it; and all such steps at once."""
    hot: dict[int, int] = {}
    for position, step in enumerate(subject.steps[subject.first_made + 1 :], start=subject.first_made + 1):
        heat_c, most_c = reached_c(step), _most_for_joints_c(subject, step)
        if step.kind is not StepKind.REFLOW and heat_c is not None and most_c is not None and heat_c > most_c:
            hot[position] = most_c
    if subject.finding.step in hot:
        yield from _cooler(subject, {subject.finding.step: hot[subject.finding.step]})
    if len(hot) > 1:
        yield from _cooler(subject, hot)


def _most_for_joints_c(subject: Subject, step: Step) -> int | None:
    """The hottest that finished joints may get at a step."""
    onset_c = subject.lowest_limit
    if onset_c is None:
        return None
    most_c = below(onset_c - step.spread_k - subject.figure("exposure_margin_k"))
    if (step.hours or 0.0) >= subject.figure("long_hours"):
        most_c = min(most_c, below(subject.figure("long_share") * (onset_c + KELVIN) - KELVIN))
    return most_c


def if_cool_here(subject: Subject) -> Iterator[Change]:
    """The step whose heat is not known, taken to be as cool as the joints made before it want."""
    if subject.step is not None:
        yield from _if_cool(subject, [subject.step])


def if_cool_after(subject: Subject) -> Iterator[Change]:
    """All later steps whose heat is not known, taken to be so cool."""
    if subject.step is not None:
        first = subject.step[0] + 1
        yield from _if_cool(subject, enumerate(subject.steps[first:], start=first))


def _if_cool(subject: Subject, among: Iterable[tuple[int, Step]]) -> Iterator[Change]:
    steps, words = {}, []
    for position, step in among:
        most_c = _most_for_joints_c(subject, step)
        if heats_finished(step) and most_c is not None and not is_given(step):
            where = "beside" if step.kind.is_local else "during"
            steps[position] = _at(step, most_c)
            words.append(f"{where} {step.title} at {most_c} °C or less")
    if steps:
        yield edited(subject.case, f"If joints are measured {joined(words)}", steps, place=Place.DATUM)


def cooler_enclosed(subject: Subject) -> Iterator[Change]:
    """All heat after the enclosing step below the first melting."""
    if subject.step is None:
        return
    hot = {}
    first = subject.step[0] + 1
    for position, step in enumerate(subject.steps[first:], start=first):
        heat_c, most_c = reached_c(step), _most_for_joints_c(subject, step)
        if heat_c is not None and most_c is not None and heat_c > most_c:
            hot[position] = most_c
    yield from _cooler(subject, hot)


def _cooler(subject: Subject, most_c: Mapping[int, int]) -> Iterator[Change]:
    """Steps at no more than these temperatures; nothing where a paste would not melt at its own."""
    steps, words = {}, []
    for position, most in most_c.items():
        step, alloy = subject.steps[position], subject.alloy(position)
        if step.kind is StepKind.REFLOW and alloy is not None and most - step.spread_k < alloy.melted_c:
            return
        steps[position] = _at(step, most)
        words.append(_cooler_words(step, most))
    if steps:
        together = f"{len(words)} steps at once: " if len(words) > 1 else ""
        yield edited(subject.case, capital(together + joined(words)), steps)


def _at(step: Step, heat_c: int) -> Step:
    """The step with at most so much heat on bodies and finished joints."""
    if not step.kind.is_local:
        return replace(step, peak_c=float(heat_c))
    beside, in_wave = (
        float(heat_c) if there is None else min(there, heat_c) for there in (step.neighbour_c, step.wave_side_c)
    )
    return replace(step, neighbour_c=beside, wave_side_c=in_wave if step.kind is StepKind.WAVE else None)


def _cooler_words(step: Step, most: int) -> str:
    if step.kind.is_local:
        return f"{step.title}: finished joints at most {most} °C instead of {degrees(reached_c(step))} (shield, pallet)"
    peak = "peak " if step.kind is StepKind.REFLOW else ""
    return f"{step.title}: {peak}{most} °C instead of {degrees(step.peak_c)}"


def more_even(subject: Subject) -> Iterator[Change]:
    """A smaller spread of temperature at the step, where that alone does it."""
    if subject.step is None or (limit_c := subject.lowest_limit) is None:
        return
    position, step = subject.step
    if step.peak_c is None or step.kind.is_local:
        return
    room_k = _ROOM_K[subject.finding.check](subject, limit_c, step.peak_c)
    if SMALLEST_SPREAD_K <= room_k < step.spread_k:
        words = f"{subject.title(position)}: spread at most {room_k} K instead of {number_text(step.spread_k)} K"
        yield edited(subject.case, words, {position: replace(step, spread_k=float(room_k))})


_ROOM_K: Mapping[str, Callable[[Subject, float, float], int]] = {
    "joint-forms": lambda _subject, limit_c, peak_c: at_most(peak_c - limit_c),
    "bake-after-join": lambda subject, limit_c, peak_c: at_most(limit_c - subject.figure("bake_margin_k") - peak_c),
    "later-heat": lambda subject, limit_c, peak_c: below(limit_c - subject.figure("exposure_margin_k") - peak_c),
}
"""Check -> the spread that its limit leaves at a peak."""


def shorter(subject: Subject) -> Iterator[Change]:
    """Fewer hours than count as long."""
    if subject.step is None:
        return
    position, step = subject.step
    hours = below(subject.figure("long_hours"))
    if step.hours is not None and SHORT_HOURS <= hours < step.hours:
        words = f"{subject.title(position)}: {hours} h instead of {number_text(step.hours)} h"
        yield edited(subject.case, words, {position: replace(step, hours=float(hours))})


def gentler_bake(subject: Subject) -> Iterator[Change]:
    """A bake at 90 or 40 °C for the longer times of J-STD-033, and one as hot as the joints allow."""
    if subject.step is None or (onset_c := subject.lowest_limit) is None:
        return
    position, step = subject.step
    most_c = at_most(onset_c - subject.figure("bake_margin_k") - step.spread_k)
    gentle = next((bake_c for bake_c in gentle_bakes_c() if bake_c <= most_c), None)
    before = _instead(step.peak_c, "°C")
    if gentle is not None and gentle != step.peak_c:
        hours = _bake_hours(subject, gentle)
        words = f"{subject.title(position)}: {number_text(gentle)} °C{before}, for the longer times of J-STD-033"
        words += f" (up to {number_text(hours)} h for the parts here)" if hours else ""
        yield edited(subject.case, words, {position: replace(step, peak_c=gentle, hours=hours or step.hours)})
    if most_c > (gentle or 0.0) and most_c != step.peak_c:
        words = f"{subject.title(position)}: at most {most_c} °C{before}"
        yield edited(subject.case, words, {position: replace(step, peak_c=float(most_c))})


def _bake_hours(subject: Subject, bake_c: float) -> float | None:
    """The longest bake at that temperature that any part may need."""
    bodies = {(part.msl, part.sizes.get("height_mm", NOT_NEGATIVE)) for part in subject.case.parts}
    hours = [
        drying.over_72h_h
        for levels, height in bodies
        for level in levels
        for drying in dryings(level, height)
        if drying.bake_c == bake_c
    ]
    return max(hours, default=None)


def earlier(subject: Subject) -> Iterator[Change]:
    """The hot step before the joints that it heats."""
    if subject.step is None:
        return
    position, step = subject.step
    first = subject.first_made if len(subject.lines) else _first_joints(subject)
    if step.kind not in _MOVABLE or first >= position:
        return
    rest = [i for i in range(len(subject.steps)) if i != position]
    words = f"{subject.title(position)}: before {subject.steps[first].title}"
    words += " (an adhesive may, a coating may not)" if step.kind is StepKind.CURE else ""
    yield reordered(subject.case, words, [*rest[:first], position, *rest[first:]])


def _first_joints(subject: Subject) -> int:
    makes = [i for i, step in enumerate(subject.steps) if step.kind.makes_joints]
    return min(makes, default=len(subject.steps))


def enclosed_last(subject: Subject) -> Iterator[Change]:
    """The enclosing step after the heat that follows it."""
    if subject.step is None or (onset_c := subject.lowest_limit) is None:
        return
    position, step = subject.step
    hot = [i for i, other in enumerate(subject.steps) if i > position and (reached_c(other) or 0.0) >= onset_c]
    if not hot:
        return
    rest = [i for i in range(len(subject.steps)) if i != position]
    at = rest.index(hot[-1]) + 1
    words = f"{capital(step.title)}: after {subject.steps[hot[-1]].title}"
    yield reordered(subject.case, words, [*rest[:at], position, *rest[at:]])


def into_window(subject: Subject) -> Iterator[Change]:
    """Peak and time above melting of a reflow step as its paste wants them."""
    if subject.step is None or (coldest_c := subject.lowest_limit) is None:
        return
    position, step = subject.step
    fitted = _fitted(subject, step, coldest_c)
    if fitted == step:
        return
    changed = []
    if fitted.peak_c != step.peak_c:
        changed.append(f"peak {degrees(fitted.peak_c)}{_instead(step.peak_c, '°C')}")
    if fitted.above_melting_s != step.above_melting_s:
        seconds = number_text(fitted.above_melting_s or 0)
        changed.append(f"{seconds} s above melting{_instead(step.above_melting_s, 's')}")
    is_open = None in (step.peak_c, step.above_melting_s)
    words = f"If {step.title} has {joined(changed)}" if is_open else f"{subject.title(position)}: {joined(changed)}"
    yield edited(subject.case, words, {position: fitted}, place=Place.DATUM if is_open else Place.ROUTE)


def _instead(value: float | None, unit: str) -> str:
    return "" if value is None else f" instead of {number_text(value)} {unit}"


def _fitted(subject: Subject, step: Step, coldest_c: float) -> Step:
    """The step with peak and time inside the window of its paste, as near to what they are as that goes.

    ``coldest_c``: what the coldest joint wants; where no peak is given the lowest that does. The spread stays, so that
    a window narrower than it is left above.
    """
    paste = subject.case.site.materials.paste(step.paste)
    hottest_c = paste.peak_c.high if paste else float("inf")
    above = paste.above_liquidus_s if paste else Span(subject.figure("shortest_above_s"), float("inf"))
    peak_c = step.peak_c
    lowest = at_least(coldest_c + step.spread_k)
    if peak_c is None or peak_c < lowest:
        peak_c = float(lowest)
    elif peak_c > hottest_c:
        peak_c = float(max(lowest, at_most(hottest_c)))
    seconds = step.above_melting_s
    if seconds is None or not above.contains(seconds):
        seconds = above.low if seconds is None or seconds < above.low else above.high
    return replace(step, peak_c=peak_c, above_melting_s=seconds)
