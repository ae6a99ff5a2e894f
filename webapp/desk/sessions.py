"""Signing in, staying signed in and signing out.

The browser holds a random token in a cookie, the database its sha256 only: who reads the database cannot sign in with
it. A token brought along to the sign-in is never kept (session fixation), and a changed password ends all other
sessions.
"""

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256

from sqlmodel import Session

from webapp.desk import throttle
from webapp.desk.passwords import Passwords
from webapp.desk.throttle import Kind
from webapp.errors import InvalidInputError, NotAllowedError
from webapp.settings import Settings
from webapp.store import people, sessions
from webapp.store.base import utc_now
from webapp.store.engine import Database
from webapp.trade.people import Person, folded_login

TOUCH_EVERY = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class SignedIn:
    """Who a request comes from: the person and the session's id (the sha256 of the token)."""

    person: Person
    session_id: str


@dataclass(frozen=True, slots=True)
class SignInRequest:
    """What was typed, where it came from, whether it reached us on the machine itself, the token brought along."""

    login: str
    password: str
    address: str
    on_loopback: bool
    old_token: str = ""


def sign_in(database: Database, passwords: Passwords, settings: Settings, request: SignInRequest) -> str:
    """Check login and password and open a session; the token for the cookie.

    Raises TooManyTriesError, InvalidInputError (wrong login or password: it does not say which) and NotAllowedError
    (a demo account from another machine).
    """
    login = folded_login(request.login)
    subjects = [(Kind.LOGIN, login), (Kind.ADDRESS, request.address)]
    throttle.take_try(database, subjects)
    with database.read() as session:
        row = people.row_by_login(session, login)
    # Verified between the transactions: hashing takes a tenth of a second, during which nobody else could write.
    right, renewed = passwords.verify(request.password, row.password_hash if row else None)
    if not right or row is None or not row.active:
        raise InvalidInputError("Login or password is not right.", field="password", code="wrong_login")
    if row.is_demo and not request.on_loopback:
        raise NotAllowedError("Demo accounts work only in a browser on the machine that runs the demo.")
    with database.command() as session:
        if renewed and (stored := session.get(people.PersonRow, row.id)):
            stored.password_hash = renewed
        throttle.succeeded(session, subjects)
        if request.old_token:
            sessions.delete_session(session, session_id_of(request.old_token))
        return open_session(session, settings, people.stored_id(row))


def open_session(session: Session, settings: Settings, person_id: int) -> str:
    """Open a session for a person whose identity is settled, and clear away those that are over; the token."""
    now = utc_now()
    sessions.delete_ended(session, now, now - _idle(settings))
    token = secrets.token_urlsafe(32)
    session.add(
        sessions.LoginSessionRow(
            id=session_id_of(token),
            person_id=person_id,
            created_at=now,
            last_seen_at=now,
            expires_at=now + timedelta(hours=settings.session_max_hours),
            rotated_at=now,
        )
    )
    return token


def resume(database: Database, settings: Settings, token: str) -> SignedIn | None:
    """Who the token belongs to, or None when its session is over or never was.

    Notes the use of the session every few minutes in a short command of its own. That is the one thing written while
    a page is only read: without it a session could not end by idleness, and no data of the trade is touched.
    """
    now = utc_now()
    session_id = session_id_of(token)
    with database.read() as session:
        found = sessions.open_session_row(session, session_id)
        if found is None or _is_over(found[0], settings, now):
            return None
        row, person_row = found
        signed_in = SignedIn(people.person_from(session, person_row), session_id)
        last_seen = row.last_seen_at
    if now - last_seen >= min(TOUCH_EVERY, _idle(settings) / 4):
        with database.command() as session:
            sessions.touch(session, session_id, now)
    return signed_in


def sign_out(session: Session, session_id: str) -> None:
    """End this session."""
    sessions.delete_session(session, session_id)


def sign_out_everywhere(session: Session, person: Person) -> None:
    """End all sessions of the person, this one included."""
    sessions.delete_sessions_of(session, person.id)


def rotate(session: Session, signed_in: SignedIn) -> str:
    """Give this session another token and end the person's others; the new token."""
    sessions.delete_sessions_of(session, signed_in.person.id, keep=signed_in.session_id)
    token = secrets.token_urlsafe(32)
    sessions.rename(session, signed_in.session_id, session_id_of(token), utc_now())
    return token


def session_id_of(token: str) -> str:
    """The sha256 of a token, in hexadecimal: the token is random and long, so no slow hash is needed."""
    return sha256(token.encode()).hexdigest()


def _idle(settings: Settings) -> timedelta:
    return timedelta(minutes=settings.session_idle_minutes)


def _is_over(row: sessions.LoginSessionRow, settings: Settings, now: datetime) -> bool:
    return now >= row.expires_at or now - row.last_seen_at >= _idle(settings)
