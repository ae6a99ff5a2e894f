"""Which step of a route makes which joints, for the page that shows routes side by side."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import msgspec
import sqlalchemy as sa
from sqlmodel import Session, col

from webapp.checks.columns import made_at
from webapp.desk.kept import Kept
from webapp.desk.part_facts import facts_by_id
from webapp.store.cases import AssessmentCaseRow
from webapp.store.parts import LinePartRow
from webapp.store.products import BomLineRow
from webapp.trade.masks import Mounting
from webapp.trade.order import ordered
from webapp.trade.route import Route, Side
from webapp.trade.sides import BOTH, BOTTOM, TOP

Way = tuple[int, str | None]
"""How a part is mounted (bits of Mounting) and on which side of the board: all that decides which step makes its
joints."""
Places = Mapping[str, frozenset[Way]]
"""Designators, in their order -> their ways: several where a line has alternates."""


@dataclass(frozen=True, slots=True)
class StepJoints:
    """Designators whose joints a step makes, and those where it may be this step or another (side or mounting not
    known); both in their order."""

    sure: tuple[str, ...]
    maybe: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RouteJoints:
    """For every step its joints; ``left_over``: designators that no step of the route solders, in their order."""

    steps: tuple[StepJoints, ...]
    left_over: tuple[str, ...]


def joints_made(session: Session, case_id: int, routes: Iterable[Route]) -> list[RouteJoints]:
    """What each of ``routes`` does with the lines of a case; empty for a case that is retired."""
    row = session.get(AssessmentCaseRow, case_id)
    if row is None or row.retired_at is not None:
        return []
    # The counter goes up with every edit of what a case uses; the time tells this database from an earlier one there.
    state = case_id, row.input_seq, row.assessed_at
    places = _PLACES.get(session, state, lambda: _places(session, row))
    return [_joints(places, route) for route in routes]


_PLACES: Kept[Places] = Kept(8)


def _places(session: Session, row: AssessmentCaseRow) -> Places:
    """The fitted designators of a case; plain values and one set a kind, as there may be tens of thousands."""
    lines = _lines(session, row.revision_id)
    facts = facts_by_id(session, {part_id for *_, part_id in lines}, row.product_id)
    mounting = {part_id: int(part.mounting) for part_id, part in facts.items()}
    kinds: dict[Way, frozenset[Way]] = {}
    found: dict[str, frozenset[Way]] = {}
    for refdes, dnp, excluded, bottom, side, part_id in lines:
        for names, where in _by_side(_fitted(refdes, dnp, excluded), side, bottom):
            way = mounting[part_id], where
            kind = kinds.setdefault(way, frozenset([way]))
            for name in names:
                found[name] = found[name] | kind if name in found else kind
    return {name: found[name] for name in ordered(found)}


def _lines(session: Session, revision_id: int) -> Sequence[tuple[str, str, str, str, str | None, int]]:
    """Designators, those not fitted, those that are no placement, those on the bottom, as stored; side, part."""
    line, link = BomLineRow, LinePartRow
    lists = (line.refdes, line.dnp_refdes, line.excluded_refdes, line.bottom_refdes)
    columns: list[Any] = [*(sa.cast(col(names), sa.Text) for names in lists), line.side, link.part_id]
    query = (
        sa.select(*columns)
        .join(link, col(link.line_id) == col(line.id))
        .where(col(line.revision_id) == revision_id, col(line.fitted_count) > 0, col(link.approved))
    )
    return [(a, b, c, d, side, part_id) for a, b, c, d, side, part_id in session.connection().execute(query)]


def _fitted(refdes: str, dnp: str, excluded: str) -> list[str]:
    out = {*_names(dnp), *_names(excluded)}
    names = _names(refdes)
    return [name for name in names if name not in out] if out else names


def _by_side(names: list[str], side: str | None, bottom: str) -> list[tuple[list[str], str | None]]:
    if side != BOTH:
        return [(names, side)]
    below = set(_names(bottom))
    return [([n for n in names if n not in below], TOP), ([n for n in names if n in below], BOTTOM)]


def _names(text: str) -> list[str]:
    return [] if text == "[]" else msgspec.json.decode(text, type=list[str])


def _joints(places: Places, route: Route) -> RouteJoints:
    # Alternates go to the same places: of a place the earliest and the latest step of any of them.
    ends = {ways: _ends(ways, route) for ways in set(places.values())}
    sure: list[list[str]] = [[] for _ in range(len(route.steps) + 1)]
    maybe: list[list[str]] = [[] for _ in range(len(route.steps) + 1)]
    for name, ways in places.items():
        low, high = ends[ways]
        if low == high:
            sure[low].append(name)
            continue
        for step in range(low, high + 1):
            if step == len(route.steps) or route.steps[step].kind.makes_joints:
                maybe[step].append(name)
    steps = tuple(StepJoints(tuple(a), tuple(b)) for a, b in zip(sure[:-1], maybe[:-1], strict=True))
    return RouteJoints(steps, tuple(sure[-1]))


def _ends(ways: frozenset[Way], route: Route) -> tuple[int, int]:
    each = [made_at(route, Mounting(mounting), Side(side) if side else None) for mounting, side in ways]
    return min(steps[0] for steps in each), max(steps[-1] for steps in each)
