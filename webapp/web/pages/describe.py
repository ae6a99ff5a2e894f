"""What groups a product in the portfolio: name, label, customer, owner."""

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.desk import actions, portfolio
from webapp.desk.portfolio import ProductForm
from webapp.errors import ConflictError, InvalidInputError, MeltlineError
from webapp.store.people import PersonRow
from webapp.web.deps import AppDatabase, Reads
from webapp.web.pages.product_tabs.common import Shown, errors_of, load_product, status_of, version_of
from webapp.web.pages.uploads.common import Engineer, SentForm, text_of
from webapp.web.product_tabs import Tab
from webapp.web.rendering import go_to, render

router = APIRouter(prefix="/products")

_FIELDS = ("name", "label", "customer", "owner")


@router.get("/{code:path}/describe", response_class=HTMLResponse)
def describe_page(request: Request, _person: Engineer, reads: Reads, code: str, done: str = "") -> HTMLResponse:
    """The form."""
    with reads() as session:
        return _form(request, session, load_product(session, code), is_saved=done == "saved")


@router.post("/{code:path}/describe", response_class=HTMLResponse)
def describe(request: Request, person: Engineer, database: AppDatabase, code: str, form: SentForm) -> Response:
    """Save it; a conflict shows both states."""
    typed = {name: text_of(form, name) for name in _FIELDS}
    with database.read() as session:
        shown = load_product(session, code)
    try:
        with database.command() as session:
            portfolio.describe_product(session, person, shown.id, ProductForm(**typed), version=version_of(form))
    except (InvalidInputError, ConflictError) as error:
        with database.read() as session:
            return _form(request, session, load_product(session, code), typed, error)
    return go_to(request, f"{shown.address}/describe?done=saved")


def _form(
    request: Request,
    session: Session,
    shown: Shown,
    typed: Mapping[str, str] | None = None,
    error: MeltlineError | None = None,
    *,
    is_saved: bool = False,
) -> HTMLResponse:
    product = shown.product
    owner = session.get(PersonRow, product.owner_id) if product.owner_id else None
    stored = {
        "name": product.name,
        "label": product.label,
        "customer": product.customer,
        "owner": owner.login if owner else "",
    }
    errors = errors_of(error)
    context: dict[str, Any] = {
        **shown.context(Tab.SETUP),
        "stored": stored,
        "typed": typed or stored,
        "differs": [(name, stored[name], typed[name]) for name in _FIELDS if typed and typed[name] != stored[name]],
        "is_conflict": isinstance(error, ConflictError),
        "owners": [("", "Nobody"), *actions.possible_owners(session)],
        "version": product.version,
        "errors": errors,
        "is_saved": is_saved,
    }
    return render(request, "portfolio/describe.html", context, status=status_of(errors, error))
