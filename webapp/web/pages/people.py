"""People and their roles, for administrators."""

from typing import Annotated, Any

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import HTMLResponse

from webapp.desk import accounts
from webapp.desk.passwords import SHORTEST
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, NotAllowedError, NotFoundError
from webapp.store.people import entry_by_id, list_people
from webapp.trade.people import Role, roles_from
from webapp.web.deps import Administrator, AppDatabase, AppPasswords, Reads
from webapp.web.numbers import RowId
from webapp.web.rendering import go_to, render

router = APIRouter(prefix="/people")

NOTICES = {
    "added": "The person is added.",
    "changed": "The changes are saved.",
    "password": "The password is set, and all sessions of the person have ended.",
}
ROLE_OPTIONS = [(str(role), str(role), role.meaning) for role in Role]


@router.get("", response_class=HTMLResponse)
def people_page(request: Request, _admin: Administrator, reads: Reads, done: str = "") -> HTMLResponse:
    """Everybody, and the form to add somebody."""
    return _list(request, reads, notice=NOTICES.get(done))


@router.post("", response_class=HTMLResponse)
def add_person(
    request: Request,
    admin: Administrator,
    database: AppDatabase,
    passwords: AppPasswords,
    login: Annotated[str, Form()] = "",
    name: Annotated[str, Form()] = "",
    new_password: Annotated[str, Form()] = "",
    roles: Annotated[list[str] | None, Form()] = None,
) -> Response:
    """Add a person."""
    typed = {"login": login, "name": name, "roles": roles or []}
    try:
        new = accounts.new_person(
            passwords, login=login, name=name, password=new_password, roles=roles_from(roles or [])
        )
        with database.command() as session:
            accounts.add_person(session, new, by=admin)
    except InvalidInputError as error:
        return _list(request, database.read, typed=typed, error=error)
    return go_to(request, "/people?done=added")


@router.get("/{person_id}", response_class=HTMLResponse)
def person_page(
    request: Request, _admin: Administrator, reads: Reads, person_id: RowId, done: str = ""
) -> HTMLResponse:
    """One person, to be changed."""
    return _one(request, reads, person_id, notice=NOTICES.get(done))


@router.post("/{person_id}", response_class=HTMLResponse)
def change_person(
    request: Request,
    admin: Administrator,
    database: AppDatabase,
    person_id: RowId,
    version: Annotated[int, Form()],
    name: Annotated[str, Form()] = "",
    roles: Annotated[list[str] | None, Form()] = None,
    active: Annotated[str, Form()] = "",
) -> Response:
    """Set name, roles and whether the person may sign in."""
    typed = {"name": name, "roles": roles or [], "active": bool(active)}
    try:
        change = accounts.PersonChange(name, roles_from(roles or []), bool(active), version)
        with database.command() as session:
            accounts.change_person(session, person_id, change, by=admin)
    except (InvalidInputError, NotAllowedError, ConflictError) as error:
        return _one(request, database.read, person_id, typed=typed, error=error)
    return go_to(request, "/people?done=changed")


@router.post("/{person_id}/password", response_class=HTMLResponse)
def set_password(
    request: Request,
    admin: Administrator,
    database: AppDatabase,
    passwords: AppPasswords,
    person_id: RowId,
    new_password: Annotated[str, Form()] = "",
) -> Response:
    """Give a person another password."""
    try:
        accounts.set_password(database, passwords, person_id, new_password, by=admin)
    except InvalidInputError as error:
        return _one(request, database.read, person_id, error=error)
    return go_to(request, f"/people/{person_id}?done=password")


def _list(
    request: Request,
    reads: Reads,
    *,
    typed: dict[str, Any] | None = None,
    error: MeltlineError | None = None,
    notice: str | None = None,
) -> HTMLResponse:
    with reads() as session:
        everybody = list_people(session)
    context = {
        "everybody": everybody,
        "typed": typed or {"login": "", "name": "", "roles": []},
        "errors": _errors(error),
        "notice_text": notice,
        "role_options": ROLE_OPTIONS,
        "shortest": SHORTEST,
    }
    return render(request, "people/page.html", context, status=error.status if error else 200)


def _one(
    request: Request,
    reads: Reads,
    person_id: RowId,
    *,
    typed: dict[str, Any] | None = None,
    error: MeltlineError | None = None,
    notice: str | None = None,
) -> HTMLResponse:
    """The form holds what was typed, the facts beside it what is stored: after a conflict both can be compared."""
    with reads() as session:
        entry = entry_by_id(session, person_id)
    if entry is None:
        raise NotFoundError("There is no such person.")
    stored = {"name": entry.person.name, "roles": sorted(entry.person.roles), "active": entry.active}
    context = {
        "entry": entry,
        "typed": typed or stored,
        "errors": _errors(error),
        "is_conflict": isinstance(error, ConflictError),
        "notice_text": notice,
        "role_options": ROLE_OPTIONS,
        "shortest": SHORTEST,
    }
    return render(request, "people/one.html", context, status=error.status if error else 200)


def _errors(error: MeltlineError | None) -> dict[str, str]:
    return {error.field or "": error.message} if error else {}
