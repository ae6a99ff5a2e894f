"""Every edit makes the cases that use the thing stale, in the same transaction: their ``input_seq`` goes up.

Assessment follows after the commit: at once for the edited product (``assessing.reassess``), by the sweep for others.
"""

from collections.abc import Iterable

from sqlalchemy import ColumnElement, update
from sqlmodel import Session, col, select

from webapp.store import part_reads
from webapp.store.cases import AssessmentCaseRow
from webapp.store.parts import LinePartRow, PartRow
from webapp.store.products import BomLineRow
from webapp.store.setups import RouteRow, RouteStepRow


def part_changed(session: Session, part_ids: Iterable[int]) -> None:
    """Something was stated of these parts, or a list says more of them."""
    for some in part_reads.chunks(sorted(set(part_ids))):
        _bump(session, _using(col(LinePartRow.part_id).in_(some)))


def maker_changed(session: Session, maker_key: str) -> None:
    """Something was declared of all parts of this (folded) maker."""
    of_maker = select(PartRow.id).where(PartRow.maker_key == maker_key)
    _bump(session, _using(col(LinePartRow.part_id).in_(of_maker)))


def product_changed(session: Session, product_id: int) -> None:
    """Board, environment, route of today, alternates, or a declaration over the BOM."""
    _bump(session, col(AssessmentCaseRow.product_id) == product_id)


def route_changed(session: Session, route_id: int) -> None:
    """The steps of one candidate route."""
    _bump(session, col(AssessmentCaseRow.route_id) == route_id)


def alloy_changed(session: Session, designation: str) -> None:
    """Composition, melting or density of an alloy of the site's own."""
    _bump(session, _soldered_with(col(RouteStepRow.alloy) == designation))


def paste_changed(session: Session, name: str) -> None:
    """Alloy, powder, metal or window of a paste of the site's own; call it when the steps name it as it is now."""
    _bump(session, _soldered_with(col(RouteStepRow.paste) == name))


def everything_changed(session: Session) -> None:
    """A declaration over the site, a figure that checks decide by."""
    _bump(session, col(AssessmentCaseRow.id) > 0)


def _using(which: ColumnElement[bool]) -> ColumnElement[bool]:
    revisions = (
        select(BomLineRow.revision_id).join(LinePartRow, col(LinePartRow.line_id) == col(BomLineRow.id)).where(which)
    )
    return col(AssessmentCaseRow.revision_id).in_(revisions)


def _soldered_with(which: ColumnElement[bool]) -> ColumnElement[bool]:
    """Cases on a route with such a step, and all of a product whose route of today has one."""
    routes = select(RouteRow.id).join(RouteStepRow, col(RouteStepRow.route_id) == col(RouteRow.id)).where(which)
    todays = (
        select(RouteRow.product_id)
        .join(RouteStepRow, col(RouteStepRow.route_id) == col(RouteRow.id))
        .where(which, col(RouteRow.is_today), col(RouteRow.archived_at).is_(None))
    )
    return col(AssessmentCaseRow.route_id).in_(routes) | col(AssessmentCaseRow.product_id).in_(todays)


def _bump(session: Session, which: ColumnElement[bool]) -> None:
    query = (
        update(AssessmentCaseRow)
        .where(which, col(AssessmentCaseRow.retired_at).is_(None))
        .values(input_seq=col(AssessmentCaseRow.input_seq) + 1)
        .execution_options(synchronize_session=False)
    )
    session.connection().execute(query)
