"""What groups products in the portfolio, and the daily snapshot of how they stand.

The pages read with store.portfolio (``find_products``, ``totals``, ``choices``, ``trend``) and store.blockers.
"""

from dataclasses import dataclass
from datetime import date

from sqlmodel import Session, col, select

from webapp.desk import ledger
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.store.people import PersonRow
from webapp.store.portfolio import PortfolioDayRow, PortfolioView, find_products, has_day
from webapp.store.products import ProductRow
from webapp.trade.ledger import EntryKind
from webapp.trade.people import Person
from webapp.trade.products import CUSTOMER_LENGTH, LABEL_LENGTH, tidy_product_name
from webapp.trade.typed_text import tidy_line

CHANGED = "Somebody else changed this product meanwhile. It stands below as it is now: make the change again."


@dataclass(frozen=True, slots=True)
class ProductForm:
    """A product's own data as typed; ``owner`` a login, "" for nobody."""

    name: str
    label: str = ""
    customer: str = ""
    owner: str = ""


def describe_product(session: Session, person: Person, product_id: int, form: ProductForm, *, version: int) -> None:
    """Set name, label, customer and owner of a product.

    InvalidInputError names the field, ConflictError when somebody else changed it since ``version``.
    """
    row = session.get(ProductRow, product_id, with_for_update=True)
    if row is None:
        raise NotFoundError("There is no such product.")
    if row.version != version:
        raise ConflictError(CHANGED)
    row.name = tidy_product_name(form.name)
    row.label = _tidy(form.label, LABEL_LENGTH, "label")
    row.customer = _tidy(form.customer, CUSTOMER_LENGTH, "customer")
    row.owner_id = _owner(session, form.owner)
    row.version += 1
    detail = {"name": row.name, "label": row.label, "customer": row.customer, "owner": form.owner.strip()}
    ledger.record(session, person, EntryKind.PRODUCT_DESCRIBED, f"product {row.code}", detail)


def take_snapshot(session: Session, day: date) -> bool:
    """Keep how every product stands as that day's snapshot, unless there is one; whether it was taken."""
    if has_day(session, day):
        return False
    lines = find_products(session, PortfolioView())
    session.add_all(
        PortfolioDayRow(
            day=day,
            product_id=line.product_id,
            gate=line.gate.value,
            readiness=line.counters.readiness,
            open_blocks=line.counters.open_blocks,
            open_change=line.counters.open_change,
            open_prove=line.counters.open_prove,
        )
        for line in lines
    )
    session.flush()
    return bool(lines)


def _tidy(text: str, longest: int, field: str) -> str:
    tidy = tidy_line(text, field=field)
    if len(tidy) > longest:
        raise InvalidInputError(f"At most {longest} characters.", field=field)
    return tidy


def _owner(session: Session, login: str) -> int | None:
    if not (login := login.strip()):
        return None
    found = session.exec(select(PersonRow.id).where(PersonRow.login == login, col(PersonRow.active))).first()
    if found is None:
        raise InvalidInputError("Choose one of the people listed.", field="owner")
    return found
