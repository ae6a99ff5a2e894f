"""Assessing a case: rows -> columns -> checks -> findings replaced by key -> counters.

Reading and computing happen in no write transaction. The result is stored only if nothing the case uses has changed
meanwhile (``input_seq``); otherwise the case stays stale and the sweep comes back to it.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from typing import Any

import numpy as np
import sqlalchemy as sa
from numpy.typing import NDArray
from sqlmodel import Session, col, select

from webapp import __version__
from webapp.checks.assess import Assessment, assess
from webapp.checks.columns import Case, CaseLine, Columns
from webapp.checks.declare import registry
from webapp.checks.findings import Finding
from webapp.desk import cases, routes
from webapp.desk.counting import recount
from webapp.desk.part_facts import facts_by_id
from webapp.desk.setups import setup_of
from webapp.desk.site import site_of
from webapp.store.base import utc_now
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.engine import Database
from webapp.store.part_reads import chunks
from webapp.store.parts import LinePartRow
from webapp.store.products import BomLineRow
from webapp.trade.route import Route, Side


@dataclass(frozen=True)
class LoadedCase:
    """A case as the checks take it, with what leads back to its rows.

    ``part_ids``: id of each of the case's parts; ``positions``: position of each BOM line that places something;
    ``placed``: how many places each of these fills.
    """

    case: Case
    input_seq: int
    part_ids: Sequence[int]
    positions: Sequence[int]
    placed: NDArray[np.int64]


@cache
def engine_version() -> str:
    """Marks by what a case was assessed: another program version or other checks make it stale."""
    checks = ",".join(f"{check.id}:{check.version}" for check in registry().values())
    return sha256(f"{__version__};{checks}".encode()).hexdigest()


def reassess(database: Database, product_id: int) -> None:
    """Assess the stale cases of a product now; call it after the commit of an edit, within the request."""
    with database.read() as session:
        stale = [
            entry.id
            for entry in cases.cases_of(session, product_id)
            if entry.stale or entry.row.engine != engine_version()
        ]
    for case_id in stale:
        assess_case(database, case_id)


def assess_case(database: Database, case_id: int) -> bool:
    """Assess one case and store the result; False when its inputs changed meanwhile, or it is gone or retired."""
    with database.read() as session:
        loaded = load_case(session, case_id)
    return False if loaded is None else assess_loaded(database, case_id, loaded)


def assess_loaded(database: Database, case_id: int, loaded: LoadedCase) -> bool:
    """Run the checks over what was read and store the result, unless the inputs changed since."""
    found = assess(loaded.case)
    values = _finding_values(loaded, found)
    with database.command() as session:
        return _store(session, case_id, loaded.input_seq, found, values)


def load_case(session: Session, case_id: int, only: Collection[int] | None = None) -> LoadedCase | None:
    """Read all that a case is assessed from, or no more than the lines of the parts ``only``; None when it is gone or
    retired."""
    row = session.get(AssessmentCaseRow, case_id)
    if row is None or row.retired_at is not None:
        return None
    # Read before everything else: an edit in between shows as a higher number at the end.
    input_seq = row.input_seq
    lines = _read_lines(session, row.revision_id, only)
    part_ids = sorted({part_id for line in lines for part_id in line.parts})
    facts = facts_by_id(session, part_ids, row.product_id)
    place = {part_id: i for i, part_id in enumerate(part_ids)}
    setup = setup_of(session, row.product_id)
    by_id = {route.id: route for route in routes.routes_of(session, row.product_id)}
    candidate = by_id[row.route_id].route
    today = next((route.route for route in by_id.values() if route.is_today), Route("today"))
    case = Case(
        lines=[line for i, read in enumerate(lines) for line in read.case_lines(i, place)],
        parts=[facts[part_id] for part_id in part_ids],
        board=setup.board,
        environment=setup.environment,
        route=candidate,
        today=today,
        site=site_of(session),
    )
    placed = np.array([len(line.refdes) for line in lines], dtype=np.int64)
    return LoadedCase(case, input_seq, part_ids, [line.position for line in lines], placed)


@dataclass(slots=True)
class _Line:
    """A BOM line that places something: fitted designators and approved parts."""

    position: int
    refdes: tuple[str, ...]
    side: str | None
    bottom: frozenset[str]
    parts: list[int]

    def case_lines(self, index: int, place: dict[int, int]) -> list[CaseLine]:
        """One for every approved part and side."""
        sides = self._sides()
        return [CaseLine(place[part], names, side, index) for part in self.parts for names, side in sides]

    def _sides(self) -> list[tuple[tuple[str, ...], Side | None]]:
        if self.side != "both":
            return [(self.refdes, Side(self.side) if self.side else None)]
        top = tuple(name for name in self.refdes if name not in self.bottom)
        bottom = tuple(name for name in self.refdes if name in self.bottom)
        return [(names, side) for names, side in ((top, Side.TOP), (bottom, Side.BOTTOM)) if names]


def _read_lines(session: Session, revision_id: int, only: Collection[int] | None) -> list[_Line]:
    line = BomLineRow
    which = sa.true() if only is None else col(LinePartRow.part_id).in_(only)
    query = (
        sa.select(
            col(line.id),
            col(line.position),
            col(line.refdes),
            col(line.dnp_refdes),
            col(line.excluded_refdes),
            col(line.bottom_refdes),
            col(line.side),
            col(LinePartRow.part_id),
        )
        .join(LinePartRow, col(LinePartRow.line_id) == col(BomLineRow.id))
        .where(col(line.revision_id) == revision_id, col(line.fitted_count) > 0, col(LinePartRow.approved), which)
        .order_by(col(BomLineRow.position), col(LinePartRow.position))
    )
    lines: dict[int | None, _Line] = {}
    for line_id, position, refdes, dnp, excluded, bottom, side, part_id in session.connection().execute(query):
        if line_id not in lines:
            out = {*dnp, *excluded}
            fitted = tuple(name for name in refdes if name not in out) if out else tuple(refdes)
            lines[line_id] = _Line(position, fitted, side, frozenset(bottom), [])
        lines[line_id].parts.append(part_id)
    return list(lines.values())


def _finding_values(loaded: LoadedCase, found: Assessment) -> dict[str, dict[str, Any]]:
    """Key -> the finding as values of its row."""
    freeing = _Freeing(loaded, found.findings)
    return {
        finding.key: {
            "position": position,
            "check": finding.check,
            "subject": finding.subject,
            "title": finding.title,
            "verdict": finding.verdict.key,
            "why": finding.why.value,
            "step": finding.step,
            "step_title": finding.step_title,
            "value": finding.value,
            "limit": finding.limit,
            "unit": finding.unit,
            "sentence": finding.sentence,
            "need": finding.need,
            "missing": finding.missing,
            "sources": [source.words for source in finding.sources],
            "remedies": list(finding.remedies),
            "caution": finding.caution,
            "refdes": list(finding.refdes),
            "lines": freeing.positions(finding),
            "parts": freeing.parts(finding),
            "placements": len(finding.refdes),
            "same_as_today": finding.same_as_today,
            "fingerprint": finding.fingerprint,
            "inputs": dict(finding.inputs),
        }
        for position, finding in enumerate(found.findings)
    }


class _Freeing:
    """Which placements a single datum would free: those on lines where nothing else is open."""

    def __init__(self, loaded: LoadedCase, findings: Sequence[Finding]) -> None:
        self._loaded = loaded
        count = len(loaded.positions)
        columns = Columns(loaded.case)
        self._part, self._of = columns.part, columns.of
        self._placed = loaded.placed
        causes: dict[str, NDArray[np.bool_]] = {}
        for finding in findings:
            if finding.verdict.is_open and finding.lines:
                flags = causes.setdefault(finding.need or finding.key, np.zeros(count, dtype=np.bool_))
                flags[self._of[list(finding.lines)]] = True
        self._causes = np.zeros(count, dtype=np.int64)
        for flags in causes.values():
            self._causes += flags

    def positions(self, finding: Finding) -> list[int]:
        """Positions of the BOM lines concerned."""
        owners = sorted({int(self._of[i]) for i in finding.lines})
        return [self._loaded.positions[i] for i in owners]

    def parts(self, finding: Finding) -> list[list[int]]:
        """[part id, placements concerned, placements freed] of every part."""
        ids = self._loaded.part_ids
        if not finding.lines:
            return []
        if len(finding.lines) == 1:
            part, owner = self._part[finding.lines[0]], self._of[finding.lines[0]]
            placed_here = int(self._placed[owner])
            return [[ids[part], placed_here, placed_here if self._causes[owner] == 1 else 0]]
        members = np.array(finding.lines, dtype=np.int64)
        pairs = np.unique(np.stack([self._part[members], self._of[members]], axis=1), axis=0)
        parts, index = np.unique(pairs[:, 0], return_inverse=True)
        placed = self._placed[pairs[:, 1]]
        alone = np.where(self._causes[pairs[:, 1]] == 1, placed, 0)
        concerned, freed = (np.bincount(index.reshape(-1), weights=weights) for weights in (placed, alone))
        return [
            [ids[part], int(some), int(free)]
            for part, some, free in zip(parts.tolist(), concerned.tolist(), freed.tolist(), strict=True)
        ]


def _store(session: Session, case_id: int, seen: int, found: Assessment, findings: dict[str, dict[str, Any]]) -> bool:
    connection = session.connection()
    counts = found.counts()
    written = connection.execute(
        sa.update(AssessmentCaseRow)
        .where(
            col(AssessmentCaseRow.id) == case_id,
            col(AssessmentCaseRow.input_seq) == seen,
            col(AssessmentCaseRow.retired_at).is_(None),
        )
        .values(
            assessed_seq=seen,
            assessed_at=utc_now(),
            engine=engine_version(),
            shown=sum(1 for finding in found.findings if not finding.same_as_today),
            fine_by_check=found.fine,
            **counts,
        )
    )
    if written.rowcount == 0:
        return False
    stored = select(FindingRow.key, FindingRow.id).where(FindingRow.case_id == case_id)
    before = {key: finding_id for key, finding_id in session.exec(stored) if finding_id is not None}
    gone = [finding_id for key, finding_id in before.items() if key not in findings]
    for some in chunks(gone):
        connection.execute(sa.delete(FindingRow).where(col(FindingRow.id).in_(some)))
    kept = [{"row_id": before[key], **values} for key, values in findings.items() if key in before]
    if kept:
        # On the bare table: the ORM would want every row by its own update.
        table = FindingRow.metadata.tables[FindingRow.__tablename__]
        setting: dict[str, Any] = {name: sa.bindparam(name) for name in kept[0] if name != "row_id"}
        connection.execute(table.update().where(table.c.id == sa.bindparam("row_id")).values(setting), kept)
    new = [{"case_id": case_id, "key": key, **values} for key, values in findings.items() if key not in before]
    if new:
        connection.execute(sa.insert(FindingRow), new)
    recount(session, case_id, assessed=True)
    return True
