"""The reviewer's queue: what waits over all products, part by part.

Only candidate routes are decided on. All queries are bounded: groups come in pages, findings of a group up to a limit.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from sqlalchemy import CTE, ColumnElement, and_, case, func, literal, or_, select
from sqlmodel import Session, col

from webapp.checks.declare import registry
from webapp.checks.findings import PART_SUBJECT
from webapp.errors import NotFoundError
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.people import PersonRow
from webapp.store.portfolio import rows_of
from webapp.store.products import ProductRow
from webapp.store.setups import RouteRow
from webapp.trade.decisions import OPEN_VERDICTS, WAITING, Standing
from webapp.trade.products import code_key

FINDINGS_A_GROUP = 200
_CHECK = "check "


class Show(StrEnum):
    """Which findings the queue holds."""

    WAITING = "waiting"
    REOPENED = "reopened"
    REFUSED = "refused"
    DECIDED = "decided"
    ALL = "all"


_SHOWN: Mapping[Show, Sequence[Standing]] = {
    Show.WAITING: WAITING,
    Show.REOPENED: (Standing.STALE, Standing.EXPIRED),
    Show.REFUSED: (Standing.REFUSED,),
    Show.DECIDED: (Standing.ACCEPTED, Standing.PLANNED),
    Show.ALL: tuple(standing for standing in Standing if standing is not Standing.NONE),
}


@dataclass(frozen=True, slots=True)
class QueueView:
    """Which findings: "" and None for all. ``verdict`` and ``check`` by key and id, ``product`` a code, ``owner`` a
    login, ``search`` words in the part or product; ``as_today``: also what is just as open today."""

    show: Show = Show.WAITING
    verdict: str = ""
    check: str = ""
    product: str = ""
    label: str = ""
    customer: str = ""
    owner: str = ""
    search: str = ""
    as_today: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """One part with what waits about it in all products, or one check for what is about no single part.

    ``key``: "part " + the part's key, or "check " + the check's id. ``verdict``: the gravest. ``part_id``: None for a
    check.
    """

    key: str
    title: str
    part_id: int | None
    verdict: str
    findings: int
    products: int
    placements: int

    @property
    def is_part(self) -> bool:
        """Whether it is about one part."""
        return self.part_id is not None


@dataclass(frozen=True, slots=True)
class QueueFinding:
    """A finding in the queue with its product and route. ``stale_case``: being re-assessed, cannot be signed now."""

    row: FindingRow
    product_code: str
    product_name: str
    case_id: int
    route: str
    stale_case: bool

    @property
    def standing(self) -> Standing:
        """How it stands."""
        return Standing(self.row.standing)


def queue(session: Session, view: QueueView, offset: int = 0, limit: int = 50) -> tuple[list[Group], int]:
    """The groups that ``view`` asks for, gravest and biggest first, and how many there are."""
    cases, group, gravity = _cases(view), _group(), func.max(_gravity())
    placements = func.sum(FindingRow.placements)
    columns: tuple[Any, ...] = (
        group.label("key"),
        func.min(FindingRow.id),
        gravity,
        func.count(col(FindingRow.id)),
        func.count(func.distinct(cases.c.product_id)),
        placements,
        func.count().over(),
    )
    grouped = _counted(select(*columns), cases, view).group_by(group)
    page = grouped.order_by(gravity.desc(), placements.desc(), group).offset(offset).limit(limit)
    rows = rows_of(session, page)
    if rows or offset == 0:
        total = rows[0][-1] if rows else 0
    else:
        total = rows_of(session, select(func.count()).select_from(grouped.subquery()))[0][0]
    first = _first(session, [row[1] for row in rows])
    return [_made_group(row, first[row[1]]) for row in rows], total


def counts(session: Session, view: QueueView) -> dict[str, int]:
    """Verdict -> how many findings ``view`` holds, whatever verdict it asks for; ``total`` is their sum."""
    everything = replace(view, verdict="")
    query = _counted(select(col(FindingRow.verdict), func.count()), _cases(everything), everything)
    found = dict(rows_of(session, query.group_by(col(FindingRow.verdict))))
    by_verdict = {verdict: int(found.get(verdict, 0)) for verdict in OPEN_VERDICTS}
    return by_verdict | {"total": sum(by_verdict.values())}


def findings_of_group(session: Session, key: str, view: QueueView, limit: int = FINDINGS_A_GROUP) -> list[QueueFinding]:
    """The findings of one group, gravest first, by product: at most ``limit``."""
    query = _joined(select(*_FINDING)).where(_which_findings(view), _which_cases(view), _in_group(key))
    order = (_gravity().desc(), col(ProductRow.code_key), col(FindingRow.position))
    return [_finding(*row) for row in rows_of(session, query.order_by(*order).limit(limit))]


def all_shown(session: Session, view: QueueView, limit: int) -> list[tuple[int, str]]:
    """Id and fingerprint of all that ``view`` holds ("all 412 matching"), at most ``limit``."""
    query = _counted(select(col(FindingRow.id), col(FindingRow.fingerprint)), _cases(view), view)
    return [(found, mark) for found, mark in rows_of(session, query.order_by(col(FindingRow.id)).limit(limit))]


def finding_in_queue(session: Session, finding_id: int) -> tuple[QueueFinding, AssessmentCaseRow]:
    """One finding with its case, whatever its standing; NotFoundError when it is gone."""
    rows = rows_of(session, _joined(select(*_FINDING, AssessmentCaseRow)).where(col(FindingRow.id) == finding_id))
    if not rows:
        raise NotFoundError("There is no such finding any more: what it was about may have changed.")
    *values, case_row = rows[0]
    return _finding(*values), case_row


_STALE = func.coalesce(AssessmentCaseRow.assessed_seq, 0) != col(AssessmentCaseRow.input_seq)
_FINDING = (FindingRow, col(ProductRow.code), col(ProductRow.name), col(RouteRow.name), _STALE)


def _finding(row: FindingRow, code: str, name: str, route: str, stale: bool) -> QueueFinding:
    return QueueFinding(row, code, name, row.case_id, route, bool(stale))


def _joined(query: Any) -> Any:
    return (
        query.select_from(FindingRow)
        .join(AssessmentCaseRow, col(AssessmentCaseRow.id) == col(FindingRow.case_id))
        .join(RouteRow, col(RouteRow.id) == col(AssessmentCaseRow.route_id))
        .join(ProductRow, col(ProductRow.id) == col(AssessmentCaseRow.product_id))
        .outerjoin(PersonRow, col(PersonRow.id) == col(ProductRow.owner_id))
    )


def _group() -> ColumnElement[Any]:
    subject, check = col(FindingRow.subject), col(FindingRow.check)
    return case((subject.startswith(PART_SUBJECT), subject), else_=literal(_CHECK) + check)


def _gravity() -> ColumnElement[int]:
    verdict = col(FindingRow.verdict)
    return case((verdict == "blocks", 3), (verdict == "change", 2), else_=1)


def _in_group(key: str) -> ColumnElement[bool]:
    if key.startswith(PART_SUBJECT):
        return col(FindingRow.subject) == key
    return and_(col(FindingRow.check) == key.removeprefix(_CHECK), ~col(FindingRow.subject).startswith(PART_SUBJECT))


def _cases(view: QueueView) -> CTE:
    """``case_id`` and ``product_id`` of the candidates the view is about, worked out once."""
    query: Any = (
        select(col(AssessmentCaseRow.id).label("case_id"), col(ProductRow.id).label("product_id"))
        .join(RouteRow, col(RouteRow.id) == col(AssessmentCaseRow.route_id))
        .join(ProductRow, col(ProductRow.id) == col(AssessmentCaseRow.product_id))
        .outerjoin(PersonRow, col(PersonRow.id) == col(ProductRow.owner_id))
        .where(_which_cases(view))
    )
    cte: CTE = query.cte("cases").prefix_with("MATERIALIZED")
    return cte


def _counted(query: Any, cases: CTE, view: QueueView) -> Any:
    """Over the findings of the view: from the index of the queue, no row is read unless words are searched."""
    joined = query.select_from(FindingRow).join(cases, cases.c.case_id == col(FindingRow.case_id))
    if view.search.strip():
        joined = joined.join(ProductRow, col(ProductRow.id) == cases.c.product_id)
    return joined.where(_which_findings(view))


def _which_cases(view: QueueView) -> ColumnElement[bool]:
    product = ProductRow
    which: list[ColumnElement[bool]] = [
        ~col(RouteRow.is_today),
        col(AssessmentCaseRow.retired_at).is_(None),
        col(product.archived_at).is_(None),
    ]
    exact = (
        (product.code_key, code_key(view.product)),
        (product.label, view.label),
        (product.customer, view.customer),
        (PersonRow.login, view.owner),
    )
    return and_(*which, *(col(column) == wanted for column, wanted in exact if wanted))


def _which_findings(view: QueueView) -> ColumnElement[bool]:
    finding, product = FindingRow, ProductRow
    which: list[ColumnElement[bool]] = [
        col(finding.standing).in_([standing.value for standing in _SHOWN[view.show]]),
        col(finding.verdict).in_([view.verdict] if view.verdict else OPEN_VERDICTS),
    ]
    if view.check:
        which.append(col(finding.check) == view.check)
    if not view.as_today:
        which.append(~col(finding.same_as_today))
    if text := " ".join(view.search.split()):
        columns = (finding.title, product.code, product.name)
        which.append(or_(*(col(column).icontains(text, autoescape=True) for column in columns)))
    return and_(*which)


def _first(session: Session, ids: Sequence[int]) -> dict[int, tuple[str, list[list[int]], str]]:
    """Finding id -> title, parts, check."""
    columns = (FindingRow.id, FindingRow.title, FindingRow.parts, FindingRow.check)
    query = select(*(col(column) for column in columns)).where(col(FindingRow.id).in_(ids))
    return {row[0]: (row[1], row[2], row[3]) for row in rows_of(session, query)}


def _made_group(row: Any, first: tuple[str, list[list[int]], str]) -> Group:
    key, _, gravity, findings, products, placements, _ = row
    title, parts, check = first
    is_part = key.startswith(PART_SUBJECT)
    known = registry().get(check)
    return Group(
        key=key,
        title=title if is_part else known.title if known else check,
        part_id=parts[0][0] if is_part and parts else None,
        verdict=OPEN_VERDICTS[3 - gravity],
        findings=findings,
        products=products,
        placements=int(placements or 0),
    )
