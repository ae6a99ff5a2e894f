"""Deciding on findings: what a reviewer signs, with the inputs that were on the screen.

A signature needs the role, the password entered within ten minutes, somebody who did not work on what the finding was
computed from, and the very inputs that were shown. What blocks is signed one by one.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlmodel import Session, col, select

from webapp.desk import ledger
from webapp.desk.authors import authors_of
from webapp.desk.counting import recount
from webapp.desk.reauth import check_may_sign
from webapp.desk.sessions import SignedIn
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, NotAllowedError, NotFoundError
from webapp.settings import Settings
from webapp.store.base import utc_now
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.decisions import DecisionCoverRow, DecisionRow, covers
from webapp.store.part_reads import chunks
from webapp.store.products import ProductRow
from webapp.store.setups import RouteRow
from webapp.trade.decisions import (
    BULK_VERDICTS,
    OPEN_VERDICTS,
    DecisionKind,
    read_expiry,
    read_lots,
    tidy_change,
    tidy_reason,
    today,
)
from webapp.trade.ledger import EntryKind
from webapp.trade.people import Person, Role

CHANGED = "What this finding was computed from has changed since you looked at it. Nothing was signed: look again."
MOST_AT_ONCE = 1000


@dataclass(frozen=True, slots=True)
class Shown:
    """A finding as it was on the screen: its id and the fingerprint of the inputs that were shown."""

    finding_id: int
    fingerprint: str


@dataclass(frozen=True, slots=True)
class NewDecision:
    """A decision as typed. ``change`` is for RESOLVED; ``expires_on`` (ISO) and ``lot_limit`` are for ACCEPT."""

    kind: DecisionKind
    reason: str
    change: str = ""
    expires_on: str = ""
    lot_limit: str = ""


@dataclass(frozen=True, slots=True)
class Refused:
    """A finding that cannot be signed, and why."""

    finding: FindingRow
    reason: str


@dataclass(frozen=True, slots=True)
class Preview:
    """What signing would do: "23 of 30, 7 refused because ..."."""

    allowed: tuple[FindingRow, ...]
    refused: tuple[Refused, ...]
    gone: int

    @property
    def shown(self) -> tuple[Shown, ...]:
        """What a form that signs the allowed ones has to send."""
        return tuple(Shown(finding.id or 0, finding.fingerprint) for finding in self.allowed)

    @property
    def reasons(self) -> dict[str, int]:
        """Reason -> how many are refused for it, the most frequent first."""
        counts: dict[str, int] = {}
        for refused in self.refused:
            counts[refused.reason] = counts.get(refused.reason, 0) + 1
        return dict(sorted(counts.items(), key=lambda item: (-item[1], item[0])))


def preview(
    session: Session, person: Person, settings: Settings, shown: Sequence[Shown], *, bulk: bool = True
) -> Preview:
    """Which of the findings ``person`` may sign now, and why not the others. Writes nothing.

    InvalidInputError for more than MOST_AT_ONCE.
    """
    _check_count(shown)
    found = _Signing(session, person, settings, shown, bulk=bulk)
    return Preview(tuple(found.allowed), tuple(found.refused), found.gone)


def sign(
    session: Session, signed_in: SignedIn, settings: Settings, new: NewDecision, shown: Sequence[Shown]
) -> DecisionRow:
    """Sign one decision over the findings shown, all or none; counters are up to date afterwards.

    More than one finding is signed in bulk: what blocks is refused then. Raises NotAllowedError (role, author, blocks
    in bulk), ReauthenticationNeededError, ConflictError (inputs changed, finding gone, being re-assessed),
    InvalidInputError (``reason``, ``change``, ``expires_on``, ``lot_limit``).
    """
    _check_role(signed_in.person)
    row = DecisionRow(
        kind=new.kind.value,
        reason=tidy_reason(new.reason),
        change=tidy_change(new.kind, new.change),
        signed_by=signed_in.person.id,
        signed_at=utc_now(),
    )
    if new.kind is DecisionKind.ACCEPT:
        row.expires_on, row.lot_limit = read_expiry(new.expires_on, today()), read_lots(new.lot_limit)
    return _sign(session, signed_in, settings, row, shown)


def take_over(session: Session, signed_in: SignedIn, settings: Settings, decision_id: int, shown: Shown) -> DecisionRow:
    """Sign on a finding what ``decision_id`` says on the same inputs elsewhere; raises what ``sign`` does."""
    _check_role(signed_in.person)
    source = _decision(session, decision_id)
    same = any(cover.fingerprint == shown.fingerprint for cover in covers(session, decision_id))
    if not same or source.withdrawn_at is not None:
        raise ConflictError("That decision no longer stands, or not on these inputs. Look again.")
    if source.expires_on is not None and source.expires_on < today():
        raise ConflictError("That acceptance has run out.")
    row = DecisionRow(
        kind=source.kind,
        reason=source.reason,
        change=source.change,
        expires_on=source.expires_on,
        lot_limit=source.lot_limit,
        taken_over_from=decision_id,
        signed_by=signed_in.person.id,
        signed_at=utc_now(),
    )
    return _sign(session, signed_in, settings, row, [shown])


def withdraw(session: Session, person: Person, decision_id: int) -> None:
    """Take a decision back: its findings are open again, and it stays on record. Also what "Undo" does.

    Raises NotAllowedError without the role, NotFoundError. Harmless when it is withdrawn already.
    """
    _check_role(person)
    members = covers(session, decision_id)
    cases = _cases(session, [cover.case_id for cover in members], lock=True)
    row = _decision(session, decision_id)
    if row.withdrawn_at is not None:
        return
    row.withdrawn_at, row.withdrawn_by = utc_now(), person.id
    session.flush()
    _recount(session, {cases[cover.case_id].route_id for cover in members})
    ledger.record(
        session,
        person,
        EntryKind.DECISION_WITHDRAWN,
        f"decision {decision_id}",
        {"decision": decision_id, "kind": row.kind},
    )


def _sign(
    session: Session, signed_in: SignedIn, settings: Settings, row: DecisionRow, shown: Sequence[Shown]
) -> DecisionRow:
    check_may_sign(session, signed_in)
    if not shown:
        raise InvalidInputError("Choose at least one finding.", field="shown")
    _check_count(shown)
    found = _Signing(session, signed_in.person, settings, shown, bulk=len(shown) > 1, lock=True)
    found.check_all_allowed()
    session.add(row)
    session.flush()
    decision_id = row.id or 0
    session.add_all(_cover(decision_id, finding, found.cases[finding.case_id]) for finding in found.allowed)
    session.flush()
    _recount(session, {case.route_id for case in found.cases.values()})
    detail = {
        "decision": decision_id,
        "kind": row.kind,
        "reason": row.reason,
        "change": row.change,
        "expires_on": row.expires_on.isoformat() if row.expires_on else None,
        "lot_limit": row.lot_limit,
        "taken_over_from": row.taken_over_from,
        "findings": [found.member(finding) for finding in found.allowed],
    }
    ledger.record(session, signed_in.person, EntryKind.DECIDED, found.subject, detail)
    return row


class _Signing:
    """The findings that somebody wants to sign, sorted into those that may be and those that may not."""

    def __init__(
        self,
        session: Session,
        person: Person,
        settings: Settings,
        shown: Sequence[Shown],
        *,
        bulk: bool,
        lock: bool = False,
    ) -> None:
        wanted = {one.finding_id: one.fingerprint for one in shown}
        findings = _findings(session, list(wanted))
        case_ids = [finding.case_id for finding in findings]
        self.cases = _cases(session, case_ids, lock=lock)
        if lock:
            # Read again now that nobody else can change them.
            for finding in findings:
                session.expire(finding)
            findings = _findings(session, list(wanted))
        self.gone = len(wanted) - len(findings)
        self._names = _names(session, self.cases)
        self._bulk, self._settings, self._person = bulk, settings, person
        self._authors = authors_of(session, findings, self.cases)
        self.allowed: list[FindingRow] = []
        self.refused: list[Refused] = []
        self.error: MeltlineError | None = None
        for finding in findings:
            error = self._refusal(finding, wanted[finding.id or 0])
            if error is None:
                self.allowed.append(finding)
            else:
                self.refused.append(Refused(finding, error.message))
                self.error = self.error or error

    def check_all_allowed(self) -> None:
        """Raise why the first one may not be signed."""
        if self.gone:
            raise ConflictError(CHANGED)
        if self.error is not None:
            raise self.error

    @property
    def subject(self) -> str:
        """What the ledger names the decision by."""
        first = self.allowed[0]
        more = f" and {len(self.allowed) - 1} more" if len(self.allowed) > 1 else ""
        return f"product {self._names[first.case_id][0]}: {first.check}, {first.title}{more}"

    def member(self, finding: FindingRow) -> dict[str, str]:
        """A finding as the ledger keeps it."""
        product, route, _ = self._names[finding.case_id]
        return {
            "product": product,
            "route": route,
            "key": finding.key,
            "verdict": finding.verdict,
            "fingerprint": finding.fingerprint,
        }

    def _refusal(self, finding: FindingRow, fingerprint: str) -> MeltlineError | None:
        row = self.cases[finding.case_id]
        if row.retired_at is not None:
            return ConflictError("A newer BOM revision or route has taken its place.")
        if row.assessed_seq != row.input_seq:
            return ConflictError("It is being re-assessed: something that it uses has changed.")
        if finding.fingerprint != fingerprint:
            return ConflictError(CHANGED)
        if finding.verdict not in OPEN_VERDICTS:
            return NotAllowedError("There is nothing to decide.")
        if self._names[finding.case_id][2]:
            return NotAllowedError("It is about today's route; candidates are decided on.")
        if self._bulk and finding.verdict not in BULK_VERDICTS:
            return NotAllowedError("What blocks is signed one by one.")
        did = self._authors[finding.id or 0].get(self._person.id)
        if did is not None and not self._settings.authors_may_sign:
            return NotAllowedError(f"You {did}: somebody else has to sign.")
        return None


def _cover(decision_id: int, finding: FindingRow, row: AssessmentCaseRow) -> DecisionCoverRow:
    return DecisionCoverRow(
        decision_id=decision_id,
        case_id=finding.case_id,
        key=finding.key,
        route_id=row.route_id,
        check=finding.check,
        subject=finding.subject,
        title=finding.title,
        verdict=finding.verdict,
        sentence=finding.sentence,
        fingerprint=finding.fingerprint,
        inputs=finding.inputs,
    )


def _findings(session: Session, ids: Sequence[int]) -> list[FindingRow]:
    found: list[FindingRow] = []
    for some in chunks(sorted(ids)):
        found += session.exec(select(FindingRow).where(col(FindingRow.id).in_(some)))
    return sorted(found, key=lambda row: (row.case_id, row.position))


def _cases(session: Session, ids: Iterable[int], *, lock: bool) -> dict[int, AssessmentCaseRow]:
    """The cases; ``lock`` in one order everywhere: edits and assessments of them wait until this command ends."""
    found: dict[int, AssessmentCaseRow] = {}
    for some in chunks(sorted(set(ids))):
        query = select(AssessmentCaseRow).where(col(AssessmentCaseRow.id).in_(some)).order_by(col(AssessmentCaseRow.id))
        rows = session.exec(query.with_for_update().execution_options(populate_existing=True) if lock else query)
        found |= {row.id or 0: row for row in rows}
    return found


def _names(session: Session, case_ids: Iterable[int]) -> dict[int, tuple[str, str, bool]]:
    """Case id -> product code, route name, whether it is today's route."""
    found: dict[int, tuple[str, str, bool]] = {}
    for some in chunks(sorted(set(case_ids))):
        query = (
            select(AssessmentCaseRow.id, ProductRow.code, RouteRow.name, RouteRow.is_today)
            .join(ProductRow, col(ProductRow.id) == col(AssessmentCaseRow.product_id))
            .join(RouteRow, col(RouteRow.id) == col(AssessmentCaseRow.route_id))
            .where(col(AssessmentCaseRow.id).in_(some))
        )
        found |= {case_id or 0: (code, name, is_today) for case_id, code, name, is_today in session.exec(query)}
    return found


def _decision(session: Session, decision_id: int) -> DecisionRow:
    row = session.get(DecisionRow, decision_id, with_for_update=True)
    if row is None:
        raise NotFoundError("There is no such decision.")
    return row


def _recount(session: Session, route_ids: set[int]) -> None:
    query = select(AssessmentCaseRow.id).where(
        col(AssessmentCaseRow.route_id).in_(sorted(route_ids)), col(AssessmentCaseRow.retired_at).is_(None)
    )
    for case_id in session.exec(query.order_by(col(AssessmentCaseRow.id))).all():
        recount(session, case_id or 0)


def _check_role(person: Person) -> None:
    if not person.has(Role.REVIEWER):
        raise NotAllowedError("Signing needs the role reviewer. An administrator can change that under People.")


def _check_count(shown: Sequence[Shown]) -> None:
    if len(shown) > MOST_AT_ONCE:
        raise InvalidInputError(f"At most {MOST_AT_ONCE:,} findings at once: narrow the list.", field="shown")
