"""What stands in the way of most products: checks and parts with open findings, from stored standings alone."""

from dataclasses import dataclass

from sqlalchemy import CTE, Subquery, case, func, select
from sqlmodel import Session, col

from webapp.checks.findings import PART_SUBJECT
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.people import PersonRow
from webapp.store.portfolio import PortfolioView, leading, rows_of, which_products
from webapp.store.products import ProductRow
from webapp.trade.decisions import OPEN


@dataclass(frozen=True, slots=True)
class Blocker:
    """A check with open findings: on how many products and placements. ``check`` is its id."""

    check: str
    products: int
    findings: int
    placements: int


@dataclass(frozen=True, slots=True)
class BlockingPart:
    """A part with open findings that block.

    ``products``: how many it blocks; ``freed``: on how many nothing else blocks, so that replacing it frees them.
    """

    part_key: str
    title: str
    products: int
    freed: int
    placements: int


def frequent_blockers(session: Session, view: PortfolioView, verdict: str = "blocks", limit: int = 10) -> list[Blocker]:
    """The checks with open findings of ``verdict`` on most products of ``view``."""
    chosen, by_case = _chosen(view), _open_by_case(FindingRow.check, verdict)
    check, products = by_case.c.what, func.count()
    query = (
        select(check, products, func.sum(by_case.c.findings), func.sum(by_case.c.all_placements))
        .select_from(by_case)
        .join(chosen, chosen.c.case_id == by_case.c.case_id)
        .group_by(check)
        .order_by(products.desc(), check)
        .limit(limit)
    )
    return [Blocker(name, count, int(found), int(places)) for name, count, found, places in rows_of(session, query)]


def blocking_parts(session: Session, view: PortfolioView, limit: int = 10) -> list[BlockingPart]:
    """The parts with open blocking findings on most products of ``view``, with what replacing them frees."""
    chosen, by_case = _chosen(view), _open_by_case(FindingRow.subject, "blocks")
    alone = by_case.c.findings == chosen.c.open_blocks
    subject, products, freed = by_case.c.what, func.count(), func.sum(case((alone, 1), else_=0))
    query = (
        select(subject, func.min(by_case.c.first_id), products, freed, func.sum(by_case.c.placements))
        .select_from(by_case)
        .join(chosen, chosen.c.case_id == by_case.c.case_id)
        .where(subject.startswith(PART_SUBJECT))
        .group_by(subject)
        .order_by(products.desc(), freed.desc(), subject)
        .limit(limit)
    )
    rows = rows_of(session, query)
    ids = [first_id for _, first_id, *_ in rows]
    named = select(col(FindingRow.id), col(FindingRow.title)).where(col(FindingRow.id).in_(ids))
    titles = dict(rows_of(session, named))
    return [
        BlockingPart(subject.removeprefix(PART_SUBJECT), titles[first_id], count, int(free), int(places))
        for subject, first_id, count, free, places in rows
    ]


def _chosen(view: PortfolioView) -> CTE:
    """``case_id`` and ``open_blocks`` of the leading cases of the view's products, worked out once."""
    lead = leading()
    query = (
        select(lead.c.case_id, lead.c.open_blocks)
        .join(ProductRow, col(ProductRow.id) == lead.c.product_id)
        .outerjoin(AssessmentCaseRow, col(AssessmentCaseRow.id) == lead.c.case_id)
        .outerjoin(PersonRow, col(PersonRow.id) == col(ProductRow.owner_id))
        .where(which_products(view, lead))
    )
    return query.cte("chosen").prefix_with("MATERIALIZED")


def _open_by_case(what: str, verdict: str) -> Subquery:
    """Open findings of ``verdict`` by case and column ``what``: all from the index of the queue, no row is read."""
    finding = FindingRow
    return (
        select(
            col(finding.case_id).label("case_id"),
            col(what).label("what"),
            func.min(finding.id).label("first_id"),
            func.count().label("findings"),
            func.max(finding.placements).label("placements"),
            func.sum(finding.placements).label("all_placements"),
        )
        .where(col(finding.verdict) == verdict, col(finding.standing).in_([standing.value for standing in OPEN]))
        .group_by(col(finding.case_id), col(what))
        .subquery()
    )
