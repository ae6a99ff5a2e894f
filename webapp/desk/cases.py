"""The cases of a product: its newest revision on each of its routes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, update
from sqlmodel import Session, col, select

from webapp.errors import NotFoundError
from webapp.store.base import utc_now
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.products import BomRevisionRow, ProductRow
from webapp.store.setups import RouteRow
from webapp.trade.decisions import Standing


@dataclass(frozen=True, slots=True)
class CaseEntry:
    """A case with its route's name and the result of its last assessment.

    ``stale``: something it uses has changed since ("being re-assessed"); ``row.assessed_at`` None: never assessed.
    """

    row: AssessmentCaseRow
    name: str
    is_today: bool
    revision: int

    @property
    def id(self) -> int:
        """The case's id."""
        return self.row.id or 0

    @property
    def stale(self) -> bool:
        """Whether the result shown is of an earlier state."""
        return self.row.assessed_seq != self.row.input_seq

    @property
    def assessed_at(self) -> datetime | None:
        """When it was last assessed."""
        return self.row.assessed_at


def cases_of(session: Session, product_id: int) -> list[CaseEntry]:
    """The live cases of a product: today's first, then the candidates."""
    query = (
        select(AssessmentCaseRow, RouteRow, BomRevisionRow.number)
        .join(RouteRow, col(RouteRow.id) == col(AssessmentCaseRow.route_id))
        .join(BomRevisionRow, col(BomRevisionRow.id) == col(AssessmentCaseRow.revision_id))
        .where(AssessmentCaseRow.product_id == product_id, col(AssessmentCaseRow.retired_at).is_(None))
        .order_by(col(RouteRow.is_today).desc(), col(RouteRow.position), col(RouteRow.id))
    )
    return [CaseEntry(row, route.name, route.is_today, number) for row, route, number in session.exec(query)]


def find_case(session: Session, product_id: int, name: str = "") -> CaseEntry:
    """The case of the route called ``name``; without a name the first candidate, else today's.

    NotFoundError (field ``case``) names those there are.
    """
    entries = cases_of(session, product_id)
    if name.strip():
        chosen = [entry for entry in entries if entry.name.casefold() == " ".join(name.split()).casefold()]
    else:
        chosen = [entry for entry in entries if not entry.is_today] or entries
    if chosen:
        return chosen[0]
    names = ", ".join(f'"{entry.name}"' for entry in entries)
    what = f'There is no case "{name}"; there are: {names}.' if names else "The product has no route yet."
    raise NotFoundError(what, field="case")


def open_cases(session: Session, product_id: int) -> None:
    """Make the cases of the newest revision on the routes there are; retire those of others.

    Called whenever a revision is committed or a route comes or goes.
    """
    newest = session.exec(
        select(BomRevisionRow.id)
        .where(BomRevisionRow.product_id == product_id)
        .order_by(col(BomRevisionRow.number).desc())
        .limit(1)
    ).first()
    routes = session.exec(
        select(RouteRow.id).where(RouteRow.product_id == product_id, col(RouteRow.archived_at).is_(None))
    ).all()
    existing = session.exec(select(AssessmentCaseRow).where(AssessmentCaseRow.product_id == product_id)).all()
    wanted = {(newest, route_id) for route_id in routes if newest is not None and route_id is not None}
    for row in existing:
        if (row.revision_id, row.route_id) not in wanted and row.retired_at is None:
            row.retired_at = utc_now()
            # What nobody decides on any more is not passed over by queue and portfolio.
            gone = update(FindingRow).where(col(FindingRow.case_id) == row.id).values(standing=Standing.NONE.value)
            session.connection().execute(gone)
    there = {(row.revision_id, row.route_id) for row in existing}
    session.add_all(
        AssessmentCaseRow(product_id=product_id, revision_id=revision_id, route_id=route_id)
        for revision_id, route_id in wanted - there
    )
    session.flush()


def findings_of(session: Session, case_id: int) -> list[FindingRow]:
    """The stored findings of a case, gravest first."""
    return list(
        session.exec(select(FindingRow).where(FindingRow.case_id == case_id).order_by(col(FindingRow.position)))
    )


def finding_by_id(session: Session, finding_id: int) -> FindingRow:
    """One finding; NotFoundError when it is gone (its inputs may have changed)."""
    row = session.get(FindingRow, finding_id)
    if row is None:
        raise NotFoundError("There is no such finding any more: what it was about may have changed.")
    return row


def product_row(session: Session, product_id: int) -> ProductRow:
    """The product; NotFoundError when there is none."""
    row = session.get(ProductRow, product_id)
    if row is None:
        raise NotFoundError("There is no such product.")
    return row


def stale_cases(session: Session, limit: int, *, engine: str) -> Sequence[int]:
    """Ids of live cases to assess: an input changed, or they were assessed by other checks than ``engine``."""
    query = (
        select(AssessmentCaseRow.id)
        .where(
            col(AssessmentCaseRow.retired_at).is_(None),
            (func.coalesce(AssessmentCaseRow.assessed_seq, 0) != col(AssessmentCaseRow.input_seq))
            | (col(AssessmentCaseRow.engine) != engine),
        )
        .order_by(col(AssessmentCaseRow.id))
        .limit(limit)
    )
    return [case_id for case_id in session.exec(query) if case_id is not None]
