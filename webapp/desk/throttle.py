"""Guessing costs time: so many tries in a quarter of an hour for one login, and for one address."""

from datetime import datetime, timedelta
from enum import StrEnum
from math import ceil

from sqlmodel import Session

from webapp.errors import TooManyTriesError
from webapp.store import throttle
from webapp.store.base import utc_now
from webapp.store.engine import Database

WINDOW = timedelta(minutes=15)


class Kind(StrEnum):
    """What tries are counted by."""

    LOGIN = "login"
    ADDRESS = "address"
    SETUP = "setup"
    PASSWORD = "password"  # noqa: S105  (the kind, not a secret)


# An address may be a whole company behind one router, a login is one person.
LIMITS = {Kind.LOGIN: 10, Kind.ADDRESS: 60, Kind.SETUP: 10, Kind.PASSWORD: 10}


def take_try(database: Database, subjects: list[tuple[Kind, str]]) -> None:
    """Count one try for each subject *before* it is made, so that many at the same time do not slip through.

    The count is committed on its own, refused or not. Raises TooManyTriesError when a subject is over its limit.
    """
    now = utc_now()
    refusal = None
    with database.command() as session:
        throttle.delete_stale(session, now - WINDOW)
        for kind, subject in subjects:
            tries, since = throttle.count_try(session, kind, subject, now, now - WINDOW)
            if tries > LIMITS[kind]:
                refusal = TooManyTriesError(f"Too many failed tries. Try again in {_minutes(since + WINDOW, now)}.")
    if refusal:
        raise refusal


def succeeded(session: Session, subjects: list[tuple[Kind, str]]) -> None:
    """The try was good: a login's count is forgotten; an address only gets this try back, because somebody with an
    account of their own could otherwise go on guessing others' passwords by signing in now and then."""
    for kind, subject in subjects:
        if kind is Kind.ADDRESS:
            throttle.take_back_try(session, kind, subject)
        else:
            throttle.forget_tries(session, kind, subject)


def _minutes(until: datetime, now: datetime) -> str:
    minutes = max(1, ceil((until - now).total_seconds() / 60))
    return "1 minute" if minutes == 1 else f"{minutes} minutes"
