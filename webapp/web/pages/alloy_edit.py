"""Alloys of the site's own: adding one, changing it, retiring it, what became of it."""

from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from webapp.desk import site_alloys
from webapp.desk.alloy_facts import FarApart, facts_of, far_apart
from webapp.desk.site import site_of
from webapp.desk.site_alloys import AlloyForm, NewAlloy, StoredAlloy, read_alloy
from webapp.errors import ConflictError, InvalidInputError, MeltlineError
from webapp.science.melting import melting_range
from webapp.store.engine import SessionMaker
from webapp.trade.composition import Composition
from webapp.trade.people import Role
from webapp.web.deps import AppDatabase, CurrentPerson, Reads
from webapp.web.pages.alloys.common import alloy_of
from webapp.web.pages.product_tabs.common import errors_of, status_of, version_of
from webapp.web.pages.site_forms import differences, products_of, sent
from webapp.web.pages.uploads.common import Engineer, SentForm
from webapp.web.rendering import go_to, render
from webapp.web.settle import settle

router = APIRouter(prefix="/alloys")

LABELS = {
    "composition": "Composition, wt%",
    "name": "Name",
    "solidus_c": "Solidus, °C",
    "melted_c": "99 % liquid, °C",
    "liquidus_c": "Liquidus, °C",
    "density_g_cm3": "Density, g/cm³",
    "reference": "Document",
}
NOTICES = {
    "saved": "The alloy is saved; the products that use it are assessed again.",
    "retired": "The alloy is retired. Its history stays, and its designation is free again.",
}


@router.get("/new", response_class=HTMLResponse)
def new_page(request: Request, _person: Engineer) -> HTMLResponse:
    """The form of a new alloy; with ``composition`` in the address also what is calculated of it. Nothing is stored."""
    typed = sent(AlloyForm, request.query_params)
    if not typed.composition.strip():
        return _form(request, None, typed)
    try:
        return _form(request, None, typed, looked=read_alloy(typed))
    except InvalidInputError as error:
        # An address that only brings a composition along asks for nothing yet.
        return _form(request, None, typed, error=error if "look" in request.query_params else None)


@router.post("/new", response_class=HTMLResponse)
def add(request: Request, person: Engineer, database: AppDatabase, form: SentForm) -> Response:
    """Store a new alloy."""
    typed = sent(AlloyForm, form)
    try:
        new = read_alloy(typed)
        with database.command() as session:
            site_alloys.save_alloy(session, person, new)
    except InvalidInputError as error:
        return _form(request, None, typed, error=error)
    return _saved(request, new.designation)


@router.get("/{designation}/edit", response_class=HTMLResponse)
def edit_page(request: Request, _person: Engineer, reads: Reads, designation: str) -> HTMLResponse:
    """The form of an alloy that there is; with ``look`` in the address what is calculated of what is typed."""
    stored = _stored(reads, designation)
    if "look" not in request.query_params:
        return _form(request, stored, stored.form)
    typed = sent(AlloyForm, request.query_params)
    try:
        return _form(request, stored, typed, looked=read_alloy(_of(stored, typed)))
    except InvalidInputError as error:
        return _form(request, stored, typed, error=error)


@router.post("/{designation}/edit", response_class=HTMLResponse)
def change(request: Request, person: Engineer, database: AppDatabase, designation: str, form: SentForm) -> Response:
    """Store the alloy as it stands in the form; a conflict shows both states."""
    stored, typed = _stored(database.read, designation), sent(AlloyForm, form)
    try:
        new, version = read_alloy(_of(stored, typed)), version_of(form)
        with database.command() as session:
            site_alloys.save_alloy(session, person, new, version=version)
            uses = site_alloys.uses_of_alloy(session, stored.alloy.designation)
    except (InvalidInputError, ConflictError) as error:
        return _form(request, _stored(database.read, designation), typed, error=error)
    settle(request, database, products_of(uses))
    return _saved(request, stored.alloy.designation)


@router.post("/{designation}/retire", response_class=HTMLResponse)
def retire(request: Request, person: Engineer, database: AppDatabase, designation: str, form: SentForm) -> Response:
    """Take it out of use, unless something is soldered with it."""
    try:
        with database.command() as session:
            site_alloys.retire_alloy(session, person, designation, version=version_of(form))
    except (InvalidInputError, ConflictError) as error:
        stored = _stored(database.read, designation)
        return _form(request, stored, stored.form, error=error)
    return go_to(request, f"/alloys/{designation}/history?done=retired")


@router.get("/{designation}/history", response_class=HTMLResponse)
def history_page(
    request: Request, person: CurrentPerson, reads: Reads, designation: str, done: str = ""
) -> HTMLResponse:
    """All that became of it, whether it holds still or is retired."""
    with reads() as session:
        events = site_alloys.history_of_alloy(session, designation)
        uses = site_alloys.uses_of_alloy(session, designation)
        is_retired, site = events[0].ended, site_of(session)
    facts = [] if is_retired else facts_of([alloy_of(site, designation)], site)
    context = {
        "designation": designation,
        "events": events,
        "is_retired": is_retired,
        "far_apart": [one for found in facts for one in found.far_apart],
        "uses": uses,
        "may_edit": person.has(Role.ENGINEER),
        "notice_text": NOTICES.get(done, ""),
    }
    return render(request, "alloy_edit/history.html", context)


def _stored(reads: SessionMaker, designation: str) -> StoredAlloy:
    with reads() as session:
        return site_alloys.stored_alloy(session, designation)


def _of(stored: StoredAlloy, typed: AlloyForm) -> AlloyForm:
    """What is typed, for the alloy that is looked at: its designation does not change."""
    return AlloyForm(**{name: getattr(typed, name) for name in LABELS}, designation=stored.alloy.designation)


def _saved(request: Request, designation: str) -> Response:
    return go_to(request, f"/alloys/{designation}/history?done=saved")


def _form(
    request: Request,
    stored: StoredAlloy | None,
    typed: AlloyForm,
    *,
    looked: NewAlloy | None = None,
    error: MeltlineError | None = None,
) -> HTMLResponse:
    errors = errors_of(error)
    if stored and "designation" in errors:
        # It cannot be changed: what does not agree with it is the composition.
        errors["composition"] = errors.pop("designation")
    context: dict[str, Any] = {
        "stored": stored,
        "typed": typed,
        "looked": looked.values if looked else None,
        "far_apart": _far_apart(looked) if looked else (),
        "errors": errors,
        "is_conflict": isinstance(error, ConflictError),
        "differs": differences(stored.form, typed, LABELS) if stored else [],
    }
    return render(request, "alloy_edit/form.html", context, status=status_of(errors, error))


def _far_apart(looked: NewAlloy) -> tuple[FarApart, ...]:
    values = looked.values
    solidus_c, liquidus_c = (
        values[name] if values[is_stated] else None
        for name, is_stated in (("solidus_c", "typed_solidus"), ("liquidus_c", "typed_liquid"))
    )
    return far_apart(melting_range(Composition.of(values["composition_wt_pct"])), solidus_c, liquidus_c)
