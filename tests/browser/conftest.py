"""A real server and a real browser: Chromium of the system, driven by playwright."""

import os
import shutil
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from time import monotonic, sleep
from typing import Any

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Error, Page, Response, sync_playwright

from webapp.desk import accounts
from webapp.desk.passwords import Passwords
from webapp.settings import Settings
from webapp.store.engine import Database, open_database
from webapp.trade.people import Role
from webapp.web.app import create_app

PASSWORD = "seven copper kettles"
SETUP_TOKEN = "kettle-token"
# Without these Chromium looks for updates and the like on every start.
CHROMIUM_ARGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
LOADED_BY_PAGES = {"stylesheet", "script", "image", "font"}


@dataclass(frozen=True)
class Server:
    """A running server: its address, and the database behind it for preparing a test."""

    url: str
    database: Database
    settings: Settings


@dataclass
class Pages:
    """Opens pages and keeps what they complained of."""

    browser: Browser
    server: Server
    states: dict[Role, Any]
    contexts: list[BrowserContext] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def open(self, path: str, role: Role | None = Role.ENGINEER, *, width: int = 1440, **options: Any) -> Page:
        """A page at ``path`` in a window of its own; ``role`` is who is signed in. Options as of a browser context."""
        state = self._signed_in(role) if role else None
        page = self._page(storage_state=state, viewport={"width": width, "height": 900}, **options)
        page.goto(path)
        return page

    def _page(self, **options: Any) -> Page:
        context = self.browser.new_context(base_url=self.server.url, **options)
        self.contexts.append(context)
        page = context.new_page()
        page.on("console", self._on_console)
        page.on("pageerror", self._on_error)
        page.on("response", self._on_response)
        return page

    def _signed_in(self, role: Role) -> Any:
        if role not in self.states:
            page = self._page()
            page.goto("/sign-in")
            page.get_by_label("Login").fill(role)
            page.get_by_label("Password").fill(PASSWORD)
            page.get_by_role("button", name="Sign in").click()
            page.get_by_text(f"The {role}").first.wait_for()
            self.states[role] = page.context.storage_state()
        return self.states[role]

    def _on_console(self, message: ConsoleMessage) -> None:
        # Violations of the content security policy come as errors too. Statuses are looked at in the responses.
        if message.type == "error" and not message.text.startswith("Failed to load resource"):
            self.complaints.append(f"console: {message.text}")

    def _on_error(self, error: Error) -> None:
        self.complaints.append(f"script: {error}")

    def _on_response(self, response: Response) -> None:
        if response.status >= 400 and response.request.resource_type in LOADED_BY_PAGES:
            self.complaints.append(f"{response.status}: {response.url}")


def _chromium() -> str | None:
    return shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Headless Chromium; without one the tests are skipped, with CI=true they fail."""
    executable = _chromium()
    if executable is None:
        reason = "no chromium here: scripts/chromium.sh installs it where it can"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=executable, args=CHROMIUM_ARGS)
        yield opened
        opened.close()


@contextmanager
def serving(
    folder: Path, migrated_file: Path, passwords: Passwords, *people: Role, setup_token: str = ""
) -> Iterator[Server]:
    """The app on a free port of this machine, with one person for each role of ``people`` (login: the role's name)."""
    settings = Settings(data_dir=folder)
    shutil.copyfile(migrated_file, folder / "meltline.sqlite3")
    database = open_database(settings.db_url)
    for role in people:
        _add_person(database, passwords, role)
    app = create_app(settings, database, passwords=passwords, setup_token=setup_token)
    runner = uvicorn.Server(uvicorn.Config(app, log_config=None, lifespan="on"))
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        thread = threading.Thread(target=runner.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        _wait_until(lambda: runner.started)
        yield Server(f"http://127.0.0.1:{listening.getsockname()[1]}", database, settings)
        runner.should_exit = True
        thread.join(timeout=10)
    database.close()


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory, migrated_file: Path, passwords: Passwords) -> Iterator[Server]:
    """A server with one person for each role."""
    with serving(tmp_path_factory.mktemp("server"), migrated_file, passwords, *Role) as running:
        yield running


def _add_person(database: Database, passwords: Passwords, role: Role) -> None:
    new = accounts.new_person(
        passwords, login=role, name=f"The {role}", password=PASSWORD, roles=frozenset({role}), is_demo=False
    )
    with database.command() as session:
        accounts.add_person(session, new)


def _wait_until(holds: Callable[[], bool], seconds: float = 20) -> None:
    end = monotonic() + seconds
    while not holds():
        if monotonic() > end:
            raise TimeoutError("the server did not start")
        sleep(0.02)


@pytest.fixture(scope="session")
def signed_in_states() -> dict[Role, Any]:
    """Cookies of the people that have signed in by the form, once a test run."""
    return {}


@contextmanager
def _opened(pages: Pages) -> Iterator[Pages]:
    yield pages
    for context in pages.contexts:
        context.close()
    assert not pages.complaints, "\n".join(pages.complaints)


@pytest.fixture
def pages(browser: Browser, server: Server, signed_in_states: dict[Role, Any]) -> Iterator[Pages]:
    """``pages.open(path, role, width=...)``; the test fails when a page wrote an error or broke the security policy."""
    with _opened(Pages(browser, server, signed_in_states)) as opened:
        yield opened


@pytest.fixture
def fresh_pages(browser: Browser, tmp_path: Path, migrated_file: Path, passwords: Passwords) -> Iterator[Pages]:
    """The same on a server of its own on which nobody is known yet; its set-up token is SETUP_TOKEN."""
    with (
        serving(tmp_path, migrated_file, passwords, setup_token=SETUP_TOKEN) as running,
        _opened(Pages(browser, running, {})) as opened,
    ):
        yield opened
