"""Bring a database to the newest migration, in-process and from wherever the package is installed."""

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, text

from webapp.resources import resource_dir
from webapp.store.engine import Database

# Any number that no other program takes as an advisory lock on the same PostgreSQL database.
_LOCK = 7_205_759_403


def upgrade(database: Database, revision: str = "head") -> None:
    """Migrate up to ``revision``; two processes starting at once take turns."""
    with migrating(database) as config:
        command.upgrade(config, revision)


def downgrade(database: Database, revision: str) -> None:
    """Migrate down to ``revision`` ("base" is the empty database)."""
    with migrating(database) as config:
        command.downgrade(config, revision)


def check(database: Database) -> None:
    """Compare the database with the tables in the code; alembic's CommandError says what differs."""
    with migrating(database) as config:
        command.check(config)


def is_current(database: Database) -> bool:
    """Whether the database answers and is at the newest migration; errors of the connection pass through."""
    with database.engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision() == newest_revision()


@cache
def newest_revision() -> str | None:
    """The newest migration in the migrations folder."""
    return ScriptDirectory.from_config(_config()).get_current_head()


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(resource_dir("migrations")).replace("%", "%%"))
    return config


@contextmanager
def migrating(database: Database) -> Iterator[Config]:
    """Alembic's configuration with a connection in one transaction: a migration that fails leaves nothing behind."""
    config = _config()
    with database.writer.connect() as connection, _foreign_keys_off(connection), connection.begin():
        if connection.dialect.name == "postgresql":
            connection.execute(text("SET LOCAL lock_timeout = '4s'"))
            connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
        config.attributes["connection"] = connection
        yield config


@contextmanager
def _foreign_keys_off(connection: Connection) -> Iterator[None]:
    """SQLite changes a table by copying and dropping it, and dropping would delete what points to it by cascade.

    The switch works outside a transaction only, hence on the driver's connection and before it begins.
    """
    if connection.dialect.name != "sqlite":
        yield
        return
    driver = connection.connection.driver_connection
    if driver is None:
        raise RuntimeError("the connection is closed")
    driver.execute("PRAGMA foreign_keys = OFF")
    try:
        yield
    finally:
        driver.execute("PRAGMA foreign_keys = ON")
