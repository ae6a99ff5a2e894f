"""The database connection and its two kinds of transaction.

On SQLite a transaction that reads first and writes later can lose another's write or fail with "locked" in spite of
the busy timeout, because the lock is only asked for at the write. So commands begin with ``BEGIN IMMEDIATE`` (they
queue for the write lock up front) and reads with plain ``BEGIN`` (they never wait for a writer, thanks to WAL).
"""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import make_url
from sqlmodel import Session

from webapp.store import ledger

BUSY_TIMEOUT_MS = 10_000


@dataclass(frozen=True)
class Database:
    """An open database: ``read()`` and ``command()`` are context managers that give a session.

    A command commits when its block ends and rolls back when the block raises; a read never writes.
    """

    engine: Engine
    writer: Engine

    @contextmanager
    def read(self) -> Iterator[Session]:
        """Session for queries only: whatever is left unsaved at the end is dropped."""
        with Session(self.engine) as session:
            yield session

    @contextmanager
    def command(self) -> Iterator[Session]:
        """Session of one use-case: one transaction, committed at the end of the block or not at all."""
        with Session(self.writer, expire_on_commit=False) as session, session.begin():
            yield session
            ledger.append_pending(session)

    def close(self) -> None:
        """Give all connections back."""
        self.engine.dispose()


def sqlite_path(url: str) -> Path | None:
    """The file of an SQLite database; None for another kind, or one in memory."""
    parsed = make_url(url)
    is_file = parsed.get_backend_name() == "sqlite" and parsed.database and parsed.database != ":memory:"
    return Path(str(parsed.database)) if is_file else None


SessionMaker = Callable[[], AbstractContextManager[Session]]


def open_database(url: str) -> Database:
    """Open the database at ``url`` (SQLite or PostgreSQL); an SQLite file's folder is made if missing."""
    parsed = make_url(url)
    if parsed.get_backend_name() != "sqlite":
        engine = create_engine(parsed, pool_pre_ping=True)
        return Database(engine, engine)
    if path := sqlite_path(url):
        path.parent.mkdir(parents=True, exist_ok=True)
    # isolation_level None: the driver begins no transaction of its own accord, _begin does.
    engine = create_engine(parsed, connect_args={"isolation_level": None, "check_same_thread": False})
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin)
    return Database(engine, engine.execution_options(meltline_begin="BEGIN IMMEDIATE"))


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_MS}")
    cursor.execute("PRAGMA journal_mode = WAL")
    # FULL: with NORMAL in WAL mode a power cut may take back commits that were already acknowledged.
    cursor.execute("PRAGMA synchronous = FULL")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _begin(connection: Connection) -> None:
    connection.exec_driver_sql(connection.get_execution_options().get("meltline_begin", "BEGIN"))
