"""Changes of parts: soldered apart, on the other side, restricted to what is fine, with another finish or balls."""

from collections.abc import Iterator
from dataclasses import replace

from webapp.checks.verdicts import Verdict
from webapp.planning.changes import Change, Place, inserted, on_side, with_lines_left, with_parts, with_value
from webapp.planning.solder_ways import after_oven, wire
from webapp.planning.subject import Subject
from webapp.trade.classes import PartClass
from webapp.trade.facts import PartFacts
from webapp.trade.masks import LEAD_FREE_BALLS, LEAD_FREE_FINISHES, BallAlloy, Mounting
from webapp.trade.ranges import NOT_NEGATIVE
from webapp.trade.route import Side, Step, StepKind

MOST_BY_HAND = 8
"""More parts than this nobody solders one by one: common practice, no source."""
MOST_PINS_BY_HAND = 64
"""A part with more terminals nobody solders pin by pin: common practice, no source."""
_NOT_BY_HAND = PartClass.ARRAY | PartClass.NO_LEAD_IC | PartClass.MODULE | PartClass.MEMS_PORT | PartClass.GAS_SENSOR
"""Their terminals lie, or may lie, under the body."""


def apart(subject: Subject) -> Iterator[Change]:
    """The parts soldered one by one after the oven, at a step that the route has or by hand.

    The case has them as parts with pins: these are what its soldering machines and irons solder.
    """
    parts = subject.parts
    if len(parts) > MOST_BY_HAND or any(part.classes & _NOT_BY_HAND or _many_pins(part) for part in parts):
        return
    at, used = after_oven(subject), wire(subject)
    here = next((i for i, step in enumerate(subject.steps) if i >= at and step.kind in _ONE_BY_ONE), None)
    if here is None and used is None:
        return
    where = f"at “{subject.steps[here].title}” or by hand" if here is not None else f"by hand with {used}"
    words = f"{subject.who}: soldered after the oven, {where}"
    moved = with_parts(subject.case, words, subject.finding.parts, _soldered_apart, field="mounting")
    if here is not None:
        yield moved
        return
    added = inserted(moved.case, words, at, Step(StepKind.HAND, alloy=used))
    yield replace(added, place=Place.ROUTE)


_ONE_BY_ONE = (StepKind.SELECTIVE, StepKind.HAND, StepKind.HOT_BAR)


def _many_pins(part: PartFacts) -> bool:
    return part.sizes.get("terminals", NOT_NEGATIVE).low > MOST_PINS_BY_HAND


def _soldered_apart(part: PartFacts) -> PartFacts:
    return replace(part, mounting=Mounting.THROUGH_HOLE)


def other_side(subject: Subject) -> Iterator[Change]:
    """The parts on the other side of the board, where that is soldered too."""
    sides = {subject.case.lines[i].side for i in subject.finding.lines}
    printed = {subject.steps[i].side for i in subject.prints}
    if len(sides) != 1 or None in sides or any(not part.mounting & Mounting.SMD for part in subject.parts):
        return
    other = Side.BOTTOM if sides == {Side.TOP} else Side.TOP
    if other in printed:
        words = f"{subject.who}: on the {other} side instead (new layout)"
        yield on_side(subject.case, words, subject.finding.lines, other, Place.ROUTE)


def approved_only(subject: Subject) -> Iterator[Change]:
    """Of lines with alternates only those that the finding is not about."""
    concerned = frozenset(subject.finding.lines)
    lines = subject.case.lines
    owner = [i if line.of is None else line.of for i, line in enumerate(lines)]
    owners = {owner[i] for i in concerned}
    left = [i for i in range(len(lines)) if i not in concerned]
    kept = [i for i in left if owner[i] in owners]
    places = {name for i in kept for name in lines[i].refdes}
    if not kept or any(name not in places for i in concerned for name in lines[i].refdes):
        return
    if (subject.elements.verdict[kept] >= Verdict.PROVE).any():
        return  # What would be left has a finding of its own of this check.
    labels = list(dict.fromkeys(subject.case.parts[lines[i].part].label for i in kept))
    which = ", ".join(labels[:3]) + (" …" if len(labels) > 3 else "")
    yield with_lines_left(subject.case, f"{subject.who}: no longer approved, only {which} fitted", left)


def lead_free(subject: Subject) -> Iterator[Change]:
    """Other parts, or these refinished, without lead."""
    if any(part.finish.holds_lead or _lead_balls(part) for part in subject.parts):
        words = f"{subject.who}: replaced by a part without lead, or refinished"
        yield with_parts(subject.case, words, subject.finding.parts, without_lead, place=Place.OTHER_PART)


def _lead_balls(part: PartFacts) -> bool:
    return bool(part.balls) and not part.balls & LEAD_FREE_BALLS


def without_lead(part: PartFacts) -> PartFacts:
    """The part with finish and balls free of lead; what of it is possible without stays possible."""
    shown = with_value(part, "finish", part.finish & LEAD_FREE_FINISHES or LEAD_FREE_FINISHES)
    return with_value(shown, "balls", part.balls & LEAD_FREE_BALLS or LEAD_FREE_BALLS) if part.balls else shown


def low_temperature_balls(subject: Subject) -> Iterator[Change]:
    """The packages with balls of tin-bismuth."""
    if all(part.balls for part in subject.parts):
        words = f"{subject.who}: replaced by the same with tin-bismuth balls"
        yield with_parts(
            subject.case,
            words,
            subject.finding.parts,
            lambda part: with_value(part, "balls", BallAlloy.TIN_BISMUTH),
            place=Place.OTHER_PART,
        )
