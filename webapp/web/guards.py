"""Who gets in: the host a request names, whose form it is, who is signed in. Pure ASGI like all middleware here."""

import structlog
from anyio import to_thread
from fastapi import Request
from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from webapp.desk import sessions
from webapp.errors import MeltlineError, NotAllowedError, SignInNeededError
from webapp.settings import Settings
from webapp.store.engine import Database
from webapp.web import problems
from webapp.web.hosts import host_name, is_loopback, same_authority

COOKIE = "meltline_session"
HEALTH_PATHS = ("/healthz", "/readyz")
SAFE_METHODS = ("GET", "HEAD", "OPTIONS", "TRACE")
# Everything else needs a person: a page whose author forgot to ask for one stays shut.
OPEN_PATHS = (*HEALTH_PATHS, "/sign-in", "/setup", "/help")
OPEN_FOLDERS = ("/static/", "/help/")


async def refuse(error: MeltlineError, scope: Scope, receive: Receive, send: Send) -> None:
    """Answer with an error in the look of all errors."""
    await problems.answer(Request(scope), error)(scope, receive, send)


class HostCheck:
    """Refuses host names that are not ours.

    A foreign page can point its own name at 127.0.0.1 and then read what is served there ("DNS rebinding"). So on a
    loopback address only names of the machine itself count, besides the public host of the settings. On another
    address without a public host every name is let in: the session cookie belongs to the name it was set for, and
    what works without one (signing in, set-up) asks for a secret. The health pages answer to any name, for probes.
    """

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app = app
        self.public_host = settings.public_host

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and scope["path"] not in HEALTH_PATHS and not self._is_ours(scope):
            error = NotAllowedError("This server does not go by that name.", code="unknown_host")
            await refuse(error, scope, receive, send)
            return
        await self.app(scope, receive, send)

    def _is_ours(self, scope: Scope) -> bool:
        host = Headers(scope=scope).get("host", "")
        if self.public_host and same_authority(host, self.public_host):
            return True
        server = scope.get("server")
        if server and is_loopback(str(server[0])):
            return is_loopback(host_name(host))
        return not self.public_host


class CrossSiteCheck:
    """Refuses what changes something when the request was made by another site's page.

    Browsers say so in ``Sec-Fetch-Site``, which no page can set: only our own pages (same-origin) and the person
    directly (none) pass; sites beside us under one domain (same-site) do not. Where that header is missing (plain HTTP
    on a network, old browsers) the ``Origin`` must be our host. With neither it is no browser of the last years: then
    a session cookie is refused, since it could only be there for a browser; without one there is nothing to misuse.
    """

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app = app
        self.public_host = settings.public_host

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        is_checked = scope["type"] == "http" and scope["method"] not in SAFE_METHODS
        if is_checked and not self._is_our_own(Request(scope)):
            error = NotAllowedError(
                "This request came from another site and was not carried out. Open the page here and try again.",
                code="cross_site",
            )
            await refuse(error, scope, receive, send)
            return
        await self.app(scope, receive, send)

    def _is_our_own(self, request: Request) -> bool:
        sites = request.headers.getlist("sec-fetch-site")
        if sites:
            return all(site in ("same-origin", "none") for site in sites)
        origins = request.headers.getlist("origin")
        if origins:
            return all(self._is_our_host(origin, request) for origin in origins)
        return COOKIE not in request.cookies

    def _is_our_host(self, origin: str, request: Request) -> bool:
        scheme, _, authority = origin.partition("://")
        ours = self.public_host or request.headers.get("host", "")
        return scheme in ("http", "https") and same_authority(authority, ours)


class SignedInCheck:
    """Finds out who is signed in (``request.state.person`` and ``.signed_in``, or None) and refuses nobodies."""

    def __init__(self, app: ASGIApp, settings: Settings, database: Database) -> None:
        self.app = app
        self.settings = settings
        self.database = database

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["path"] in HEALTH_PATHS or scope["path"].startswith("/static/"):
            await self.app(scope, receive, send)
            return
        token = Request(scope).cookies.get(COOKIE, "")
        # The database is synchronous, so it is asked in a thread like the pages are.
        signed_in = await to_thread.run_sync(sessions.resume, self.database, self.settings, token) if token else None
        person = signed_in.person if signed_in else None
        scope.setdefault("state", {}).update(signed_in=signed_in, person=person)
        if person is None and not _is_open(scope["path"]):
            error = SignInNeededError("Sign in first: nobody is signed in, or the session is over.")
            await refuse(error, scope, receive, send)
            return
        with structlog.contextvars.bound_contextvars(person=person.login if person else None):
            await self.app(scope, receive, send)


def _is_open(path: str) -> bool:
    return path in OPEN_PATHS or path.startswith(OPEN_FOLDERS)
