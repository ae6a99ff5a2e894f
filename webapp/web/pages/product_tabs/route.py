"""The tab *Route*: today's route and the candidates side by side; setting a product up; new candidates."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.desk import declarations, routes
from webapp.desk.cases import CaseEntry
from webapp.desk.declarations import NewDeclaration
from webapp.desk.route_joints import RouteJoints, StepJoints, joints_made
from webapp.desk.routes import ALLOY, ProductRoute
from webapp.desk.setups import save_setup, setup_of, typed_setup
from webapp.desk.site import site_of
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, NotFoundError
from webapp.store.change_reads import Change, route_changes
from webapp.store.engine import Database
from webapp.store.product_reads import product_by_code
from webapp.trade.alloys import Alloy
from webapp.trade.facts import Claim, Scope
from webapp.trade.materials import Materials
from webapp.trade.paste_windows import outside_window
from webapp.trade.people import Person, Role
from webapp.trade.ranges import number_text
from webapp.trade.route import Route, Step
from webapp.trade.route_templates import EVERYDAY, LOW, route_template, route_templates
from webapp.web.case_changes import changes
from webapp.web.deps import AppDatabase, CurrentPerson, Reads
from webapp.web.numbers import RowId
from webapp.web.pages.product_tabs.common import (
    Shown,
    after_saving,
    before_saving,
    echo_of,
    errors_of,
    load_product,
    status_of,
    version_of,
)
from webapp.web.pages.product_tabs.setup import FINISHES, errors_in, stored_fields
from webapp.web.pages.product_tabs.solder import paste_options
from webapp.web.pages.uploads.common import Engineer, SentForm, text_of
from webapp.web.product_tabs import Tab
from webapp.web.rendering import go_to, render

router = APIRouter(prefix="/products")

COPY = "copy-"
TEMPLATES = [(template.name, template.words) for template in route_templates()]
NOTICES = {
    "saved": "The route is saved.",
    "made": "The candidate is made.",
    "removed": "The candidate is removed.",
}
_AMBIENT = ("t_min_c", "t_max_c", "board_heating_k")


@dataclass(frozen=True, slots=True)
class StepEntry:
    """A step as the page shows it; ``outside``: what of it lies outside its paste's window."""

    number: int
    step: Step
    alloy: Alloy | None
    joints: StepJoints
    outside: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RouteEntry:
    """A route as the page shows it; ``case`` None before it is assessed for the first time."""

    route: ProductRoute
    steps: list[StepEntry]
    left_over: tuple[str, ...]
    case: CaseEntry | None
    changed: Change | None


@router.get("/{code:path}/route", response_class=HTMLResponse)
def route_page(
    request: Request, person: CurrentPerson, reads: Reads, code: str, done: str = "", was: str = ""
) -> HTMLResponse:
    """The routes side by side; for a product without any, the page that sets it up."""
    with reads() as session:
        shown = load_product(session, code)
        return _page(request, session, shown, is_editor=person.has(Role.ENGINEER), done=done, was=was)


@router.post("/{code:path}/route/start", response_class=HTMLResponse)
def start(request: Request, person: Engineer, database: AppDatabase, code: str, form: SentForm) -> Response:
    """Set a product up in one go: routes, board finish, ambient, declaration; then to its findings."""
    with database.read() as session:
        shown = load_product(session, code)
    if shown.cases:
        return go_to(request, f"{shown.address}/route")
    typed = {name: text_of(form, name) for name in (*_AMBIENT, "template", "paste", "reference", "stated_on")}
    typed["finish"] = " ".join(str(value) for value in form.getlist("finish"))
    errors = errors_in({name: typed[name] for name in (*_AMBIENT, "finish")})
    if not errors:
        try:
            _set_up(database, person, shown, typed)
            where = after_saving(database, shown, f"{shown.address}/findings", "started", "", typed.values())
            return go_to(request, where)
        except _MadeAlreadyError:
            return go_to(request, f"{shown.address}/route")
        except (InvalidInputError, NotFoundError) as error:
            errors = errors_of(error)
    with database.read() as session:
        return _page(request, session, shown, is_editor=True, typed=typed, errors=errors)


def _set_up(database: Database, person: Person, shown: Shown, typed: Mapping[str, str]) -> None:
    product_id = shown.id
    with database.command() as session:
        # Asked again with the product locked: the same form may have come in between, sent by a second press.
        product_by_code(session, shown.product.code, lock=True)
        if routes.routes_of(session, product_id):
            raise _MadeAlreadyError
        setup = setup_of(session, product_id)
        kept = {name: text for name, text in stored_fields(setup).items() if text}
        board, environment = typed_setup({**kept, **{n: typed[n] for n in (*_AMBIENT, "finish")}})
        save_setup(session, person, product_id, board, environment, version=setup.version)
        routes.new_route_from_template(session, person, product_id, _template(typed), typed["paste"])
        if typed["reference"].strip():
            new = NewDeclaration(
                Claim.LEAD_FREE, Scope.BOM, typed["reference"], product_id=product_id, stated_on=typed["stated_on"]
            )
            declarations.declare(session, person, new)


def _template(typed: Mapping[str, str]) -> str:
    if not typed["template"]:
        raise InvalidInputError("Choose a route to start from.", field="template")
    return route_template(typed["template"]).name


@router.post("/{code:path}/route/new", response_class=HTMLResponse)
def new_candidate(request: Request, person: Engineer, database: AppDatabase, code: str, form: SentForm) -> Response:
    """Another candidate, from a template or as a copy of a route."""
    with database.read() as session:
        shown = load_product(session, code)
    typed = {name: text_of(form, name) for name in ("template", "paste", "name")}
    before = before_saving(database, shown.id)
    try:
        with database.command() as session:
            made = _make(session, person, shown.id, typed)
            _refuse_twice(session, shown.id, made, typed["name"], text_of(form, "last"))
    except _MadeAlreadyError:
        pass
    except (InvalidInputError, NotFoundError) as error:
        errors = {{"route": "template"}.get(error.field or "", error.field or ""): error.message}
        with database.read() as session:
            return _page(request, session, shown, is_editor=True, typed=typed, errors=errors)
    return go_to(request, after_saving(database, shown, f"{shown.address}/route", "made", before, ()))


class _MadeAlreadyError(Exception):
    """The same form was sent before; what it would make again is not stored."""


def _refuse_twice(session: Session, product_id: int, made: int, name: str, last: str) -> None:
    """A route whose name was left open must differ from those made since the form was shown: ``last`` is the id of the
    newest then. A name that is given twice is refused as such."""
    if name.strip() or not last.isdecimal():
        return
    found = {entry.id: entry.route.steps for entry in routes.routes_of(session, product_id)}
    if any(int(last) < other != made and steps == found[made] for other, steps in found.items()):
        raise _MadeAlreadyError


def _make(session: Session, person: Person, product_id: int, typed: Mapping[str, str]) -> int:
    """Store the candidate; its id."""
    if not typed["template"].startswith(COPY):
        template, paste = _template(typed), typed["paste"]
        return routes.new_route_from_template(session, person, product_id, template, paste, name=typed["name"])[-1]
    wanted = typed["template"].removeprefix(COPY)
    copied = next((r for r in routes.routes_of(session, product_id) if str(r.id) == wanted), None)
    if copied is None:
        raise InvalidInputError("The product has no such route.", field="template")
    name = typed["name"].strip() or routes.free_name(session, product_id, f"copy of {copied.route.name}")
    return routes.save_route(session, person, product_id, replace(copied.route, name=name))


@router.post("/{code:path}/route/{route_id}/remove", response_class=HTMLResponse)
def remove(
    request: Request, person: Engineer, database: AppDatabase, code: str, route_id: RowId, form: SentForm
) -> Response:
    """Take a candidate away."""
    with database.read() as session:
        shown = load_product(session, code)
    before = before_saving(database, shown.id)
    try:
        with database.command() as session:
            if routes.route_by_id(session, route_id).product_id != shown.id:
                raise NotFoundError("The product has no such route.")
            routes.remove_route(session, person, route_id, version=version_of(form))
    except (InvalidInputError, ConflictError) as error:
        with database.read() as session:
            return _page(request, session, shown, is_editor=True, errors=errors_of(error), error=error)
    return go_to(request, after_saving(database, shown, f"{shown.address}/route", "removed", before, ()))


def _page(
    request: Request,
    session: Session,
    shown: Shown,
    *,
    is_editor: bool,
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
    error: MeltlineError | None = None,
    done: str = "",
    was: str = "",
) -> HTMLResponse:
    errors = dict(errors or {})
    materials = site_of(session).materials
    entries = _entries(session, shown, materials)
    every = [entry.step for route in entries for entry in route.steps]
    context: dict[str, Any] = {
        **shown.context(Tab.ROUTE),
        "routes": entries,
        "last": max((entry.route.id for entry in entries), default=0),
        "has_hours": any(step.hours is not None for step in every),
        "has_neighbours": any(step.kind.is_local for step in every),
        "is_editor": is_editor,
        "typed": _defaults(session, shown) | dict(typed or {}),
        "templates": TEMPLATES,
        "start_options": [
            *TEMPLATES,
            *((f"{COPY}{e.route.id}", f"A copy of “{e.route.route.name}”.") for e in entries),
        ],
        "paste_options": paste_options(materials),
        "finish_options": FINISHES,
        "errors": errors,
        "is_conflict": isinstance(error, ConflictError),
        "notice_text": NOTICES.get(done),
        "changes": changes(shown.cases, was) if done else [],
        "echoes": [echo for text in request.query_params.getlist("typed") if (echo := echo_of(text))],
    }
    template = "routes/page.html" if entries else "routes/start.html"
    return render(request, template, context, status=status_of(errors, error))


def _defaults(session: Session, shown: Shown) -> dict[str, str]:
    """What stands in the forms before anybody has typed."""
    stored = stored_fields(setup_of(session, shown.id))
    everyday = {name: number_text(getattr(EVERYDAY, name)) for name in _AMBIENT}
    ambient = {name: stored[name] or everyday[name] for name in _AMBIENT}
    first = {"template": TEMPLATES[0][0], "paste": f"{ALLOY}{LOW}"}
    return {**first, **ambient, "finish": stored["finish"], "reference": "", "stated_on": "", "name": ""}


def _entries(session: Session, shown: Shown, materials: Materials) -> list[RouteEntry]:
    found = routes.routes_of(session, shown.id)
    if not found:
        return []
    made = joints_made(session, shown.cases[0].id, [entry.route for entry in found])
    by_route = {entry.row.route_id: entry for entry in shown.cases}
    changed = route_changes(session, shown.id)
    return [
        RouteEntry(
            entry,
            _steps(entry.route, joints, materials),
            joints.left_over,
            by_route.get(entry.id),
            changed.get(entry.id),
        )
        for entry, joints in zip(found, made, strict=True)
    ]


def _steps(route: Route, joints: RouteJoints, materials: Materials) -> list[StepEntry]:
    return [
        StepEntry(number, step, materials.alloy(step.alloy), made, _outside(step, materials))
        for number, (step, made) in enumerate(zip(route.steps, joints.steps, strict=True), start=1)
    ]


def _outside(step: Step, materials: Materials) -> tuple[str, ...]:
    paste = materials.paste(step.paste)
    return outside_window(step, paste) if paste else ()
