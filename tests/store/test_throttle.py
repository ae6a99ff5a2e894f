import threading
from datetime import timedelta

import pytest

from webapp.store import migrate, throttle
from webapp.store.base import utc_now
from webapp.store.engine import open_database

WINDOW = timedelta(minutes=15)


def count(database, subject="ida", now=None):
    now = now or utc_now()
    with database.command() as session:
        return throttle.count_try(session, "login", subject, now, now - WINDOW)[0]


@pytest.fixture(params=["sqlite", "postgresql"])
def counted(request):
    """A migrated database of each kind."""
    if request.param == "sqlite":
        yield request.getfixturevalue("database")
        return
    database = open_database(request.getfixturevalue("postgres_url"))
    migrate.upgrade(database)
    yield database
    database.close()


def test_tries_are_counted_by_subject(counted):
    assert [count(counted), count(counted), count(counted, "ada"), count(counted)] == [1, 2, 1, 3]


def test_a_count_begins_anew_after_its_window(counted):
    then = utc_now() - WINDOW
    assert [count(counted, now=then), count(counted, now=then), count(counted)] == [1, 2, 1]


def test_tries_at_the_same_time_are_each_counted(counted):
    counts: list[int] = []

    def work():
        counts.extend(count(counted) for _ in range(5))

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(counts) == list(range(1, 21))


def test_counts_are_taken_back_forgotten_and_dropped_when_stale(counted):
    count(counted)
    count(counted)
    with counted.command() as session:
        throttle.take_back_try(session, "login", "ida")
    assert count(counted) == 2
    with counted.command() as session:
        throttle.forget_tries(session, "login", "ida")
    assert count(counted) == 1
    with counted.command() as session:
        throttle.delete_stale(session, utc_now())
    assert count(counted) == 1


def test_a_subject_of_any_length_fits(counted):
    assert [count(counted, "x" * 500), count(counted, "x" * 500)] == [1, 2]
