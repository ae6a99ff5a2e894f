"""Pastes: the site's own and the examples to start from; each with its window, its history and where it is used."""

from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.desk import sheets, site_pastes
from webapp.desk.site import site_of
from webapp.desk.site_pastes import PasteForm, StoredPaste, form_from_example, read_paste
from webapp.errors import ConflictError, InvalidInputError, MeltlineError
from webapp.store import site as store
from webapp.store.engine import SessionMaker
from webapp.store.site import SiteUse
from webapp.trade.pastes import Paste, paste_examples, powders
from webapp.trade.people import Role
from webapp.web.deps import AppDatabase, CurrentPerson, Reads
from webapp.web.downloads import Format
from webapp.web.lists import as_file
from webapp.web.numbers import RowId
from webapp.web.pages.product_tabs.common import errors_of, status_of, version_of
from webapp.web.pages.product_tabs.solder import alloy_options
from webapp.web.pages.site_forms import differences, products_of, sent
from webapp.web.pages.uploads.common import Engineer, SentForm
from webapp.web.paging import View, chosen
from webapp.web.rendering import go_to, render
from webapp.web.settle import settle

router = APIRouter(prefix="/pastes")

LABELS = {
    "name": "Name",
    "alloy": "Alloy",
    "powder": "Powder type",
    "metal_wt_pct": "Metal, wt%",
    "flux": "Flux designator",
    "peak_c": "Peak at the joints, °C",
    "above_liquidus_s": "Above the liquidus, s",
    "reference": "Data sheet",
}
NOTICES = {
    "saved": "The paste is saved; the products that use it are assessed again.",
    "retired": "The paste is retired. Its history stays, and its name is free again.",
}
HEAD = (
    "Paste", "Own", "Alloy", "Powder type", "Particles from um", "Particles to um", "Metal wt%", "Flux", "Flux base",
    "Flux activity", "Peak from °C", "Peak to °C", "Above liquidus from s", "Above liquidus to s", "Routes", "Source",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Line:
    """A paste in a list: ``href`` where it is looked at, or for an example where one starts from it."""

    paste: Paste
    href: str
    uses: list[SiteUse]


@router.get("", response_class=HTMLResponse)
def pastes_page(
    request: Request, person: CurrentPerson, reads: Reads, form: Annotated[str, Query(alias="format")] = "page"
) -> Response:
    """All pastes, the site's own first; or a file of them."""
    View("/pastes", {"format": form}, {}).refuse_others(request.query_params)
    shape = chosen(Format, form, "format")
    with reads() as session:
        own, examples = _lines(session)
    if shape is not Format.PAGE:
        return as_file(shape, "pastes", HEAD, map(_cells, [*own, *examples]), sheet="Pastes")
    context = {"own": own, "examples": examples, "may_edit": person.has(Role.ENGINEER)}
    return render(request, "pastes/list.html", context)


def _lines(session: Session) -> tuple[list[Line], list[Line]]:
    uses = store.paste_uses(session)
    own = [
        Line(stored.paste, f"/pastes/{stored.id}", uses.get(stored.paste.name, []))
        for stored in site_pastes.stored_pastes(session)
    ]
    examples = [
        Line(paste, f"/pastes/new?example={number}", uses.get(paste.name, []))
        for number, paste in enumerate(paste_examples())
    ]
    return own, examples


@router.get("/new", response_class=HTMLResponse)
def new_page(request: Request, _person: Engineer, reads: Reads, example: RowId | None = None) -> HTMLResponse:
    """The form of a new paste, filled from an example where one is asked for."""
    return _form(request, reads, None, PasteForm() if example is None else form_from_example(example))


@router.post("/new", response_class=HTMLResponse)
def add(request: Request, person: Engineer, database: AppDatabase, form: SentForm) -> Response:
    """Store a new paste."""
    typed = sent(PasteForm, form)
    try:
        with database.command() as session:
            new = read_paste(typed, site_of(session).materials)
            paste_id = site_pastes.save_paste(session, person, new)
    except InvalidInputError as error:
        return _form(request, database.read, None, typed, error)
    return go_to(request, f"/pastes/{paste_id}?done=saved")


@router.get("/{paste_id}", response_class=HTMLResponse)
def paste_page(request: Request, person: CurrentPerson, reads: Reads, paste_id: RowId, done: str = "") -> HTMLResponse:
    """One paste of the site's own; a retired one with its history only."""
    with reads() as session:
        events = site_pastes.history_of_paste(session, paste_id)
        is_retired = events[0].ended
        stored = None if is_retired else site_pastes.stored_paste(session, paste_id)
        context = {
            "name": site_pastes.last_name(session, paste_id),
            "here": f"/pastes/{paste_id}",
            "stored": stored,
            "alloy": site_of(session).materials.alloy(stored.paste.alloy) if stored else None,
            "uses": site_pastes.uses_of_paste(session, stored.paste.name) if stored else [],
            "events": events,
            "may_edit": person.has(Role.ENGINEER),
            "notice_text": NOTICES.get(done, ""),
        }
    return render(request, "pastes/one.html", context)


@router.get("/{paste_id}/edit", response_class=HTMLResponse)
def edit_page(request: Request, _person: Engineer, reads: Reads, paste_id: RowId) -> HTMLResponse:
    """The form of a paste that there is."""
    with reads() as session:
        stored = site_pastes.stored_paste(session, paste_id)
    return _form(request, reads, stored, stored.form)


@router.post("/{paste_id}/edit", response_class=HTMLResponse)
def change(request: Request, person: Engineer, database: AppDatabase, paste_id: RowId, form: SentForm) -> Response:
    """Store the paste as it stands in the form; a conflict shows both states."""
    typed = sent(PasteForm, form)
    try:
        version = version_of(form)
        with database.command() as session:
            new = read_paste(typed, site_of(session).materials)
            site_pastes.save_paste(session, person, new, paste_id=paste_id, version=version)
            uses = site_pastes.uses_of_paste(session, new.values["name"])
    except (InvalidInputError, ConflictError) as error:
        with database.read() as session:
            stored = site_pastes.stored_paste(session, paste_id)
        return _form(request, database.read, stored, typed, error)
    settle(request, database, products_of(uses))
    return go_to(request, f"/pastes/{paste_id}?done=saved")


@router.post("/{paste_id}/retire", response_class=HTMLResponse)
def retire(request: Request, person: Engineer, database: AppDatabase, paste_id: RowId, form: SentForm) -> Response:
    """Take it out of use, unless a step names it."""
    try:
        with database.command() as session:
            site_pastes.retire_paste(session, person, paste_id, version=version_of(form))
    except (InvalidInputError, ConflictError) as error:
        with database.read() as session:
            stored = site_pastes.stored_paste(session, paste_id)
        return _form(request, database.read, stored, stored.form, error)
    return go_to(request, f"/pastes/{paste_id}?done=retired")


def _form(
    request: Request,
    reads: SessionMaker,
    stored: StoredPaste | None,
    typed: PasteForm,
    error: MeltlineError | None = None,
) -> HTMLResponse:
    with reads() as session:
        materials = site_of(session).materials
    errors = errors_of(error)
    context: dict[str, Any] = {
        "stored": stored,
        "typed": typed,
        "here": f"/pastes/{stored.id}" if stored else "/pastes",
        "alloy_options": [("", "choose"), *alloy_options(materials, low_first=True)],
        "powder_options": [
            ("", "choose"),
            *((str(n), f"type {n}, {powder.size_um.text('µm')}") for n, powder in powders().items()),
        ],
        "examples": [] if stored else list(enumerate(paste.name for paste in paste_examples())),
        "errors": errors,
        "is_conflict": isinstance(error, ConflictError),
        "differs": differences(stored.form, typed, LABELS) if stored else [],
    }
    return render(request, "pastes/form.html", context, status=status_of(errors, error))


def _cells(line: Line) -> list[sheets.Cell]:
    paste = line.paste
    return [
        paste.name,
        "yes" if paste.own else "no",
        paste.alloy,
        paste.powder.number,
        paste.powder.size_um.low,
        paste.powder.size_um.high,
        paste.metal_wt_pct,
        paste.flux.designator,
        paste.flux.base,
        paste.flux.activity,
        paste.peak_c.low,
        paste.peak_c.high,
        paste.above_liquidus_s.low,
        paste.above_liquidus_s.high,
        len(line.uses),
        paste.source.words,
    ]
