"""Tables of decisions and the findings they cover."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import ClassVar

from sqlalchemy import JSON, CheckConstraint, Date, ForeignKey, Index, Text
from sqlmodel import Field, Session, SQLModel, col, select

from webapp.store.base import UtcDateTime
from webapp.store.cases import AssessmentCaseRow
from webapp.store.people import PersonRow
from webapp.store.products import ProductRow
from webapp.trade.decisions import CHANGE_LENGTH, MOST_LOTS, REASON_LENGTH, DecisionKind

_KINDS = ", ".join(f"'{kind}'" for kind in DecisionKind)


class DecisionRow(SQLModel, table=True):
    """What a reviewer signed. ``change`` is named by ``resolved``; ``expires_on`` is the last day of an acceptance,
    ``lot_limit`` for how many lots it holds (people keep to it, the program does not know lots).

    ``taken_over_from``: the decision on the same inputs elsewhere that it repeats.
    """

    __tablename__: ClassVar[str] = "decision"
    __table_args__ = (
        CheckConstraint(f"kind IN ({_KINDS})", name="kind_known"),
        CheckConstraint(f"length(reason) BETWEEN {REASON_LENGTH[0]} AND {REASON_LENGTH[1]}", name="reason_length"),
        CheckConstraint("(kind = 'resolved') = (length(change) > 0)", name="resolved_names_change"),
        CheckConstraint(
            "kind = 'accept' OR (expires_on IS NULL AND lot_limit IS NULL)", name="only_acceptance_has_limits"
        ),
        CheckConstraint(f"lot_limit BETWEEN 1 AND {MOST_LOTS}", name="lot_limit_plausible"),
        CheckConstraint("(withdrawn_at IS NULL) = (withdrawn_by IS NULL)", name="withdrawn_whole"),
    )

    id: int | None = Field(default=None, primary_key=True)
    kind: str = Field(max_length=10)
    reason: str = Field(max_length=REASON_LENGTH[1])
    change: str = Field(default="", max_length=CHANGE_LENGTH)
    expires_on: date | None = Field(default=None, sa_type=Date)
    lot_limit: int | None = None
    taken_over_from: int | None = Field(default=None, sa_column_args=[ForeignKey("decision.id")])
    signed_by: int = Field(sa_column_args=[ForeignKey("person.id")], index=True)
    signed_at: datetime = Field(sa_type=UtcDateTime)
    withdrawn_by: int | None = Field(default=None, sa_column_args=[ForeignKey("person.id")])
    withdrawn_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


class DecisionCoverRow(SQLModel, table=True):
    """One finding that a decision covers, as it was when signed.

    It holds for the route: a later BOM revision keeps it as long as key, fingerprint and verdict are the same.
    ``done_at``: the finding is gone, so the planned change has been made.
    """

    __tablename__: ClassVar[str] = "decision_cover"
    __table_args__ = (
        Index(None, "route_id", "key"),
        Index(None, "fingerprint"),
        CheckConstraint("length(fingerprint) = 64", name="fingerprint_length"),
    )

    decision_id: int = Field(primary_key=True, sa_column_args=[ForeignKey("decision.id")])
    case_id: int = Field(primary_key=True, sa_column_args=[ForeignKey("assessment_case.id")])
    key: str = Field(sa_type=Text, primary_key=True)
    route_id: int = Field(sa_column_args=[ForeignKey("route.id")])
    check: str = Field(max_length=40)
    subject: str = Field(sa_type=Text)
    title: str = Field(sa_type=Text)
    verdict: str = Field(max_length=10)
    sentence: str = Field(sa_type=Text)
    fingerprint: str = Field(max_length=64)
    inputs: dict[str, str] = Field(sa_type=JSON)
    done_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


def covers_of_route(session: Session, route_id: int) -> list[tuple[DecisionRow, DecisionCoverRow]]:
    """What is decided on findings of a route and not withdrawn or done, the oldest first."""
    query = (
        select(DecisionRow, DecisionCoverRow)
        .join(DecisionCoverRow, col(DecisionCoverRow.decision_id) == col(DecisionRow.id))
        .where(
            DecisionCoverRow.route_id == route_id,
            col(DecisionRow.withdrawn_at).is_(None),
            col(DecisionCoverRow.done_at).is_(None),
        )
        .order_by(col(DecisionRow.id))
    )
    return list(session.exec(query))


@dataclass(frozen=True, slots=True)
class DecidedElsewhere:
    """A decision on certain inputs, with the finding it covers, who signed it and the product's code."""

    decision: DecisionRow
    cover: DecisionCoverRow
    by: str
    product_code: str


def decided_on_inputs(session: Session, fingerprints: Collection[str]) -> list[DecidedElsewhere]:
    """Decisions that cover findings with one of these fingerprints and are not withdrawn or done, the newest first."""
    query = (
        select(DecisionRow, DecisionCoverRow, PersonRow.name, ProductRow.code)
        .join(DecisionCoverRow, col(DecisionCoverRow.decision_id) == col(DecisionRow.id))
        .join(PersonRow, col(PersonRow.id) == col(DecisionRow.signed_by))
        .join(AssessmentCaseRow, col(AssessmentCaseRow.id) == col(DecisionCoverRow.case_id))
        .join(ProductRow, col(ProductRow.id) == col(AssessmentCaseRow.product_id))
        .where(
            col(DecisionCoverRow.fingerprint).in_(fingerprints),
            col(DecisionRow.withdrawn_at).is_(None),
            col(DecisionCoverRow.done_at).is_(None),
        )
        .order_by(col(DecisionRow.id).desc(), col(DecisionCoverRow.case_id))
    )
    return [DecidedElsewhere(*row) for row in session.exec(query)]


def covers(session: Session, decision_id: int) -> list[DecisionCoverRow]:
    """The findings a decision covers."""
    query = select(DecisionCoverRow).where(DecisionCoverRow.decision_id == decision_id)
    return list(session.exec(query.order_by(col(DecisionCoverRow.case_id), DecisionCoverRow.key)))
