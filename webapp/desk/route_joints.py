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
from webapp.store.products import BomLineRow, BomRevisionRow
from webapp.trade.masks import Mounting
from webapp.trade.order import in_order
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


@dataclass(frozen=True, slots=True)
class _Board:
    """What a revision places, which never changes. ``spots``: line, side and designators, a line on both sides twice;
    ``names``: all designators, in their order."""

    spots: Sequence[tuple[int, str | None, Sequence[str]]]
    names: Sequence[str]


_PLACES: Kept[Places] = Kept(8)
_BOARDS: Kept[_Board] = Kept(8)


def _places(session: Session, row: AssessmentCaseRow) -> Places:
    """The fitted designators of a case; plain values and one set a kind, as there may be tens of thousands."""
    revision = session.get_one(BomRevisionRow, row.revision_id)
    board = _BOARDS.get(session, (revision.id, revision.committed_at), lambda: _board(session, row.revision_id))
    parts = _parts(session, row.revision_id)
    facts = facts_by_id(session, {part_id for some in parts.values() for part_id in some}, row.product_id)
    mounting = {part_id: int(part.mounting) for part_id, part in facts.items()}
    kinds: dict[Way, frozenset[Way]] = {}
    found: dict[str, frozenset[Way]] = {}
    for line_id, side, names in board.spots:
        for part_id in parts.get(line_id, ()):
            way = mounting[part_id], side
            kind = kinds.setdefault(way, frozenset([way]))
            for name in names:
                found[name] = found[name] | kind if name in found else kind
    return {name: found[name] for name in board.names if name in found}


def _parts(session: Session, revision_id: int) -> dict[int, list[int]]:
    """Line -> its approved parts."""
    query = (
        sa.select(col(LinePartRow.line_id), col(LinePartRow.part_id))
        .join(BomLineRow, col(BomLineRow.id) == col(LinePartRow.line_id))
        .where(col(BomLineRow.revision_id) == revision_id, col(LinePartRow.approved))
    )
    found: dict[int, list[int]] = {}
    for line_id, part_id in session.connection().execute(query):
        found.setdefault(line_id, []).append(part_id)
    return found


def _board(session: Session, revision_id: int) -> _Board:
    line = BomLineRow
    lists = (line.refdes, line.dnp_refdes, line.excluded_refdes, line.bottom_refdes)
    columns: list[Any] = [line.id, line.side, *(sa.cast(col(names), sa.Text) for names in lists)]
    query = sa.select(*columns).where(col(line.revision_id) == revision_id, col(line.fitted_count) > 0)
    spots: list[tuple[int, str | None, Sequence[str]]] = []
    for line_id, side, refdes, dnp, excluded, bottom in session.connection().execute(query):
        out = {*_names(dnp), *_names(excluded)}
        fitted = [name for name in _names(refdes) if name not in out]
        if side != BOTH:
            spots.append((line_id, side, fitted))
            continue
        below = set(_names(bottom))
        spots.append((line_id, TOP, [name for name in fitted if name not in below]))
        spots.append((line_id, BOTTOM, [name for name in fitted if name in below]))
    return _Board(spots, in_order(name for _, _, names in spots for name in names))


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
