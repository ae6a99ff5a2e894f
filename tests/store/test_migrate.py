import subprocess
import sys
from pathlib import Path

import pytest
from alembic.util.exc import CommandError
from sqlalchemy import inspect, text
from sqlalchemy.exc import IntegrityError

from webapp.store import migrate
from webapp.store.engine import Database, open_database
from webapp.store.people import roles_of
from webapp.store.tables import metadata
from webapp.trade.people import Role

ROOT = Path(__file__).parents[2]


def names(database: Database) -> set[str]:
    with database.engine.connect() as connection:
        return set(inspect(connection).get_table_names()) - {"alembic_version"}


@pytest.fixture(params=["sqlite", "postgresql"])
def empty(request, tmp_path):
    """An empty database of each kind."""
    if request.param == "sqlite":
        url = f"sqlite:///{tmp_path / 'x.sqlite3'}"
    else:
        url = request.getfixturevalue("postgres_url")
    database = open_database(url)
    yield database
    database.close()


def test_up_down_up_and_no_difference_to_the_tables(empty):
    assert not migrate.is_current(empty)
    migrate.upgrade(empty)
    assert names(empty) == set(metadata.tables)
    assert migrate.is_current(empty)
    migrate.downgrade(empty, "base")
    assert names(empty) == set()
    assert not migrate.is_current(empty)
    migrate.upgrade(empty)
    migrate.check(empty)


def test_more_fields_of_parts_keep_what_was_stated_and_every_rule(empty):
    """0005: values stay, also those that ended; what the table refused it still refuses; down, the new ones go."""
    migrate.upgrade(empty, "0004")
    with empty.command() as session:
        for words in (PERSON, PART):
            session.connection().execute(text(words))
        state(session, "limit_c", ended=True)
        state(session, "limit_c")
    migrate.upgrade(empty)
    with empty.command() as session:
        state(session, "wash")
        state(session, "standoff_mm")
    for more in ({"field": "colour"}, {"field": "limit_c"}, {"low": 5}, {"kind": "rumour"}):
        with pytest.raises(IntegrityError), empty.command() as session:
            state(session, **{"field": "current_a", **more})
    assert stated(empty) == ["limit_c", "limit_c", "standoff_mm", "wash"]
    migrate.downgrade(empty, "0004")
    assert stated(empty) == ["limit_c", "limit_c"]
    with pytest.raises(IntegrityError), empty.command() as session:
        state(session, "wash")


PERSON = "INSERT INTO person VALUES (1, 'ida', 'Ida', 'x', true, false, '2026-11-25 10:00:00', 1)"
PART = (
    "INSERT INTO part (id, key, label, maker_key, prefix, size_system, class_text, created_at, version) "
    "VALUES (1, 'k', 'MX-800', '', '', '', '', '2026-11-25 10:00:00', 1)"
)
VALUE = (
    "INSERT INTO part_value (part_id, field, low, high, typed, source_kind, source_status, reference, note, stated_by, "
    "stated_at, ended_by, ended_at) VALUES (1, :field, :low, 4, '1..4', :kind, 'entered', '', '', 1, "
    "'2026-11-25 10:00:00', CASE WHEN :ended THEN 1 END, CASE WHEN :ended THEN TIMESTAMP '2026-11-25 10:00:00' END)"
)


def state(session, field, *, ended=False, low=1, kind="entered"):
    """Store a value, without the classes of today."""
    on_sqlite = session.connection().dialect.name == "sqlite"
    words = VALUE.replace("TIMESTAMP ", "") if on_sqlite else VALUE
    session.connection().execute(text(words), {"field": field, "low": low, "kind": kind, "ended": ended})


def stated(database):
    """The fields of all values there are."""
    with database.engine.connect() as connection:
        return list(connection.execute(text("SELECT field FROM part_value ORDER BY field")).scalars())


def test_the_check_sees_a_difference(empty):
    migrate.upgrade(empty)
    with empty.command() as session:
        session.connection().execute(text("CREATE TABLE stray (n INTEGER)"))
    with pytest.raises(CommandError, match="stray"):
        migrate.check(empty)


def test_migrating_twice_changes_nothing(empty):
    migrate.upgrade(empty)
    migrate.upgrade(empty)
    assert migrate.is_current(empty)


def test_foreign_keys_are_on_again_after_migrating(tmp_path):
    database = open_database(f"sqlite:///{tmp_path / 'x.sqlite3'}")
    migrate.upgrade(database)
    with database.engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar_one() == 1
    database.close()


def test_a_table_may_be_copied_and_dropped_without_deleting_what_points_to_it(database, add_person):
    """What alembic's batch mode does on SQLite: person's roles hang on it by a cascade."""
    person = add_person(Role.ENGINEER)
    with migrate.migrating(database) as config:
        connection = config.attributes["connection"]
        connection.execute(text("CREATE TABLE copy AS SELECT * FROM person"))
        connection.execute(text("DROP TABLE person"))
        connection.execute(text("ALTER TABLE copy RENAME TO person"))
    with database.read() as session:
        assert roles_of(session, person.id) == {Role.ENGINEER}


def test_a_migration_that_fails_leaves_nothing_behind(tmp_path):
    database = open_database(f"sqlite:///{tmp_path / 'x.sqlite3'}")
    with pytest.raises(RuntimeError), migrate.migrating(database) as config:
        config.attributes["connection"].execute(text("CREATE TABLE half (n INTEGER)"))
        raise RuntimeError
    assert names(database) == set()
    database.close()


def test_two_servers_starting_at_once_take_turns(tmp_path):
    url = f"sqlite:///{tmp_path / 'x.sqlite3'}"
    code = (
        "import sys; from webapp.store import migrate; from webapp.store.engine import open_database; "
        "migrate.upgrade(open_database(sys.argv[1]))"
    )
    both = [
        subprocess.Popen([sys.executable, "-c", code, url], cwd=ROOT, stderr=subprocess.PIPE, text=True)
        for _ in range(2)
    ]
    assert [(process.communicate()[1], process.returncode) for process in both] == [("", 0), ("", 0)]
    database = open_database(url)
    assert migrate.is_current(database)
    database.close()
