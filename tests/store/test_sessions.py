from datetime import timedelta

import pytest
from sqlalchemy.exc import IntegrityError

from webapp.store import sessions
from webapp.store.base import utc_now
from webapp.store.people import row_by_login
from webapp.store.sessions import LoginSessionRow
from webapp.trade.people import Role


def row(person_id, letter, *, age=timedelta(), life=timedelta(hours=1), seen=timedelta()):
    now = utc_now()
    begun = now - age
    return LoginSessionRow(
        id=letter * 64,
        person_id=person_id,
        created_at=begun,
        last_seen_at=now - seen,
        expires_at=begun + life,
        rotated_at=begun,
    )


def ids(database, person_id):
    with database.read() as session:
        return sessions.count_sessions(session, person_id), [
            letter for letter in "abc" if sessions.open_session_row(session, letter * 64)
        ]


def test_the_id_is_a_sha256_and_a_session_ends_after_it_begins(database, add_person):
    person = add_person(Role.ENGINEER)
    for name, wrong in (("id", "short"), ("expires_at", utc_now() - timedelta(days=1))):
        stored = row(person.id, "a")
        setattr(stored, name, wrong)
        with pytest.raises(IntegrityError), database.command() as session:
            session.add(stored)


def test_sessions_are_found_renamed_and_ended(database, add_person):
    person = add_person(Role.ENGINEER)
    with database.command() as session:
        session.add_all([row(person.id, "a"), row(person.id, "b")])
    with database.command() as session:
        sessions.rename(session, "b" * 64, "c" * 64, utc_now())
    assert ids(database, person.id) == (2, ["a", "c"])
    with database.command() as session:
        sessions.delete_session(session, "a" * 64)
    assert ids(database, person.id) == (1, ["c"])
    with database.command() as session:
        session.add_all([row(person.id, "a"), row(person.id, "b")])
        sessions.delete_sessions_of(session, person.id, keep="b" * 64)
    assert ids(database, person.id) == (1, ["b"])


def test_somebody_whose_account_is_closed_has_no_open_session(database, add_person):
    person = add_person(Role.ENGINEER)
    with database.command() as session:
        session.add(row(person.id, "a"))
        row_by_login(session, person.login).active = False
    assert ids(database, person.id) == (1, [])


def test_sessions_that_are_over_are_dropped(database, add_person):
    person = add_person(Role.ENGINEER)
    with database.command() as session:
        session.add(row(person.id, "a"))
        session.add(row(person.id, "b", age=timedelta(hours=2)))
        session.add(row(person.id, "c", seen=timedelta(hours=1)))
        now = utc_now()
        sessions.delete_ended(session, now, now - timedelta(minutes=30))
    assert ids(database, person.id) == (1, ["a"])
