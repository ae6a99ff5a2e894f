"""All products at a glance, from the counters stored with their cases; and the daily snapshot for the trend.

A product's *leading* case stands for it: its first candidate route, or today's where there is no candidate yet.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Any, ClassVar

from sqlalchemy import (
    CheckConstraint,
    ColumnElement,
    Date,
    ForeignKey,
    SQLColumnExpression,
    Subquery,
    and_,
    case,
    func,
    or_,
    select,
)
from sqlmodel import Field, Session, SQLModel, col

from webapp.checks.findings import PART_SUBJECT
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.people import PersonRow
from webapp.store.products import ProductRow
from webapp.store.setups import RouteRow
from webapp.trade.decisions import OPEN
from webapp.trade.products import code_key
from webapp.trade.readiness import Counters, Gate

"""What the subject of a finding about one part begins with; its key follows."""
_OPEN = [standing.value for standing in OPEN]


class PortfolioDayRow(SQLModel, table=True):
    """How a product stood at the first look of a day (UTC): ``placements_clear`` is its readiness, a share."""

    __tablename__: ClassVar[str] = "portfolio_day"
    __table_args__ = (
        CheckConstraint("open_blocks >= 0 AND open_change >= 0 AND open_prove >= 0", name="counts_not_negative"),
        CheckConstraint("readiness BETWEEN 0 AND 1", name="readiness_share"),
    )

    day: date = Field(sa_type=Date, primary_key=True)
    product_id: int = Field(sa_column_args=[ForeignKey("product.id")], primary_key=True)
    gate: str = Field(max_length=12)
    readiness: float | None = None
    open_blocks: int
    open_change: int
    open_prove: int


class Sort(StrEnum):
    """Orders of the portfolio."""

    CODE = "code"
    NAME = "name"
    READINESS = "readiness"
    BLOCKS = "blocks"
    CHANGE = "change"
    PROVE = "prove"
    WAITING = "waiting"
    OWNER = "owner"


@dataclass(frozen=True, slots=True)
class PortfolioView:
    """Which products: ``search`` in code or name; ``owner`` a login; "" for all. ``check`` / ``part`` (a part's key):
    with such an open finding that blocks or must change. ``sort`` with "-" before it goes downwards."""

    search: str = ""
    label: str = ""
    customer: str = ""
    owner: str = ""
    gate: str = ""
    check: str = ""
    part: str = ""
    sort: str = "code"


@dataclass(frozen=True, slots=True)
class PortfolioLine:
    """One product. ``case_id``, ``route`` None: it has no route yet. ``stale``: being re-assessed."""

    product_id: int
    code: str
    name: str
    label: str
    customer: str
    owner: str
    version: int
    case_id: int | None
    route: str | None
    counters: Counters

    @property
    def gate(self) -> Gate:
        """The gate passed."""
        return self.counters.gate

    @property
    def next(self) -> str:
        """What is next, in words."""
        return self.counters.next_step.words

    @property
    def who(self) -> str:
        """Whose turn it is: a role, or "" where nothing is to be done."""
        return self.counters.next_step.who


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums over the products of a view."""

    products: int
    screened: int
    resolved: int
    open_blocks: int
    open_change: int
    open_prove: int
    waiting: int
    readiness: float | None


def leading() -> Subquery:
    """``case_id``, ``product_id``, ``route``, ``is_today``, ``open_blocks`` of the leading case of every product that
    has one."""
    order = (col(RouteRow.is_today), col(RouteRow.position), col(RouteRow.id))
    ranked = (
        select(
            col(AssessmentCaseRow.id).label("case_id"),
            col(AssessmentCaseRow.product_id).label("product_id"),
            col(RouteRow.name).label("route"),
            col(RouteRow.is_today).label("is_today"),
            col(AssessmentCaseRow.open_blocks).label("open_blocks"),
            func.row_number().over(partition_by=col(AssessmentCaseRow.product_id), order_by=order).label("rank"),
        )
        .join(RouteRow, col(RouteRow.id) == col(AssessmentCaseRow.route_id))
        .where(col(AssessmentCaseRow.retired_at).is_(None))
        .subquery()
    )
    return select(ranked).where(ranked.c.rank == 1).subquery("leading")


def rows_of(session: Session, query: Any) -> list[Any]:
    """The rows of a query whose columns the type checker cannot follow."""
    return list(session.exec(query))


def find_products(
    session: Session, view: PortfolioView, offset: int = 0, limit: int | None = None
) -> list[PortfolioLine]:
    """The lines that ``view`` asks for, from ``offset`` on; ``totals`` says how many there are."""
    lead = leading()
    columns = (ProductRow, AssessmentCaseRow, lead.c.route, lead.c.is_today, col(PersonRow.name))
    query = _joined(select(*columns), lead).where(which_products(view, lead)).order_by(*_order(view.sort))
    return [_line(*row) for row in rows_of(session, query.offset(offset).limit(limit))]


def totals(session: Session, view: PortfolioView) -> Totals:
    """Sums over what ``view`` asks for."""
    lead, row = leading(), AssessmentCaseRow
    columns: tuple[Any, ...] = (
        func.count(col(ProductRow.id)),
        func.sum(case((_at_gate(Gate.SCREENED, lead) | _at_gate(Gate.RESOLVED, lead), 1), else_=0)),
        func.sum(case((_at_gate(Gate.RESOLVED, lead), 1), else_=0)),
        func.sum(row.open_blocks),
        func.sum(row.open_change),
        func.sum(row.open_prove),
        func.sum(row.waiting),
        func.avg(row.readiness),
    )
    found = rows_of(session, _joined(select(*columns), lead).where(which_products(view, lead)))[0]
    products, screened, resolved, blocks, change, prove, waiting = (int(count or 0) for count in found[:-1])
    return Totals(products, screened, resolved, blocks, change, prove, waiting, _share(found[-1]))


def _share(value: Any) -> float | None:
    return None if value is None else float(value)


def choices(session: Session) -> dict[str, list[tuple[str, str]]]:
    """What the filters offer: ``label``, ``customer`` and ``owner`` -> (value, words)."""
    found: dict[str, list[tuple[str, str]]] = {}
    for name, column in (("label", col(ProductRow.label)), ("customer", col(ProductRow.customer))):
        query = select(column).where(column != "", col(ProductRow.archived_at).is_(None)).distinct().order_by(column)
        found[name] = [(value, value) for (value,) in rows_of(session, query)]
    owned = select(col(ProductRow.owner_id)).where(col(ProductRow.archived_at).is_(None))
    owners = (
        select(col(PersonRow.login), col(PersonRow.name))
        .where(col(PersonRow.id).in_(owned))
        .order_by(col(PersonRow.name))
    )
    found["owner"] = [(login, name) for login, name in rows_of(session, owners)]
    return found


def _joined(query: Any, lead: Subquery) -> Any:
    return (
        query.select_from(ProductRow)
        .outerjoin(lead, lead.c.product_id == ProductRow.id)
        .outerjoin(AssessmentCaseRow, col(AssessmentCaseRow.id) == lead.c.case_id)
        .outerjoin(PersonRow, col(PersonRow.id) == col(ProductRow.owner_id))
    )


def which_products(view: PortfolioView, lead: Subquery) -> ColumnElement[bool]:
    """The condition of ``view`` on products joined with person and leading case."""
    which: list[ColumnElement[bool]] = [col(ProductRow.archived_at).is_(None)]
    if view.search:
        holds = col(ProductRow.code_key).contains(code_key(view.search), autoescape=True)
        which.append(or_(holds, col(ProductRow.name).icontains(view.search, autoescape=True)))
    exact = ((ProductRow.label, view.label), (ProductRow.customer, view.customer), (PersonRow.login, view.owner))
    which += [col(column) == wanted for column, wanted in exact if wanted]
    if view.gate:
        which.append(_at_gate(Gate(view.gate), lead))
    subject = ((FindingRow.check, view.check), (FindingRow.subject, PART_SUBJECT + view.part if view.part else ""))
    for column, wanted in subject:
        if wanted:
            found = select(col(FindingRow.case_id)).where(
                col(column) == wanted,
                col(FindingRow.standing).in_(_OPEN),
                col(FindingRow.verdict).in_(["blocks", "change"]),
            )
            which.append(lead.c.case_id.in_(found))
    return and_(*which)


def _at_gate(gate: Gate, lead: Subquery) -> ColumnElement[bool]:
    """The same as ``Counters.gate``, for the database."""
    row = AssessmentCaseRow
    screened = and_(
        lead.c.case_id.is_not(None), ~func.coalesce(lead.c.is_today, True), col(row.assessed_at).is_not(None)
    )
    nothing_open = and_(*(col(count) == 0 for count in (row.open_blocks, row.open_change, row.open_prove)))
    resolved = and_(screened, nothing_open, col(row.assessed_seq) == col(row.input_seq))
    if gate is Gate.RESOLVED:
        return resolved
    # A comparison with null is neither true nor false, so "not" is written with a case.
    is_resolved = case((resolved, 1), else_=0) == 1
    return and_(screened, ~is_resolved) if gate is Gate.SCREENED else case((screened, 1), else_=0) == 0


_SORTS: dict[Sort, SQLColumnExpression[Any]] = {
    Sort.CODE: col(ProductRow.code_key),
    Sort.NAME: func.lower(ProductRow.name),
    Sort.READINESS: col(AssessmentCaseRow.readiness),
    Sort.BLOCKS: col(AssessmentCaseRow.open_blocks),
    Sort.CHANGE: col(AssessmentCaseRow.open_change),
    Sort.PROVE: col(AssessmentCaseRow.open_prove),
    Sort.WAITING: col(AssessmentCaseRow.waiting),
    Sort.OWNER: func.lower(PersonRow.name),
}


def _order(sort: str) -> list[SQLColumnExpression[Any]]:
    by = _SORTS[Sort(sort.removeprefix("-"))]
    return [by.is_(None), by.desc() if sort.startswith("-") else by.asc(), col(ProductRow.code_key)]


def _line(
    product: ProductRow, row: AssessmentCaseRow | None, route: str | None, is_today: bool | None, owner: str | None
) -> PortfolioLine:
    return PortfolioLine(
        product_id=product.id or 0,
        code=product.code,
        name=product.name,
        label=product.label,
        customer=product.customer,
        owner=owner or "",
        version=product.version,
        case_id=row.id if row else None,
        route=route,
        counters=counters_of(row, is_candidate=is_today is False),
    )


def counters_of(row: AssessmentCaseRow | None, *, is_candidate: bool) -> Counters:
    """The stored counters of a case; None for a product without a route."""
    if row is None:
        return Counters()
    return Counters(
        has_route=True,
        is_candidate=is_candidate,
        assessed=row.assessed_at is not None,
        stale=row.assessed_seq != row.input_seq,
        readiness=row.readiness,
        open_blocks=row.open_blocks,
        open_change=row.open_change,
        open_prove=row.open_prove,
        open_board_step_product=row.open_board_step_product,
        waiting=row.waiting,
        reopened=row.reopened,
        wanting=row.wanting,
        planned=row.planned,
        refused=row.refused,
    )


@dataclass(frozen=True, slots=True)
class TrendDay:
    """The portfolio on one day."""

    day: date
    products: int
    resolved: int
    open_blocks: int
    open_change: int
    open_prove: int
    readiness: float | None


def trend(session: Session, since: date, points: int = 30) -> list[TrendDay]:
    """Sums of the snapshots from ``since`` to the last one, the oldest first; of many days about ``points``, evenly."""
    # One by one, so that each is looked up in the index instead of among all days there are.
    first, last = (
        rows_of(session, select(end(PortfolioDayRow.day)).where(col(PortfolioDayRow.day) >= since))[0][0]
        for end in (func.min, func.max)
    )
    if last is None:
        return []
    # A day has a row a product, so days that would not be told apart in a curve are not even read.
    step = max(1, -(-(last - first).days // points))
    days = [last - timedelta(days=back) for back in range(0, (last - first).days + 1, step)]
    row = PortfolioDayRow
    columns: tuple[Any, ...] = (
        row.day,
        func.count(),
        func.sum(case((col(row.gate) == Gate.RESOLVED.value, 1), else_=0)),
        func.sum(row.open_blocks),
        func.sum(row.open_change),
        func.sum(row.open_prove),
        func.avg(row.readiness),
    )
    query = select(*columns).where(col(row.day).in_(days)).group_by(col(row.day)).order_by(col(row.day))
    return [
        TrendDay(day, products, int(resolved), int(blocks), int(change), int(prove), _share(mean))
        for day, products, resolved, blocks, change, prove, mean in rows_of(session, query)
    ]


def has_day(session: Session, day: date) -> bool:
    """Whether there is a snapshot of that day."""
    return bool(rows_of(session, select(col(PortfolioDayRow.day)).where(col(PortfolioDayRow.day) == day).limit(1)))


def cases_run_out(session: Session, day: date) -> list[int]:
    """Live cases with an acceptance that ran out before ``day``."""
    row = AssessmentCaseRow
    query = select(col(row.id)).where(col(row.expires_on) < day, col(row.retired_at).is_(None)).order_by(col(row.id))
    return [case_id for (case_id,) in rows_of(session, query)]
