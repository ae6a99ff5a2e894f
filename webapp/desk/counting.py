"""How the findings of a case stand, and its counters: counted anew at every assessment and decision.

Pages read what is stored here. Readiness: the share of fitted placements on lines with nothing open; open is what
blocks, must change or must be proved without a valid acceptance or planned change (a refused finding stays open).
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlmodel import Session, col

from webapp.store.base import utc_now
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.decisions import DecisionCoverRow, DecisionRow, covers_of_route
from webapp.store.parts import LinePartRow
from webapp.store.portfolio import rows_of
from webapp.store.products import BomLineRow
from webapp.store.setups import RouteRow
from webapp.trade.decisions import OPEN, OPEN_VERDICTS, WAITING, DecisionKind, Standing, today

Cover = tuple[DecisionRow, DecisionCoverRow]


@dataclass(frozen=True, slots=True)
class _Found:
    """A finding as counting needs it."""

    id: int
    key: str
    check: str
    subject: str
    verdict: str
    fingerprint: str
    need: str
    lines: Sequence[int]
    standing: str


class Covers:
    """What is decided on the findings of one route. Of several decisions on a finding the last one counts."""

    def __init__(self, covers: Iterable[Cover], on: date) -> None:
        self._on = on
        self._by_key: dict[str, list[Cover]] = {}
        self._by_subject: dict[tuple[str, str], Cover] = {}
        for decision, cover in covers:
            self._by_key.setdefault(cover.key, []).append((decision, cover))
            self._by_subject[cover.check, cover.subject] = decision, cover

    def valid(self, key: str, fingerprint: str, verdict: str) -> Cover | None:
        """The decision on exactly this finding with these inputs, run out or not."""
        same = [
            (decision, cover)
            for decision, cover in self._by_key.get(key, ())
            if cover.fingerprint == fingerprint and cover.verdict == verdict
        ]
        return same[-1] if same else None

    def earlier(self, key: str, check: str, subject: str) -> Cover | None:
        """The last decision on this finding, or on the same subject at another step, whatever the inputs were."""
        same = self._by_key.get(key)
        return same[-1] if same else self._by_subject.get((check, subject))

    def standing(self, found: _Found) -> Standing:
        """How the finding stands."""
        if found.verdict not in OPEN_VERDICTS:
            return Standing.NONE
        covered = self.valid(found.key, found.fingerprint, found.verdict)
        if covered is None:
            return Standing.STALE if self.earlier(found.key, found.check, found.subject) else Standing.UNDECIDED
        decision = covered[0]
        if decision.expires_on is not None and decision.expires_on < self._on:
            return Standing.EXPIRED
        return _STANDING[DecisionKind(decision.kind)]


_STANDING = {
    DecisionKind.ACCEPT: Standing.ACCEPTED,
    DecisionKind.RESOLVED: Standing.PLANNED,
    DecisionKind.REFUSE: Standing.REFUSED,
}


def recount(session: Session, case_id: int, *, assessed: bool = False) -> None:
    """Bring standings and counters of a case up to date.

    ``assessed``: it has just been assessed, so planned changes whose findings are gone close as done.
    """
    row = AssessmentCaseRow
    # Locked before anything is read: what is counted must still be so when it is written.
    query = sa.select(col(row.route_id), col(row.revision_id)).where(col(row.id) == case_id).with_for_update()
    route_id, revision_id = session.connection().execute(query).one()
    is_today = session.connection().execute(sa.select(col(RouteRow.is_today)).where(col(RouteRow.id) == route_id))
    findings = _findings(session, case_id)
    covers = covers_of_route(session, route_id)
    if assessed:
        covers = _without_done(covers, findings)
    decided = Covers(covers, today())
    standings = {found.id: decided.standing(found) for found in findings}
    # Candidates are decided on; today's findings are only counted, so that queue and portfolio need not pass over them.
    no_standing = dict.fromkeys(standings, Standing.NONE)
    _store_standings(session, findings, no_standing if is_today.scalar_one() else standings)
    values = _counters(findings, standings, _placed(session, revision_id))
    accepted = [
        decided.valid(found.key, found.fingerprint, found.verdict)
        for found in findings
        if standings[found.id] is Standing.ACCEPTED
    ]
    ends = [cover[0].expires_on for cover in accepted if cover and cover[0].expires_on]
    session.connection().execute(
        sa.update(row).where(col(row.id) == case_id).values(**values, expires_on=min(ends, default=None))
    )


def readiness(placed: Mapping[int, int], open_lines: Iterable[Iterable[int]]) -> float | None:
    """Share (0-1) of placements on lines with nothing open; None without placements.

    ``placed``: position of a line -> its fitted placements; ``open_lines``: the positions each open finding concerns.
    """
    total = sum(placed.values())
    if total == 0:
        return None
    is_open = {position for lines in open_lines for position in lines}
    return sum(count for position, count in placed.items() if position not in is_open) / total


def _counters(
    findings: Sequence[_Found], standings: Mapping[int, Standing], placed: Mapping[int, int]
) -> dict[str, float | None]:
    is_open = [found for found in findings if standings[found.id] in OPEN]
    verdicts, counted = Counter(found.verdict for found in is_open), Counter(standings.values())
    return {
        "readiness": readiness(placed, (found.lines for found in is_open)),
        "open_board_step_product": sum(1 for found in is_open if not found.lines),
        **{f"open_{verdict}": verdicts[verdict] for verdict in OPEN_VERDICTS},
        "waiting": sum(counted[standing] for standing in WAITING),
        "reopened": counted[Standing.STALE] + counted[Standing.EXPIRED],
        "wanting": sum(1 for found in is_open if found.need and standings[found.id] in WAITING),
        "planned": counted[Standing.PLANNED],
        "refused": counted[Standing.REFUSED],
    }


def _findings(session: Session, case_id: int) -> list[_Found]:
    row = FindingRow
    columns: tuple[Any, ...] = (
        row.id,
        row.key,
        row.check,
        row.subject,
        row.verdict,
        row.fingerprint,
        row.need,
        row.lines,
        row.standing,
    )
    query = sa.select(*columns).where(col(row.case_id) == case_id)
    return [_Found(*values) for values in rows_of(session, query)]


def _placed(session: Session, revision_id: int) -> dict[int, int]:
    """Position -> fitted placements of the lines that an assessment sees (desk.assessing reads the same)."""
    has_part = sa.exists().where(col(LinePartRow.line_id) == col(BomLineRow.id), col(LinePartRow.approved))
    query = sa.select(col(BomLineRow.position), col(BomLineRow.fitted_count)).where(
        col(BomLineRow.revision_id) == revision_id, col(BomLineRow.fitted_count) > 0, has_part
    )
    return dict(rows_of(session, query))


def _without_done(covers: Sequence[Cover], findings: Sequence[_Found]) -> list[Cover]:
    """Close planned changes whose finding is gone, at every step; what is left."""
    there = {(found.check, found.subject) for found in findings if found.verdict in OPEN_VERDICTS}
    # A finding told apart from its like has more behind its subject.
    there |= {(check, subject.partition(" (")[0]) for check, subject in there}
    left = []
    for decision, cover in covers:
        is_planned = decision.kind == DecisionKind.RESOLVED
        if is_planned and not {(cover.check, cover.subject), (cover.check, cover.subject.partition(" (")[0])} & there:
            cover.done_at = utc_now()
        else:
            left.append((decision, cover))
    return left


def _store_standings(session: Session, findings: Sequence[_Found], standings: Mapping[int, Standing]) -> None:
    changed: dict[Standing, list[int]] = {}
    for found in findings:
        if found.standing != standings[found.id]:
            changed.setdefault(standings[found.id], []).append(found.id)
    for standing, ids in changed.items():
        for start in range(0, len(ids), 500):
            some = col(FindingRow.id).in_(ids[start : start + 500])
            session.connection().execute(sa.update(FindingRow).where(some).values(standing=standing.value))
