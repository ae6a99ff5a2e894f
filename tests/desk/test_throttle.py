import threading

import pytest

from webapp.desk import throttle
from webapp.desk.throttle import LIMITS, WINDOW, Kind, take_try
from webapp.errors import TooManyTriesError
from webapp.store.base import utc_now
from webapp.store.engine import open_database

IDA = [(Kind.LOGIN, "ida")]


def use_up(database, subjects):
    for _ in range(LIMITS[subjects[0][0]]):
        take_try(database, subjects)


def test_the_limit_is_told_with_the_time_to_wait(database):
    use_up(database, IDA)
    with pytest.raises(TooManyTriesError, match="Try again in 15 minutes"):
        take_try(database, IDA)
    take_try(database, [(Kind.LOGIN, "ada")])


def test_one_subject_over_its_limit_is_enough(database):
    use_up(database, IDA)
    with pytest.raises(TooManyTriesError):
        take_try(database, [*IDA, (Kind.ADDRESS, "192.0.2.7")])


def test_a_restart_forgets_nothing(database, settings):
    use_up(database, IDA)
    again = open_database(settings.db_url)
    with pytest.raises(TooManyTriesError):
        take_try(again, IDA)
    again.close()


def test_after_the_window_tries_are_free_again(database, monkeypatch):
    use_up(database, IDA)
    later = utc_now() + WINDOW
    monkeypatch.setattr(throttle, "utc_now", lambda: later)
    take_try(database, IDA)


def test_tries_at_the_same_time_do_not_slip_through(database):
    passed, refused = [], []

    def work():
        for _ in range(5):
            try:
                take_try(database, IDA)
                passed.append(1)
            except TooManyTriesError:
                refused.append(1)

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (len(passed), len(refused)) == (LIMITS[Kind.LOGIN], 20 - LIMITS[Kind.LOGIN])


def test_a_good_try_clears_the_login_but_only_itself_from_the_address(database):
    both = [*IDA, (Kind.ADDRESS, "192.0.2.7")]
    for _ in range(5):
        take_try(database, both)
    with database.command() as session:
        throttle.succeeded(session, both)
    use_up(database, IDA)
    for _ in range(LIMITS[Kind.ADDRESS] - 4):
        take_try(database, [(Kind.ADDRESS, "192.0.2.7")])
    with pytest.raises(TooManyTriesError):
        take_try(database, [(Kind.ADDRESS, "192.0.2.7")])
