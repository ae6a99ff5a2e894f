"""The demo: invented people whose passwords stand in the code, therefore only ever on this machine itself."""

import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import inspect

from webapp.desk import accounts
from webapp.desk.passwords import Passwords
from webapp.errors import ConflictError, NotAllowedError
from webapp.settings import Settings
from webapp.store import people
from webapp.store.engine import Database, open_database, sqlite_path
from webapp.trade.people import Role


@dataclass(frozen=True, slots=True)
class DemoPerson:
    """One invented person."""

    login: str
    name: str
    password: str
    role: Role


DEMO_PEOPLE = (
    DemoPerson("ida", "Ida Varnholm", "warm-solder-ida", Role.ENGINEER),
    DemoPerson("ruben", "Ruben Okasse", "slow-ramp-ruben", Role.REVIEWER),
    DemoPerson("mara", "Mara Lindqvar", "clear-view-mara", Role.MANAGER),
    DemoPerson("anton", "Anton Perrelt", "open-doors-anton", Role.ADMINISTRATOR),
)


def load_demo(database: Database, passwords: Passwords) -> bool:
    """Add the demo people if there is nobody at all; whether they were added."""
    new = [
        accounts.new_person(
            passwords,
            login=demo.login,
            name=demo.name,
            password=demo.password,
            roles=frozenset({demo.role}),
            is_demo=True,
        )
        for demo in DEMO_PEOPLE
    ]
    with database.command() as session:
        people.lock_people(session)
        if people.people_exist(session):
            return False
        for person in new:
            accounts.add_person(session, person)
    return True


def delete_local_data(settings: Settings, *, own_people_too: bool) -> None:
    """Delete the SQLite file and the uploaded files.

    Raises NotAllowedError for another kind of database, and when it holds people who are no demo accounts (unless
    ``own_people_too``); ConflictError while a server has the file open.
    """
    path = sqlite_path(settings.db_url)
    if path is None:
        raise NotAllowedError("Only a local SQLite database can be reset.")
    if path.exists():
        _check_deletable(settings, path, own_people_too=own_people_too)
    for suffix in ("", "-wal", "-shm"):
        path.with_name(path.name + suffix).unlink(missing_ok=True)
    shutil.rmtree(settings.files_dir, ignore_errors=True)


def _check_deletable(settings: Settings, path: Path, *, own_people_too: bool) -> None:
    database = open_database(settings.db_url)
    try:
        with database.read() as session:
            has_people = inspect(session.connection()).has_table(people.PersonRow.__tablename__)
            own = has_people and people.own_people_exist(session)
        if own and not own_people_too:
            raise NotAllowedError("The database holds people who are no demo accounts; nothing was deleted.")
    finally:
        database.close()
    # Leaving WAL mode works only while nobody else has the file open: a server still running is noticed.
    try:
        with closing(sqlite3.connect(path, timeout=0)) as connection:
            connection.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.OperationalError as error:
        raise ConflictError("The database is in use: stop the server first.") from error
