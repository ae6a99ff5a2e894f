"""Data that are missing, taken to turn out well: what the finding wants them to be; and other values of the setup."""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from webapp.checks.inputs import setup_span
from webapp.checks.verdicts import Why
from webapp.planning.changes import IF_SHOWN, Change, Place, on_side, with_parts, with_setup, with_value
from webapp.planning.part_ways import without_lead
from webapp.planning.subject import Subject, at_least, at_most
from webapp.trade.class_bounds import Oven
from webapp.trade.classes import PartClass
from webapp.trade.facts import PartFacts, Sources
from webapp.trade.masks import BallAlloy, BoardFinish
from webapp.trade.ranges import Span, number_text
from webapp.trade.words import capital

_SAFE_FINISHES = (BoardFinish.ENIG, BoardFinish.IMMERSION_SILVER, BoardFinish.OSP)


def if_shown(subject: Subject) -> Iterator[Change]:
    """The missing datum, as good as the finding wants it."""
    finding = subject.finding
    need = _BY_MEMORY.get(finding.check, "") if finding.why is Why.MEMORY else finding.need
    if (make := _SHOWN.get(need)) is not None and finding.parts:
        yield from make(subject)


_BY_MEMORY = {"body-limit": "limit_c", "passes": "passes", "never-oven": "oven"}
"""Check -> the field whose value nobody has checked against a document yet."""


def _limit(subject: Subject) -> Iterator[Change]:
    if (reached_c := subject.highest_value) is not None:
        wanted_c = at_least(reached_c + subject.figure("near_limit_k"))
        words = f"If the maker allows {wanted_c} °C at the body"
        yield _of_parts(subject, words, "limit_c", lambda part: Span(wanted_c, max(wanted_c, part.limit_c.high)))


def _passes(subject: Subject) -> Iterator[Change]:
    if (seen := subject.highest_value) is not None:
        words = f"If the maker allows {number_text(seen)} reflow pass{'' if seen == 1 else 'es'}"
        yield _of_parts(subject, words, "passes", lambda part: Span(seen, max(seen, part.passes.high)))


def _oven(subject: Subject) -> Iterator[Change]:
    yield _of_parts(
        subject, "If the maker rates it for an oven", "ovens", lambda _part: frozenset({Oven.YES}), also="oven"
    )


def if_lead_free(subject: Subject) -> Iterator[Change]:
    """Finish and balls shown to be free of lead, whatever else is not known."""
    words = "If the terminals are shown to be free of lead"
    yield with_parts(subject.case, words, subject.finding.parts, without_lead, place=Place.DATUM)


def _balls(subject: Subject) -> Iterator[Change]:
    if subject.finding.check != "ball-mixing":
        yield from if_lead_free(subject)
        return
    words = "If the balls are shown to be tin-bismuth"
    yield _of_parts(subject, words, "balls", lambda _part: BallAlloy.TIN_BISMUTH)


def _no_array(subject: Subject) -> Iterator[Change]:
    words = "If it is shown to be no array package"
    yield _of_parts(
        subject, words, "classes", lambda part: part.classes & ~PartClass.ARRAY or PartClass.UNKNOWN_SMD, also="balls"
    )


def _position(subject: Subject) -> Iterator[Change]:
    last = max(subject.prints, default=None)
    side = subject.steps[last].side if last is not None else None
    if last is not None and side is not None:
        words = f"If they are placed on the {side} side, soldered last"
        unknown = [i for i in subject.finding.lines if subject.case.lines[i].side is None]
        yield on_side(subject.case, words, unknown, side, Place.DATUM)


def _of_parts(
    subject: Subject, words: str, name: str, value: Callable[[PartFacts], object], *, also: str = ""
) -> Change:
    """``also``: another name under which the checks ask for the source of the field."""

    def edit(part: PartFacts) -> PartFacts:
        shown = with_value(part, name, value(part))
        return replace(shown, sources=Sources({**shown.sources, also: IF_SHOWN})) if also else shown

    return with_parts(subject.case, words, subject.finding.parts, edit, place=Place.DATUM)


def cooler_joints(subject: Subject) -> Iterator[Change]:
    """Cooler surroundings, board or part, each as far as the joints want it."""
    limit_c = subject.lowest_limit
    if limit_c is None:
        return
    known = {"self_heating_k": _self_heating(subject)}
    known |= {name: setup_span(subject.case, name) for name in ("board_heating_k", "t_max_c")}
    for name in _HEATS:
        others = sum(span.high for other, span in known.items() if other != name)
        if math.isfinite(others):
            wanted = at_most(limit_c - others)
            if _LEAST[name] <= wanted < known[name].high:
                yield _cooled(subject, name, Span(wanted, known[name].high))


_HEATS = {
    "self_heating_k": ("self-heating", "K"),
    "board_heating_k": ("the board's own heat", "K"),
    "t_max_c": ("highest temperature of the air around the board", "°C"),
}
"""What adds up to a joint's temperature: label and unit."""
_LEAST = {"self_heating_k": 0.0, "board_heating_k": 0.0, "t_max_c": 20.0}
"""Less cannot be asked for: no heat below none, no air below that of a room."""


def _self_heating(subject: Subject) -> Span:
    """What the parts add: the most of any of them, for certain and at worst."""
    spans = [part.self_heating_k for part in subject.parts]
    return Span(max(span.low for span in spans), max(span.high for span in spans))


def _cooled(subject: Subject, name: str, change: Span) -> Change:
    """``change``: from its high end, what may be now, to its low end, what is wanted."""
    label, unit = _HEATS[name]
    is_open = subject.finding.need == name
    most = f"at most {number_text(change.low)} {unit}"
    if is_open:
        words = f"If {label} is shown to be {most}"
    elif name == "self_heating_k":
        words = f"{subject.who}: {label} {most}{_instead(change.high, unit)}"
    else:
        words = f"{capital(label)}: {most}{_instead(change.high, unit)}"
    if name != "self_heating_k":
        place = Place.DATUM if is_open else Place.SETUP
        return with_setup(subject.case, words, name, float(change.low), place=place)

    def edit(part: PartFacts) -> PartFacts:
        high = min(part.self_heating_k.high, change.low)
        return with_value(part, name, Span(min(part.self_heating_k.low, high), high))

    place = Place.DATUM if is_open else Place.PART
    return with_parts(subject.case, words, subject.finding.parts, edit, place=place, field=name)


def _instead(value: float, unit: str) -> str:
    return "" if math.isinf(value) else f" instead of {number_text(value)} {unit}"


_SHOWN: Mapping[str, Callable[[Subject], Iterator[Change]]] = {
    "limit_c": _limit,
    "passes": _passes,
    "oven": _oven,
    "finish": if_lead_free,
    "balls": _balls,
    "classes": _no_array,
    "position": _position,
}
"""Datum -> what it is taken to be; those of the setup, and self-heating, are in ``cooler_joints``."""


def other_board_finish(subject: Subject) -> Iterator[Change]:
    """The board with a finish that suits bismuth solder; or shown to have one."""
    is_open = bool(subject.finding.missing)
    for finish in _SAFE_FINISHES:
        words = f"If the board is shown to have {finish.words}" if is_open else f"Board ordered with {finish.words}"
        place = Place.DATUM if is_open else Place.SETUP
        yield with_setup(subject.case, words, "finish", finish, place=place)
