"""The app factory: everything a page needs hangs on the app it makes, nothing on a module."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from urllib.parse import parse_qs

from anyio import to_thread
from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles
from starlette.middleware import Middleware
from starlette.responses import Response
from starlette.types import Scope

from webapp import __version__
from webapp.desk.drafts import DraftClosedError
from webapp.desk.passwords import Passwords
from webapp.desk.sweep import Sweeper
from webapp.resources import resource_dir
from webapp.settings import Settings
from webapp.store.engine import Database
from webapp.web import problems
from webapp.web.guards import CrossSiteCheck, HostCheck, SignedInCheck
from webapp.web.middleware import BodyLimit, RequestLog, SecurityHeaders, UnexpectedErrors
from webapp.web.pages import (
    account,
    actions,
    alloy_edit,
    alloys,
    audit,
    check_help,
    declarations,
    describe,
    figures,
    health,
    part,
    parts,
    pastes,
    people,
    portfolio,
    product_tabs,
    products,
    quick_look,
    review,
    setup,
    standard_tables,
    start,
    tour,
    uploads,
    wanted,
)
from webapp.web.pages import help as help_pages
from webapp.web.pages.uploads.common import show_closed
from webapp.web.rendering import make_environment

ROUTERS = (
    health.router,
    start.router,
    account.router,
    setup.router,
    people.router,
    audit.router,
    uploads.router,
    # Before the products, whose address takes whatever follows.
    describe.router,
    product_tabs.router,
    wanted.router,
    products.router,
    parts.router,
    part.router,
    declarations.router,
    # Before the alloys, whose address takes whatever follows.
    alloy_edit.router,
    pastes.router,
    figures.router,
    alloys.router,
    quick_look.router,
    portfolio.router,
    actions.router,
    review.router,
    tour.router,
    check_help.router,
    standard_tables.router,
    help_pages.router,
)

# At most as many pages at once as the database has connections (5 + 10), one each.
THREADS = 12


def create_app(
    settings: Settings,
    database: Database,
    *,
    passwords: Passwords | None = None,
    setup_token: str = "",
    with_openapi: bool = False,
    sweeper: Sweeper | None = None,
) -> FastAPI:
    """The app on an open, migrated database.

    ``passwords`` is given by tests that need cheap hashing, ``setup_token`` opens the set-up page while there are no
    people, ``with_openapi`` publishes the description of the routes (for tests that go through them all).
    ``sweeper`` runs while the app does.
    """
    app = FastAPI(
        title="Meltline",
        version=__version__,
        openapi_url="/openapi.json" if with_openapi else None,
        docs_url=None,
        redoc_url=None,
        lifespan=_lifespan,
        # From the outside in; what an inner one refuses still gets its number and its headers.
        middleware=[
            Middleware(RequestLog),
            Middleware(SecurityHeaders, settings),
            Middleware(UnexpectedErrors),
            Middleware(HostCheck, settings),
            Middleware(BodyLimit, settings),
            Middleware(CrossSiteCheck, settings),
            Middleware(SignedInCheck, settings, database),
        ],
    )
    app.state.settings = settings
    app.state.database = database
    app.state.passwords = passwords or Passwords()
    app.state.setup_token = setup_token
    app.state.templates = make_environment()
    app.state.sweeper = sweeper
    problems.add_handlers(app)
    app.add_exception_handler(DraftClosedError, show_closed)
    for router in ROUTERS:
        app.include_router(router)
    app.mount("/static", VersionedFiles(directory=resource_dir("static")))
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    to_thread.current_default_thread_limiter().total_tokens = THREADS
    sweeper: Sweeper | None = app.state.sweeper
    if sweeper is None:
        yield
        return
    sweeper.start()
    try:
        yield
    finally:
        await to_thread.run_sync(sweeper.stop)


class VersionedFiles(StaticFiles):
    """Static files: kept for good when asked for by version (the content's hash), else looked up again each time."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """The file, with how long it may be kept."""
        response = await super().get_response(path, scope)
        has_version = "v" in parse_qs(scope["query_string"].decode("latin-1"))
        response.headers["Cache-Control"] = "public, max-age=31536000, immutable" if has_version else "no-cache"
        return response
