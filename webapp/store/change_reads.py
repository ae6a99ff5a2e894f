"""Who changed setups and routes last."""

from datetime import datetime

from sqlmodel import Session, col, select

from webapp.store.people import PersonRow
from webapp.store.setups import ProductSetupRow, RouteRow

Change = tuple[str, datetime]
"""Name of the person, and when."""


def setup_change(session: Session, product_id: int) -> Change | None:
    """The last change of a product's setup; None when nobody has said anything yet."""
    query = (
        select(PersonRow.name, ProductSetupRow.changed_at)
        .join(PersonRow, col(PersonRow.id) == col(ProductSetupRow.changed_by))
        .where(ProductSetupRow.product_id == product_id)
    )
    return session.exec(query).one_or_none()


def route_changes(session: Session, product_id: int) -> dict[int, Change]:
    """Route id -> its last change, for the routes there are."""
    query = (
        select(RouteRow.id, PersonRow.name, RouteRow.changed_at)
        .join(PersonRow, col(PersonRow.id) == col(RouteRow.changed_by))
        .where(RouteRow.product_id == product_id, col(RouteRow.archived_at).is_(None))
    )
    return {route_id: (name, when) for route_id, name, when in session.exec(query) if route_id is not None}
