from dataclasses import replace
from datetime import timedelta
from functools import partial

import pytest
from pwdlib.hashers.argon2 import Argon2Hasher

from webapp.desk import sessions
from webapp.desk.passwords import Passwords
from webapp.desk.throttle import LIMITS, Kind
from webapp.errors import InvalidInputError, NotAllowedError, TooManyTriesError
from webapp.store.base import utc_now
from webapp.store.people import row_by_login
from webapp.store.sessions import LoginSessionRow, count_sessions
from webapp.trade.people import Role

PASSWORD = "seven copper kettles"


@pytest.fixture
def ida(add_person):
    return add_person(Role.ENGINEER, login="ida")


@pytest.fixture
def typed():
    return sessions.SignInRequest("ida", PASSWORD, "192.0.2.7", on_loopback=False)


@pytest.fixture
def enter(database, passwords, settings):
    return partial(sessions.sign_in, database, passwords, settings)


@pytest.fixture
def resume(database, settings):
    return partial(sessions.resume, database, settings)


@pytest.fixture
def at(monkeypatch):
    """``at(timedelta)`` moves the clock of the sessions."""
    begin = utc_now()

    def move(since_begin):
        monkeypatch.setattr(sessions, "utc_now", lambda: begin + since_begin)

    move(timedelta())
    return move


def test_the_token_leads_to_the_person(ida, typed, enter, resume):
    token = enter(replace(typed, login=" IDA "))
    signed_in = resume(token)
    assert signed_in.person == ida
    assert resume(token + "x") is None


def test_the_database_does_not_hold_the_token(ida, typed, enter, settings):
    token = enter(typed)
    files = b"".join(path.read_bytes() for path in settings.data_dir.iterdir())
    assert sessions.session_id_of(token).encode() in files
    assert token.encode() not in files


@pytest.mark.parametrize("change", [{"password": "wrong"}, {"login": "nobody"}, {"password": ""}])
def test_a_wrong_login_and_a_wrong_password_read_alike(ida, typed, enter, change):
    with pytest.raises(InvalidInputError, match=r"^Login or password is not right\.$"):
        enter(replace(typed, **change))


def test_a_closed_account_cannot_sign_in(ida, typed, enter, database):
    with database.command() as session:
        row_by_login(session, "ida").active = False
    with pytest.raises(InvalidInputError, match="not right"):
        enter(typed)


def test_guessing_is_stopped_even_with_the_right_password_at_last(ida, typed, enter):
    for _ in range(LIMITS[Kind.LOGIN]):
        with pytest.raises(InvalidInputError):
            enter(replace(typed, password="wrong"))
    with pytest.raises(TooManyTriesError):
        enter(typed)


def test_one_address_cannot_try_every_login(ida, typed, enter):
    for number in range(LIMITS[Kind.ADDRESS]):
        with pytest.raises(InvalidInputError):
            enter(replace(typed, login=f"guess{number}"))
    with pytest.raises(TooManyTriesError):
        enter(typed)
    enter(replace(typed, address="192.0.2.8"))


def test_signing_in_gives_the_tries_back(ida, typed, enter):
    for _ in range(3 * LIMITS[Kind.LOGIN]):
        enter(typed)


def test_the_token_brought_along_ends(ida, typed, enter, resume):
    old = enter(typed)
    new = enter(replace(typed, old_token=old))
    assert new != old
    assert resume(old) is None
    assert resume(new) is not None


def test_a_token_made_up_by_somebody_else_is_not_adopted(ida, typed, enter, resume):
    assert enter(replace(typed, old_token="planted")) != "planted"
    assert resume("planted") is None


def test_demo_accounts_work_on_the_machine_itself_only(add_person, typed, enter):
    add_person(Role.ENGINEER, login="demo", is_demo=True)
    with pytest.raises(NotAllowedError, match="on the machine"):
        enter(replace(typed, login="demo"))
    assert enter(replace(typed, login="demo", on_loopback=True))


def test_a_session_ends_by_idleness(ida, typed, enter, resume, settings, at):
    token = enter(typed)
    idle = timedelta(minutes=settings.session_idle_minutes)
    at(idle - timedelta(minutes=1))
    assert resume(token) is not None
    at(2 * idle - timedelta(minutes=2))
    assert resume(token) is not None, "using it keeps it alive"
    at(3 * idle - timedelta(minutes=2))
    assert resume(token) is None


def test_a_session_ends_after_its_time_however_much_it_is_used(ida, typed, enter, resume, settings, at):
    token = enter(typed)
    steps = settings.session_max_hours * 60 // settings.session_idle_minutes * 2
    for step in range(steps):
        at(timedelta(minutes=step * settings.session_idle_minutes / 2))
        assert resume(token) is not None
    at(timedelta(hours=settings.session_max_hours))
    assert resume(token) is None


def test_the_use_is_noted_every_few_minutes_not_at_every_request(ida, typed, enter, resume, database, at):
    token = enter(typed)

    def last_seen():
        with database.read() as session:
            return session.get(LoginSessionRow, sessions.session_id_of(token)).last_seen_at

    begin = last_seen()
    at(sessions.TOUCH_EVERY - timedelta(seconds=1))
    resume(token)
    assert last_seen() == begin
    at(sessions.TOUCH_EVERY)
    resume(token)
    assert last_seen() == begin + sessions.TOUCH_EVERY


def test_signing_in_clears_away_sessions_that_are_over(ida, typed, enter, database, settings, at):
    enter(typed)
    at(timedelta(minutes=settings.session_idle_minutes))
    enter(typed)
    with database.read() as session:
        assert count_sessions(session, ida.id) == 1


def test_rotating_keeps_this_session_under_another_token_and_ends_the_others(ida, typed, enter, resume, database):
    mine, other = enter(typed), enter(typed)
    with database.command() as session:
        token = sessions.rotate(session, resume(mine))
    assert resume(mine) is None
    assert resume(other) is None
    assert resume(token).person == ida


def test_signing_out_ends_one_session_or_all(ida, typed, enter, resume, database):
    one, two, three = enter(typed), enter(typed), enter(typed)
    with database.command() as session:
        sessions.sign_out(session, sessions.session_id_of(one))
    assert [resume(token) is not None for token in (one, two, three)] == [False, True, True]
    with database.command() as session:
        sessions.sign_out_everywhere(session, ida)
    assert [resume(token) is not None for token in (one, two, three)] == [False, False, False]


def test_a_hash_with_old_parameters_is_renewed_on_signing_in(ida, typed, database, passwords, settings):
    stronger = Passwords(Argon2Hasher(time_cost=2, memory_cost=8, parallelism=1))
    sessions.sign_in(database, stronger, settings, typed)
    with database.read() as session:
        assert "t=2" in row_by_login(session, "ida").password_hash
    sessions.sign_in(database, stronger, settings, typed)
