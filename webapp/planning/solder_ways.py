"""Changes of solder: another paste or wire at a step, another deposit under balls, today's solder again."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

import numpy as np

from webapp.checks.joints import ball_alloys
from webapp.planning.changes import Change, edited, inserted, removed
from webapp.planning.subject import Subject, at_least, degrees, joined
from webapp.trade.alloys import Alloy
from webapp.trade.masks import Mounting
from webapp.trade.pastes import Paste
from webapp.trade.route import Step, StepKind
from webapp.trade.words import capital

MOST_PASTES = 3
ENOUGH_K = 5.0
"""Pastes that melt within this of those in use are no other way."""


def lower_pastes(subject: Subject) -> Iterator[Change]:
    """Pastes that melt lower, at the steps that make the joints."""
    yield from _pastes(subject, lambda alloy: -alloy.melted_c)


def higher_pastes(subject: Subject) -> Iterator[Change]:
    """Pastes that begin to melt higher, at the steps that make the joints."""
    yield from _pastes(subject, lambda alloy: alloy.solidus_c)


def _pastes(subject: Subject, height: Callable[[Alloy], float]) -> Iterator[Change]:
    """Pastes whose alloy is higher than those in use by enough to matter, the nearest first."""
    at = makers(subject)
    now = [height(alloy) for alloy in map(subject.alloy, at) if alloy is not None]
    if not now:
        return
    edge = max(now) + ENOUGH_K
    offered = [(paste, alloy) for paste, alloy in _offered(subject) if height(alloy) >= edge]
    offered.sort(key=lambda entry: height(entry[1]))
    for paste, alloy in offered[:MOST_PASTES]:
        yield _reprinted(subject, at, paste, alloy)


def _offered(subject: Subject) -> list[tuple[Paste, Alloy]]:
    """The site's pastes without lead, one an alloy: its own before examples. Today's are offered as they are."""
    materials = subject.case.site.materials
    todays = {step.alloy for step in subject.case.today.steps}
    found: dict[str, tuple[Paste, Alloy]] = {}
    for paste in sorted(materials.pastes.values(), key=lambda paste: not paste.own):
        alloy = materials.alloy(paste.alloy)
        if alloy is not None and not alloy.holds_lead and alloy.designation not in todays:
            found.setdefault(alloy.designation, (paste, alloy))
    return list(found.values())


def makers(subject: Subject) -> list[int]:
    """The reflow steps whose paste counts: the finding's own or, for one about later heat, those that make the joints;
    with all others of the same sides, for a side is printed with one alloy."""
    found = _makers(subject)
    sides = {subject.steps[position].side for position in found}
    return [i for i in subject.prints if i in found or subject.steps[i].side in sides]


def _makers(subject: Subject) -> set[int]:
    all_prints = subject.prints
    if len(subject.lines):
        ends = zip(subject.route.first_made[subject.lines], subject.route.last_made[subject.lines], strict=True)
        made = {i for first, last in set(ends) for i in range(int(first), int(last) + 1)}
        return made & set(all_prints)
    if subject.step is None:
        return {i for i in all_prints if (alloy := subject.alloy(i)) and alloy.holds_bismuth}
    position, step = subject.step
    if step.kind is StepKind.REFLOW:
        return {position}
    before = {i: alloy for i in all_prints if i < position and (alloy := subject.alloy(i)) is not None}
    lowest = min((alloy.solidus_c for alloy in before.values()), default=0.0)
    return {i for i, alloy in before.items() if alloy.solidus_c <= lowest}


def _reprinted(subject: Subject, at: Iterable[int], paste: Paste, alloy: Alloy) -> Change:
    steps = {position: _printed(subject, subject.steps[position], paste, alloy) for position in at}
    return edited(subject.case, _solder_words(subject, steps, paste.name if paste.own else alloy.designation), steps)


def _printed(subject: Subject, step: Step, paste: Paste, alloy: Alloy) -> Step:
    """The step with a paste, in the middle of its window or as low as its alloy lets it."""
    coldest_c = max(alloy.melted_c + subject.figure("superheat_k"), paste.peak_c.low)
    lowest_c = coldest_c + step.spread_k
    peak_c = at_least(max(lowest_c, (lowest_c + paste.peak_c.high) / 2))
    above = paste.above_liquidus_s
    inside = step.above_melting_s is not None and above.contains(step.above_melting_s)
    seconds = step.above_melting_s if inside else (above.low + above.high) / 2
    return replace(step, alloy=alloy.designation, paste=paste.name, peak_c=float(peak_c), above_melting_s=seconds)


def todays_paste(subject: Subject) -> Iterator[Change]:
    """Today's paste and profile at the steps that make the joints."""
    steps = {}
    for position in makers(subject):
        step = subject.steps[position]
        today = todays_print(subject, step)
        if today is not None and today.alloy != step.alloy:
            steps[position] = _printed_as(today, step)
    if steps:
        alloys = list(dict.fromkeys(step.alloy or "" for step in steps.values()))
        yield edited(subject.case, _solder_words(subject, steps, joined(alloys)), steps)


def _printed_as(other: Step, step: Step) -> Step:
    """The step with the paste and the profile of another."""
    return replace(
        step,
        alloy=other.alloy,
        paste=other.paste,
        peak_c=other.peak_c,
        spread_k=other.spread_k,
        above_melting_s=other.above_melting_s,
    )


def todays_print(subject: Subject, step: Step) -> Step | None:
    """Today's reflow of the same side, or any."""
    today = [other for other in subject.case.today.steps if other.kind is StepKind.REFLOW]
    return next((other for other in today if other.side == step.side), today[0] if today else None)


def _solder_words(subject: Subject, steps: dict[int, Step], new: str) -> str:
    titles = joined([subject.steps[position].title for position in steps])
    old = joined(list(dict.fromkeys(subject.steps[position].alloy or "no alloy" for position in steps)))
    peaks = joined(list(dict.fromkeys(degrees(step.peak_c) for step in steps.values())))
    return f"{capital(titles)}: {new} instead of {old}, peak {peaks}"


def one_print(subject: Subject) -> Iterator[Change]:
    """The second print of a side with the alloy of the first, or left out."""
    if subject.step is None:
        return
    position, step = subject.step
    first = next((other for other in subject.steps if other.kind is step.kind and other.side == step.side), None)
    if first is None or first.alloy == step.alloy:
        return
    same = {position: _printed_as(first, step)}
    yield edited(subject.case, _solder_words(subject, same, first.alloy or ""), same)
    yield removed(subject.case, f"{subject.title(position)}: left out, its parts printed with the others", position)


def own_wire(subject: Subject) -> Iterator[Change]:
    """Rework with the alloy of the joints."""
    if subject.step is None:
        return
    position, step = subject.step
    made = np.unique(subject.route.first_made[subject.route.first_made < position]).tolist()
    used = dict.fromkeys(alloy.designation for alloy in map(subject.alloy, made) if alloy is not None)
    for designation in used:
        if designation != step.alloy:
            before = f" instead of {step.alloy}" if step.alloy else ""
            words = f"{subject.title(position)}: {designation}, the joints' own{before}"
            yield edited(subject.case, words, {position: replace(step, alloy=designation, paste=None)})


def with_soldering(subject: Subject) -> Iterator[Change]:
    """A step that joins the parts: pressing in, or one that solders pins: today's, else selective soldering or by hand
    with today's wire."""
    ways = {part.mounting for part in subject.parts}
    if ways == {Mounting.PRESS_FIT}:
        press = Step(StepKind.PRESS_FIT)
        yield inserted(subject.case, f"{capital(press.title)} added", len(subject.steps), press)
    if ways != {Mounting.THROUGH_HOLE}:
        return
    today = [step for step in subject.case.today.steps if step.kind.is_local and step.kind is not StepKind.REWORK]
    offered = today or [Step(kind, alloy=wire(subject)) for kind in (StepKind.SELECTIVE, StepKind.HAND)]
    for step in offered:
        yield inserted(subject.case, f"{capital(step.title)} added, with {step.alloy}", after_oven(subject), step)


def after_oven(subject: Subject) -> int:
    """The place right after the last oven."""
    return max(subject.prints, default=-1) + 1


def wire(subject: Subject) -> str | None:
    """The alloy that is soldered with by hand: today's."""
    used = [step.alloy for step in (*subject.case.today.steps, *subject.steps) if step.kind.makes_joints and step.alloy]
    return used[0] if used else None


def melted_through(subject: Subject) -> Iterator[Change]:
    """A peak at which the coldest joint melts the balls by itself.

    A thicker foil is not tried: with an area ratio of 0.66 even openings as wide as the ball print less than a fifth of
    its volume, which melts it through only within some kelvins of its own liquidus.
    """
    if subject.step is None:
        return
    position, step = subject.step
    balls = [alloy for part in subject.parts if part.balls for alloy in ball_alloys(int(part.balls))]
    if step.peak_c is None or not balls:
        return
    peak_c = at_least(max(ball.liquidus_c for ball in balls) + step.spread_k)
    words = f"{subject.title(position)}: peak {peak_c} °C instead of {degrees(step.peak_c)}, so that the balls melt"
    yield edited(subject.case, words, {position: replace(step, peak_c=float(peak_c))})
