"""What stands in the way of most products: checks and parts with open findings, from stored standings alone."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Subquery, case, func, select
from sqlmodel import Session, col

from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.people import PersonRow
from webapp.store.portfolio import PART, PortfolioView, leading, rows_of, which_products
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
    lead = leading()
    products = func.count(func.distinct(lead.c.product_id))
    query = (
        _open_findings(
            select(col(FindingRow.check), products, func.count(col(FindingRow.id)), func.sum(FindingRow.placements)),
            lead,
        )
        .where(FindingRow.verdict == verdict, which_products(view, lead))
        .group_by(col(FindingRow.check))
        .order_by(products.desc(), col(FindingRow.check))
        .limit(limit)
    )
    return [
        Blocker(check, count, findings, int(places or 0)) for check, count, findings, places in rows_of(session, query)
    ]


def blocking_parts(session: Session, view: PortfolioView, limit: int = 10) -> list[BlockingPart]:
    """The parts with open blocking findings on most products of ``view``, with what replacing them frees."""
    lead = leading()
    by_case = (
        _open_findings(
            select(
                col(FindingRow.subject).label("subject"),
                func.min(FindingRow.title).label("title"),
                col(FindingRow.case_id).label("case_id"),
                func.count(col(FindingRow.id)).label("findings"),
                func.max(FindingRow.placements).label("placements"),
            ),
            lead,
        )
        .where(FindingRow.verdict == "blocks", col(FindingRow.subject).startswith(PART), which_products(view, lead))
        .group_by(col(FindingRow.subject), col(FindingRow.case_id))
        .subquery()
    )
    alone = by_case.c.findings == col(AssessmentCaseRow.open_blocks)
    products, freed = func.count(), func.sum(case((alone, 1), else_=0))
    query = (
        select(by_case.c.subject, func.min(by_case.c.title), products, freed, func.sum(by_case.c.placements))
        .select_from(by_case)
        .join(AssessmentCaseRow, col(AssessmentCaseRow.id) == by_case.c.case_id)
        .group_by(by_case.c.subject)
        .order_by(products.desc(), freed.desc(), by_case.c.subject)
        .limit(limit)
    )
    return [
        BlockingPart(subject.removeprefix(PART), title, count, int(free), int(places))
        for subject, title, count, free, places in rows_of(session, query)
    ]


def _open_findings(query: Any, lead: Subquery) -> Any:
    return (
        query.select_from(FindingRow)
        .join(lead, lead.c.case_id == col(FindingRow.case_id))
        .join(AssessmentCaseRow, col(AssessmentCaseRow.id) == lead.c.case_id)
        .join(ProductRow, col(ProductRow.id) == lead.c.product_id)
        .outerjoin(PersonRow, col(PersonRow.id) == col(ProductRow.owner_id))
        .where(col(FindingRow.standing).in_([standing.value for standing in OPEN]))
    )
