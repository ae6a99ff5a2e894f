"""The chain, what breaks it, and entries from many threads at once."""

import threading

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError

from tests.desk.conftest import OnPostgres
from webapp.desk.ledger import record
from webapp.store import ledger
from webapp.store.ledger import LedgerView
from webapp.trade.ledger import FIRST_HASH, EntryKind, entry_hash
from webapp.trade.people import Person

IDA = Person(1, "ida", "Ida Varnholm", frozenset())
ENTRIES = 5


@pytest.fixture
def written(database):
    """A ledger of five entries."""
    for number in range(ENTRIES):
        with database.command() as session:
            record(session, IDA, EntryKind.SETUP_SAVED, f"product P{number}", {"thickness_mm": 1.6, "n": number})
    return database


def verified(database):
    with database.read() as session:
        return ledger.verify(session)


def tamper(database, *statements):
    """What somebody with the database in their hands can do: the triggers are dropped first."""
    with database.command() as session:
        connection = session.connection()
        if connection.dialect.name == "sqlite":
            connection.execute(text("DROP TRIGGER ledger_no_update"))
            connection.execute(text("DROP TRIGGER ledger_no_delete"))
        else:
            connection.execute(text("DROP TRIGGER ledger_no_change ON ledger_entry"))
        for statement in statements:
            connection.execute(text(statement))


SWAP = (
    "UPDATE ledger_entry SET number = 99 WHERE number = 2",
    "UPDATE ledger_entry SET number = 2 WHERE number = 3",
    "UPDATE ledger_entry SET number = 3 WHERE number = 99",
)
APPEND = (
    "INSERT INTO ledger_entry (number, at, actor, kind, subject, detail, previous_hash, hash) "
    "SELECT 6, at, actor, kind, subject, detail, hash, hash FROM ledger_entry WHERE number = 5"
)


class Chain:
    def test_entries_are_numbered_and_chained(self, written):
        with written.read() as session:
            rows, total = ledger.find_entries(session, LedgerView())
        assert total == ENTRIES
        assert [row.number for row in rows] == [5, 4, 3, 2, 1]
        assert [row.previous_hash for row in rows] == [*(row.hash for row in rows[1:]), FIRST_HASH]
        assert verified(written) == ledger.Verified(ENTRIES, None)

    def test_the_database_refuses_to_change_or_delete_entries(self, written):
        for statement in ("UPDATE ledger_entry SET actor = 'eve'", "DELETE FROM ledger_entry WHERE number = 5"):
            with pytest.raises(DatabaseError, match="append-only"), written.command() as session:
                session.connection().execute(text(statement))
        assert verified(written).ok

    @pytest.mark.parametrize(
        ("statements", "first"),
        [
            (("UPDATE ledger_entry SET subject = 'product P9' WHERE number = 2",), 2),
            (("UPDATE ledger_entry SET actor = 'eve' WHERE number = 5",), 5),
            (("UPDATE ledger_entry SET detail = '{}' WHERE number = 1",), 1),
            (("DELETE FROM ledger_entry WHERE number = 3",), 3),
            (("DELETE FROM ledger_entry WHERE number = 5",), 5),
            (("DELETE FROM ledger_entry",), 1),
            (SWAP, 2),
            ((APPEND,), 6),
        ],
    )
    def test_the_first_broken_entry_is_named(self, written, statements, first):
        tamper(written, *statements)
        assert verified(written).first_broken == first

    def test_an_entry_added_past_the_head_is_found_even_with_a_right_hash(self, written):
        with written.read() as session:
            (last, *_), _ = ledger.find_entries(session, LedgerView(), limit=1)
        values = {
            "number": 6,
            "at": last.at,
            "actor": "eve",
            "kind": "decision signed",
            "subject": "product P1",
            "detail": "{}",
        }
        digest = entry_hash(previous=last.hash, **values)
        with written.command() as session:
            session.add(ledger.LedgerEntryRow(**values, previous_hash=last.hash, hash=digest))
        assert verified(written).first_broken == 6

    def test_a_command_that_fails_leaves_no_entry(self, written):
        with pytest.raises(RuntimeError), written.command() as session:
            record(session, IDA, EntryKind.SETUP_SAVED, "product P1", {})
            raise RuntimeError
        assert verified(written).entries == ENTRIES

    def test_many_threads_make_one_chain(self, database):
        def write(name):
            for number in range(10):
                with database.command() as session:
                    record(session, IDA, EntryKind.ACTION_ADDED, f"{name} {number}", {"number": number})

        threads = [threading.Thread(target=write, args=(f"thread {i}",)) for i in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert verified(database) == ledger.Verified(40, None)


class TestOnSqlite(Chain):
    pass


class TestOnPostgres(OnPostgres, Chain):
    pass


def test_filters(written):
    with written.command() as session:
        record(session, None, EntryKind.PERSON_ADDED, "person eva", {})
    with written.read() as session:
        (row, *_), total = ledger.find_entries(session, LedgerView(kind="person added"))
        assert (row.actor, total) == ("command-line", 1)
        assert ledger.find_entries(session, LedgerView(actor="ida", search="p3"))[1] == 1
        assert ledger.find_entries(session, LedgerView(since=row.at))[1] == 1
        assert ledger.find_entries(session, LedgerView(before=row.at))[1] == ENTRIES
        assert ledger.actors(session) == ["command-line", "ida"]


def test_what_json_cannot_hold_is_refused_at_once(database):
    with database.command() as session, pytest.raises(ValueError, match="JSON"):
        record(session, IDA, EntryKind.SETUP_SAVED, "product", {"t_max_c": float("nan")})
