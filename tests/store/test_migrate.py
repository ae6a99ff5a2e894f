import pytest
from alembic.util.exc import CommandError
from sqlalchemy import inspect, text

from webapp.store import migrate
from webapp.store.engine import Database, open_database
from webapp.store.tables import metadata


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
