"""Set-up: the first administrator, with the token that the server printed on its console."""

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import HTMLResponse

from webapp.desk import accounts
from webapp.desk.passwords import SHORTEST
from webapp.errors import ConflictError, InvalidInputError, NotFoundError, TooManyTriesError
from webapp.store.people import people_exist
from webapp.trade.people import Role
from webapp.web.deps import AppDatabase, AppPasswords, AppSettings, Reads
from webapp.web.pages.account import address_of, set_session_cookie
from webapp.web.rendering import go_to, render

router = APIRouter()

# Engineer too, so that a first product can be made before there is anybody else.
FIRST_ROLES = frozenset({Role.ADMINISTRATOR, Role.ENGINEER})


@router.get("/setup", response_class=HTMLResponse)
def setup_page(request: Request, reads: Reads) -> HTMLResponse:
    """The form, as long as there is nobody."""
    _must_be_open(reads)
    return _form(request, {"login": "", "name": ""}, {}, 200)


@router.post("/setup", response_class=HTMLResponse)
def setup(
    request: Request,
    database: AppDatabase,
    settings: AppSettings,
    passwords: AppPasswords,
    token: Annotated[str, Form()] = "",
    login: Annotated[str, Form()] = "",
    name: Annotated[str, Form()] = "",
    new_password: Annotated[str, Form()] = "",
) -> Response:
    """Add the first person as administrator and engineer, and sign them in."""
    _must_be_open(database.read)
    try:
        accounts.check_setup_token(
            database, expected=request.app.state.setup_token, given=token, address=address_of(request)
        )
        new = accounts.new_person(passwords, login=login, name=name, password=new_password, roles=FIRST_ROLES)
        session_token = accounts.first_person(database, settings, new)
    except (InvalidInputError, TooManyTriesError, ConflictError) as error:
        errors = {error.field or "": error.message}
        return _form(request, {"login": login, "name": name}, errors, error.status)
    response = go_to(request, "/people")
    set_session_cookie(response, settings, session_token)
    return response


def _must_be_open(reads: Reads) -> None:
    with reads() as session:
        if people_exist(session):
            raise NotFoundError("The set-up is done: there are people already.")


def _form(request: Request, typed: dict[str, str], errors: dict[str, str], status: int) -> HTMLResponse:
    context = {
        "typed": typed,
        "errors": errors,
        "has_token": bool(request.app.state.setup_token),
        "shortest": SHORTEST,
    }
    return render(request, "setup/page.html", context, status=status)
