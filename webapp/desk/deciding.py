"""One finding with all that a decision on it needs: what holds now, what was signed on other inputs, what was decided
on the same inputs elsewhere, and who may not sign."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from sqlmodel import Session, col, select

from webapp.desk.authors import authors_of, names_of
from webapp.desk.counting import Cover, Covers
from webapp.desk.review import QueueFinding, finding_in_queue
from webapp.settings import Settings
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.decisions import DecisionCoverRow, DecisionRow, covers_of_route, decided_on_inputs
from webapp.trade.decisions import today
from webapp.trade.people import Person, Role

MOST_OFFERED = 50


@dataclass(frozen=True, slots=True)
class Signed:
    """A decision with who signed it and the finding it covers as it was then."""

    decision: DecisionRow
    cover: DecisionCoverRow
    by: str
    product_code: str = ""

    @property
    def expired(self) -> bool:
        """Whether the acceptance has run out."""
        return self.decision.expires_on is not None and self.decision.expires_on < today()


@dataclass(frozen=True, slots=True)
class InputChange:
    """One input, as signed and as it is now; "" where it was not there."""

    label: str
    before: str
    now: str

    @property
    def changed(self) -> bool:
        """Whether it is another value."""
        return self.before != self.now


@dataclass(frozen=True, slots=True)
class FindingPage:
    """One finding for deciding on it.

    ``decision``: what holds now (run out or not). ``earlier``: the last decision on other inputs, with ``changes`` of
    all inputs side by side. ``elsewhere``: decisions on the same inputs, offered for taking over. ``authors``: person
    -> what they did; ``own_part``: what the person asking did, "" if nothing; ``may_sign``: they are no author (or the
    site allows it) and have the role.
    """

    finding: QueueFinding
    decision: Signed | None
    earlier: Signed | None
    changes: tuple[InputChange, ...]
    elsewhere: tuple[Signed, ...]
    history: tuple[Signed, ...]
    authors: tuple[tuple[str, str], ...]
    own_part: str
    may_sign: bool


def finding_page(session: Session, person: Person, settings: Settings, finding_id: int) -> FindingPage:
    """All that deciding on a finding needs; NotFoundError when it is gone."""
    found, case_row = finding_in_queue(session, finding_id)
    row = found.row
    route_covers = covers_of_route(session, case_row.route_id)
    covers = Covers(route_covers, today())
    valid = covers.valid(row.key, row.fingerprint, row.verdict)
    earlier = None if valid else covers.earlier(row.key, row.check, row.subject)
    past = [pair for pair in route_covers if (pair[1].check, pair[1].subject) == (row.check, row.subject)]
    did = authors_of(session, [row], {found.case_id: case_row})[finding_id]
    names = names_of(session, [*did, *(decision.signed_by for decision, _ in route_covers)])
    own = did.get(person.id, "")
    return FindingPage(
        finding=found,
        decision=_signed(valid, names, found.product_code),
        earlier=_signed(earlier, names, found.product_code),
        changes=input_changes(earlier[1].inputs, row.inputs) if earlier else (),
        elsewhere=same_elsewhere(session, [row])[finding_id],
        history=tuple(
            Signed(decision, cover, names[decision.signed_by], found.product_code) for decision, cover in reversed(past)
        ),
        authors=tuple((names[person_id], what) for person_id, what in did.items()),
        own_part=own,
        may_sign=person.has(Role.REVIEWER) and (not own or settings.authors_may_sign),
    )


def same_elsewhere(session: Session, findings: Sequence[FindingRow]) -> dict[int, tuple[Signed, ...]]:
    """Finding id -> decisions that stand on the very same inputs of the same parts elsewhere, the newest first, at most
    ``MOST_OFFERED``; two queries for all findings.

    They are offered, never taken over unasked. Findings about no part are not compared: their inputs are the product.
    """
    query = select(AssessmentCaseRow.id, AssessmentCaseRow.route_id)
    cases = session.exec(query.where(col(AssessmentCaseRow.id).in_({row.case_id for row in findings})))
    routes: dict[int | None, int] = dict(cases.all())
    signed: dict[str, list[Signed]] = {row.fingerprint: [] for row in findings if row.parts}
    for found in decided_on_inputs(session, signed):
        entry = Signed(found.decision, found.cover, found.by, found.product_code)
        if not entry.expired:
            signed[found.cover.fingerprint].append(entry)
    return {row.id or 0: _offered(signed.get(row.fingerprint, ()), row, routes[row.case_id]) for row in findings}


def _offered(signed: Iterable[Signed], row: FindingRow, route_id: int) -> tuple[Signed, ...]:
    here = (route_id, row.key)
    others = (one for one in signed if one.cover.verdict == row.verdict and (one.cover.route_id, one.cover.key) != here)
    return tuple(islice(others, MOST_OFFERED)) if row.parts else ()


def input_changes(before: Mapping[str, str], now: Mapping[str, str]) -> tuple[InputChange, ...]:
    """All inputs side by side, in the order they have now; those that are gone last."""
    labels = [*now, *(label for label in before if label not in now)]
    return tuple(InputChange(label, before.get(label, ""), now.get(label, "")) for label in labels)


def _signed(cover: Cover | None, names: Mapping[int, str], code: str) -> Signed | None:
    return Signed(cover[0], cover[1], names[cover[0].signed_by], code) if cover else None
