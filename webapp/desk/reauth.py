"""Entering the password again before signing: one time serves for ten minutes, in this session only."""

from datetime import datetime, timedelta

from sqlmodel import Session

from webapp.desk import throttle
from webapp.desk.passwords import Passwords
from webapp.desk.sessions import SignedIn
from webapp.desk.throttle import Kind
from webapp.errors import InvalidInputError, NotAllowedError, SignInNeededError
from webapp.store import people, sessions
from webapp.store.base import utc_now
from webapp.store.engine import Database

VALID = timedelta(minutes=10)


class ReauthenticationNeededError(NotAllowedError):
    """The password has to be entered again before this can be signed; nothing was done."""

    code = "reauthentication_needed"


def reauthenticate(database: Database, passwords: Passwords, signed_in: SignedIn, password: str) -> None:
    """Check the password of the person signed in and note it with the session.

    Raises InvalidInputError (``password``), TooManyTriesError, SignInNeededError when the session is over.
    """
    subjects = [(Kind.PASSWORD, signed_in.person.login)]
    throttle.take_try(database, subjects)
    with database.read() as session:
        row = session.get(people.PersonRow, signed_in.person.id)
        stored = row.password_hash if row is not None and row.active else None
    # Before the transaction: hashing takes a tenth of a second, during which nobody else could write.
    right, _renewed = passwords.verify(password, stored)
    if not right:
        raise InvalidInputError("This is not your password.", field="password", code="wrong_password")
    with database.command() as session:
        throttle.succeeded(session, subjects)
        if not sessions.prove(session, signed_in.session_id, utc_now()):
            raise SignInNeededError("Your session is over: sign in again.")


def may_sign_until(session: Session, signed_in: SignedIn) -> datetime | None:
    """Until when this session may sign without the password; None when it has to be entered."""
    row = session.get(sessions.LoginSessionRow, signed_in.session_id)
    if row is None or row.person_id != signed_in.person.id or row.proved_at is None:
        return None
    until = row.proved_at + VALID
    return until if utc_now() < until else None


def check_may_sign(session: Session, signed_in: SignedIn) -> None:
    """ReauthenticationNeededError unless the password was entered within the last ten minutes."""
    if may_sign_until(session, signed_in) is None:
        raise ReauthenticationNeededError("Enter your password again: signing needs it every ten minutes.")
