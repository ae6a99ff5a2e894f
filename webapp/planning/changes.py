"""A single change to a case: what is changed, in words, and the case as it would then be."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from webapp.checks.columns import Case
from webapp.trade.facts import PartFacts, Sources
from webapp.trade.route import Route, Side, Step
from webapp.trade.sources import Kind, Source, Status

IF_SHOWN = Source(Kind.DATASHEET, "taken to be shown", Status.OPENED)
"""Source of a value that a change takes to be shown: firm, so that it may settle what is open."""


class Place(StrEnum):
    """Where a change is made: in the route's steps, at a part, on the BOM with another part instead, among a line's
    approved parts, in the setup; where a datum that is missing is entered; or nowhere, because today's route is
    kept."""

    ROUTE = "route"
    PART = "part"
    OTHER_PART = "other-part"
    APPROVALS = "approvals"
    SETUP = "setup"
    DATUM = "datum"
    TODAY = "today"


@dataclass(frozen=True, slots=True)
class Change:
    """One change.

    ``case``: the case with it. ``steps``: for every step of the changed route its position before, None for a new one.
    ``lines``: positions before of the lines that are left, None for all. ``field``: what is changed at a part or in the
    setup, "" where that is no single field.
    """

    place: Place
    words: str
    case: Case
    steps: tuple[int | None, ...]
    lines: tuple[int, ...] | None = None
    field: str = ""


def edited(case: Case, words: str, steps: Mapping[int, Step], *, place: Place = Place.ROUTE) -> Change:
    """Steps replaced in their places."""
    changed = tuple(steps.get(position, step) for position, step in case.route.numbered())
    return _routed(case, words, changed, range(len(changed)), place)


def reordered(case: Case, words: str, order: Sequence[int]) -> Change:
    """The same steps in another order: their positions before."""
    return _routed(case, words, [case.route.steps[position] for position in order], order, Place.ROUTE)


def inserted(case: Case, words: str, at: int, step: Step) -> Change:
    """A new step before the one at ``at``."""
    steps = case.route.steps
    origins = [*range(at), None, *range(at, len(steps))]
    return _routed(case, words, (*steps[:at], step, *steps[at:]), origins, Place.ROUTE)


def removed(case: Case, words: str, at: int) -> Change:
    """A step left out."""
    left = [position for position in range(len(case.route.steps)) if position != at]
    return reordered(case, words, left)


def on_todays_route(case: Case, words: str) -> Change:
    """Today's route instead; a step is the same one where kind, side and name are."""
    unmatched = list(case.route.numbered())
    origins: list[int | None] = []
    for step in case.today.steps:
        found = next((pair for pair in unmatched if _same_step(pair[1], step)), None)
        origins.append(found[0] if found else None)
        if found:
            unmatched.remove(found)
    return _routed(case, words, case.today.steps, origins, Place.TODAY)


def _same_step(one: Step, other: Step) -> bool:
    return (one.kind, one.side, one.name) == (other.kind, other.side, other.name)


def _routed(
    case: Case, words: str, steps: Sequence[Step], origins: Iterable[int | None], place: Place = Place.ROUTE
) -> Change:
    return Change(place, words, replace(case, route=Route(case.route.name, tuple(steps))), tuple(origins))


def with_parts(
    case: Case,
    words: str,
    parts: Iterable[int],
    edit: Callable[[PartFacts], PartFacts],
    *,
    place: Place = Place.PART,
    field: str = "",
) -> Change:
    """Other parts, or other knowledge of them, at these positions among the case's parts."""
    chosen = frozenset(parts)
    changed = [edit(part) if position in chosen else part for position, part in enumerate(case.parts)]
    return _unrouted(case, words, replace(case, parts=changed), place, field=field)


def with_value(part: PartFacts, name: str, value: object) -> PartFacts:
    """A part of which one field is taken to be shown."""
    fields: dict[str, Any] = {name: value, "sources": Sources({**part.sources, name: IF_SHOWN})}
    return replace(part, **fields)


def with_lines_left(case: Case, words: str, left: Sequence[int]) -> Change:
    """Only the lines at these positions: alternates no longer approved are left out."""
    changed = replace(case, lines=[case.lines[position] for position in left])
    return _unrouted(case, words, changed, Place.APPROVALS, lines=tuple(left))


def on_side(case: Case, words: str, lines: Iterable[int], side: Side, place: Place) -> Change:
    """Lines moved to a side, or shown to be on it."""
    chosen = frozenset(lines)
    moved = [replace(line, side=side) if i in chosen else line for i, line in enumerate(case.lines)]
    return _unrouted(case, words, replace(case, lines=moved), place)


def with_setup(case: Case, words: str, name: str, value: object, *, place: Place = Place.SETUP) -> Change:
    """Another value of the environment or, where that has no such field, of the board."""
    fields: dict[str, Any] = {name: value}
    if hasattr(case.environment, name):
        changed = replace(case, environment=replace(case.environment, **fields))
    else:
        changed = replace(case, board=replace(case.board, **fields))
    return _unrouted(case, words, changed, place, field=name)


def _unrouted(
    case: Case,
    words: str,
    changed: Case,
    place: Place,
    *,
    lines: tuple[int, ...] | None = None,
    field: str = "",
) -> Change:
    return Change(place, words, changed, tuple(range(len(case.route.steps))), lines, field)
