"""Signing in and out, and one's own account."""

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from webapp.desk import accounts, sessions
from webapp.desk.passwords import LONGEST, SHORTEST
from webapp.errors import InvalidInputError, NotAllowedError, TooManyTriesError
from webapp.settings import Settings
from webapp.store.people import people_exist
from webapp.store.sessions import count_sessions
from webapp.web.addresses import local_address
from webapp.web.deps import AppDatabase, AppPasswords, AppSettings, Commands, CurrentSession, Reads
from webapp.web.guards import COOKIE
from webapp.web.hosts import reached_on_loopback
from webapp.web.rendering import go_to, render

router = APIRouter()

NOTICES = {
    "password": "The password is changed, and all your other sessions have ended.",
    "signed-out": "You are signed out.",
    "everywhere": "You are signed out everywhere.",
}


@router.get("/sign-in", response_class=HTMLResponse)
def sign_in_page(request: Request, reads: Reads, next: str = "/", done: str = "") -> Response:  # noqa: A002
    """The form; whoever is signed in already goes on, and with nobody there yet the set-up comes first."""
    if request.state.person is not None:
        return RedirectResponse(local_address(next), status_code=303)
    with reads() as session:
        if not people_exist(session):
            return RedirectResponse("/setup", status_code=303)
    return _sign_in_form(request, next_page=next, notice=NOTICES.get(done))


@router.post("/sign-in", response_class=HTMLResponse)
def sign_in(
    request: Request,
    database: AppDatabase,
    settings: AppSettings,
    passwords: AppPasswords,
    login: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
    next: Annotated[str, Form()] = "/",  # noqa: A002
) -> Response:
    """Sign in and go on to where the person wanted to be."""
    typed = sessions.SignInRequest(
        login=login,
        password=password,
        address=address_of(request),
        on_loopback=reached_on_loopback(request.scope, settings.public_host),
        old_token=request.cookies.get(COOKIE, ""),
    )
    try:
        token = sessions.sign_in(database, passwords, settings, typed)
    except (InvalidInputError, NotAllowedError, TooManyTriesError) as error:
        errors = {error.field or "": error.message}
        return _sign_in_form(request, login=login, next_page=next, errors=errors, status=error.status)
    response = go_to(request, local_address(next))
    set_session_cookie(response, settings, token)
    return response


def _sign_in_form(
    request: Request,
    *,
    login: str = "",
    next_page: str = "/",
    errors: dict[str, str] | None = None,
    notice: str | None = None,
    status: int = 200,
) -> HTMLResponse:
    context = {
        "login": login,
        "next_page": local_address(next_page),
        "errors": errors or {},
        "notice_text": notice,
    }
    return render(request, "account/sign_in.html", context, status=status)


@router.post("/sign-out")
def sign_out(request: Request, signed_in: CurrentSession, settings: AppSettings, commands: Commands) -> Response:
    """End this session."""
    with commands() as session:
        sessions.sign_out(session, signed_in.session_id)
    return _signed_out(request, settings, "signed-out")


@router.get("/account", response_class=HTMLResponse)
def account_page(request: Request, signed_in: CurrentSession, reads: Reads, done: str = "") -> HTMLResponse:
    """The person's own account."""
    return _account(request, signed_in, reads, notice=NOTICES.get(done))


@router.post("/account/password", response_class=HTMLResponse)
def change_password(
    request: Request,
    signed_in: CurrentSession,
    database: AppDatabase,
    passwords: AppPasswords,
    settings: AppSettings,
    present_password: Annotated[str, Form()] = "",
    new_password: Annotated[str, Form()] = "",
) -> Response:
    """Change one's own password."""
    try:
        token = accounts.change_own_password(database, passwords, signed_in, present=present_password, new=new_password)
    except (InvalidInputError, TooManyTriesError) as error:
        errors = {error.field or "": error.message}
        return _account(request, signed_in, database.read, errors=errors, status=error.status)
    response = go_to(request, "/account?done=password")
    set_session_cookie(response, settings, token)
    return response


@router.post("/account/sign-out-everywhere")
def sign_out_everywhere(
    request: Request, signed_in: CurrentSession, settings: AppSettings, commands: Commands
) -> Response:
    """End all sessions of the person, this one included."""
    with commands() as session:
        sessions.sign_out_everywhere(session, signed_in.person)
    return _signed_out(request, settings, "everywhere")


def _account(
    request: Request,
    signed_in: sessions.SignedIn,
    reads: Reads,
    *,
    errors: dict[str, str] | None = None,
    notice: str | None = None,
    status: int = 200,
) -> HTMLResponse:
    with reads() as session:
        open_sessions = count_sessions(session, signed_in.person.id)
    context = {
        "errors": errors or {},
        "notice_text": notice,
        "open_sessions": open_sessions,
        "shortest": SHORTEST,
        "longest": LONGEST,
    }
    return render(request, "account/page.html", context, status=status)


def _signed_out(request: Request, settings: Settings, done: str) -> Response:
    response = go_to(request, f"/sign-in?{urlencode({'done': done})}")
    response.delete_cookie(COOKIE, path="/", secure=settings.secure_cookies, httponly=True, samesite="lax")
    return response


def address_of(request: Request) -> str:
    """The address a request came from, as far as the server knows it."""
    return request.client.host if request.client else "unknown"


def set_session_cookie(response: Response, settings: Settings, token: str) -> None:
    """Hand the session's token to the browser, out of reach of scripts and of other sites' forms."""
    response.set_cookie(
        COOKIE,
        token,
        max_age=settings.session_max_hours * 3600,
        path="/",
        secure=settings.secure_cookies,
        httponly=True,
        samesite="lax",
    )
