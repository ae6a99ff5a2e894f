"""Actions: who owes what by when."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session
from starlette.datastructures import FormData

from webapp.desk import actions, cases, sheets
from webapp.desk.actions import ActionEntry, ActionForm, ActionView, Show
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, NotFoundError
from webapp.store import product_reads
from webapp.store.cases import AssessmentCaseRow
from webapp.store.products import ProductRow
from webapp.web.addresses import local_address
from webapp.web.deps import AppDatabase, CurrentPerson, Reads
from webapp.web.downloads import Format
from webapp.web.lists import as_file, paged, windowed
from webapp.web.numbers import PageNumber, RowId, row_id
from webapp.web.pages.product_tabs.common import errors_of, status_of, version_of
from webapp.web.pages.products import product_address
from webapp.web.pages.uploads.common import SentForm, text_of
from webapp.web.paging import View, chosen
from webapp.web.rendering import go_to, render

router = APIRouter(prefix="/actions")

SHOW_NAMES = {
    Show.OPEN: "Open",
    Show.OVERDUE: "Overdue",
    Show.MINE: "Mine, open",
    Show.DONE: "Done",
    Show.ALL: "All",
}
NOTICES = {"added": "The action is added.", "saved": "The action is saved.", "open": "The action is open again."}
HEAD = ("Action", "Owner", "Due", "Overdue", "Done", "Product", "Finding", "Note", "Added by")
_FIELDS = ("title", "owner", "due_on", "note")


@dataclass(frozen=True, slots=True)
class Line:
    """An action with where it leads to."""

    entry: ActionEntry

    @property
    def product_href(self) -> str:
        """Its product, "" for none."""
        return product_address(self.entry.product_code) if self.entry.product_code else ""

    @property
    def finding_href(self) -> str:
        """The finding it comes from, "" when there is none (any more)."""
        return f"{self.product_href}/findings/{self.entry.finding_id}" if self.entry.finding_id else ""


@dataclass(frozen=True, slots=True)
class About:
    """What a new action is about: a finding, a product, or nothing in particular."""

    product: ProductRow | None = None
    finding_id: int | None = None
    words: str = ""
    suggestions: list[str] = field(default_factory=list)


@router.get("", response_class=HTMLResponse)
def actions_page(
    request: Request,
    person: CurrentPerson,
    reads: Reads,
    show: str = Show.OPEN.value,
    product: str = "",
    q: str = "",
    page: PageNumber = 1,
    form: Annotated[str, Query(alias="format")] = "page",
    done: str = "",
    action: str = "",
) -> Response:
    """The actions, open ones by their day first; or a file of them."""
    wanted = ActionView(chosen(Show, show, "selection of actions"), product.strip(), " ".join(q.split()))
    shape = chosen(Format, form, "format")
    with reads() as session:
        if shape is not Format.PAGE:
            rows = [_cells(entry) for entry in actions.list_actions(session, person, wanted)[0]]
            return as_file(shape, "actions", HEAD, rows, sheet="Actions")
        entries, window = windowed(
            page, lambda offset, size: actions.list_actions(session, person, wanted, offset, size)
        )
        view = View(
            "/actions",
            {"show": wanted.show.value, "product": wanted.product, "q": wanted.search, "page": window.number},
            {"show": Show.OPEN.value, "page": 1},
        )
        view.refuse_others(request.query_params, "format", "done", "action")
        context = {
            **paged(view, window),
            "lines": [Line(entry) for entry in entries],
            "wanted": wanted,
            "counts": actions.counts(session, person),
            "show_options": [(choice.value, name) for choice, name in SHOW_NAMES.items()],
            "show_name": SHOW_NAMES[wanted.show],
            "products": [("", "All"), *_products(session)],
            "notice_text": NOTICES.get(done, ""),
            "finished": _finished(session, done, action),
        }
        return render(request, "actions/list.html", context)


@router.get("/new", response_class=HTMLResponse)
def new_page(
    request: Request,
    person: CurrentPerson,
    reads: Reads,
    finding: RowId | None = None,
    product: str = "",
    back: str = "",
) -> HTMLResponse:
    """The form of a new action."""
    with reads() as session:
        about = _about(session, finding, product)
        typed = {
            "title": about.suggestions[0] if about.suggestions else "",
            "owner": person.login,
            "due_on": "",
            "note": "",
        }
        return _form(request, session, None, about, typed, back=back)


@router.post("/new", response_class=HTMLResponse)
def add(request: Request, person: CurrentPerson, database: AppDatabase, form: SentForm) -> Response:
    """Add it."""
    typed, back = _typed(form), text_of(form, "back")
    finding_id = row_id(text_of(form, "finding"))
    with database.read() as session:
        about = _about(session, finding_id, text_of(form, "product"))
    try:
        with database.command() as session:
            actions.add_action(
                session,
                person,
                ActionForm(**typed),
                product_id=about.product.id if about.product and not finding_id else None,
                finding_id=finding_id,
            )
    except InvalidInputError as error:
        with database.read() as session:
            return _form(request, session, None, about, typed, error, back=back)
    return go_to(request, local_address(back) if back else "/actions?done=added")


@router.get("/{action_id}", response_class=HTMLResponse)
def action_page(request: Request, _person: CurrentPerson, reads: Reads, action_id: RowId) -> HTMLResponse:
    """One action, to change it."""
    with reads() as session:
        entry = actions.action_by_id(session, action_id)
        return _form(request, session, entry, _about_of(entry), _stored(entry))


@router.post("/{action_id}", response_class=HTMLResponse)
def change(
    request: Request, person: CurrentPerson, database: AppDatabase, action_id: RowId, form: SentForm
) -> Response:
    """Save it; a conflict shows both states."""
    typed = _typed(form)
    try:
        with database.command() as session:
            actions.change_action(session, person, action_id, ActionForm(**typed), version=version_of(form))
    except (InvalidInputError, ConflictError) as error:
        with database.read() as session:
            entry = actions.action_by_id(session, action_id)
            return _form(request, session, entry, _about_of(entry), typed, error)
    return go_to(request, "/actions?done=saved")


@router.post("/{action_id}/done")
def finish(
    request: Request, person: CurrentPerson, database: AppDatabase, action_id: RowId, form: SentForm
) -> Response:
    """Mark it as done, or as open again."""
    is_done = text_of(form, "done") == "yes"
    with database.command() as session:
        actions.set_done(session, person, action_id, done=is_done, version=version_of(form))
    return go_to(request, f"/actions?done=done&action={action_id}" if is_done else "/actions?done=open")


def _finished(session: Session, done: str, action: str) -> ActionEntry | None:
    """The action that was just marked as done, for the message with "Undo"."""
    action_id = row_id(action)
    if done != "done" or action_id is None:
        return None
    try:
        entry = actions.action_by_id(session, action_id)
    except NotFoundError:
        return None
    return entry if entry.done else None


def _products(session: Session) -> list[tuple[str, str]]:
    return [(code, f"{code} {name}") for code, name in product_reads.product_codes(session)]


def _about(session: Session, finding_id: int | None, code: str) -> About:
    if finding_id is not None:
        finding = cases.finding_by_id(session, finding_id)
        product = _product_of(session, finding.case_id)
        return About(product, finding_id, f"{finding.title}: {finding.sentence}", list(finding.remedies))
    if not code:
        return About()
    named = product_reads.product_by_code(session, code)
    if named is None:
        raise NotFoundError(f'There is no product "{code[:40]}".')
    return About(named)


def _product_of(session: Session, case_id: int) -> ProductRow:
    """The product of a case."""
    row = session.get(AssessmentCaseRow, case_id)
    if row is None:
        raise NotFoundError("There is no such case any more.")
    return cases.product_row(session, row.product_id)


def _about_of(entry: ActionEntry) -> About:
    return About(words=entry.row.finding_title)


def _typed(form: FormData) -> dict[str, str]:
    return {name: text_of(form, name) for name in _FIELDS}


def _stored(entry: ActionEntry) -> dict[str, str]:
    row = entry.row
    due = row.due_on.isoformat() if row.due_on else ""
    return {"title": row.title, "owner": entry.owner_login, "due_on": due, "note": row.note}


def _form(
    request: Request,
    session: Session,
    entry: ActionEntry | None,
    about: About,
    typed: Mapping[str, str],
    error: MeltlineError | None = None,
    *,
    back: str = "",
) -> HTMLResponse:
    errors = errors_of(error)
    stored = _stored(entry) if entry else {}
    context = {
        "line": Line(entry) if entry else None,
        "about": about,
        "typed": typed,
        "stored": stored,
        "differs": [(name, stored[name], typed[name]) for name in stored if typed[name] != stored[name]],
        "is_conflict": isinstance(error, ConflictError),
        "owners": actions.possible_owners(session),
        "errors": errors,
        "back": local_address(back) if back else "/actions",
    }
    return render(request, "actions/form.html", context, status=status_of(errors, error))


def _cells(entry: ActionEntry) -> list[sheets.Cell]:
    row = entry.row
    return [
        row.title,
        entry.owner,
        row.due_on.isoformat() if row.due_on else "",
        "yes" if entry.overdue else "no",
        row.done_at.date().isoformat() if row.done_at else "",
        entry.product_code,
        row.finding_title,
        row.note,
        entry.created_by,
    ]
