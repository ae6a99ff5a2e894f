"""Table of failed tries, by login and by address. It is in the database so that a restart forgets nothing."""

from datetime import datetime
from typing import ClassVar

from sqlalchemy import CheckConstraint, ColumnElement, and_, case, delete, update
from sqlalchemy.dialects import postgresql, sqlite
from sqlmodel import Field, Session, SQLModel, col

from webapp.store.base import UtcDateTime

SUBJECT_LENGTH = 100


class LoginThrottleRow(SQLModel, table=True):
    """Tries counted since ``since`` for one subject, say the login ``ada`` or the address ``192.0.2.7``."""

    __tablename__: ClassVar[str] = "login_throttle"
    __table_args__ = (CheckConstraint("tries >= 0", name="tries_not_negative"),)

    kind: str = Field(max_length=20, primary_key=True)
    subject: str = Field(max_length=SUBJECT_LENGTH, primary_key=True)
    tries: int
    since: datetime = Field(sa_type=UtcDateTime)


def count_try(session: Session, kind: str, subject: str, now: datetime, stale: datetime) -> tuple[int, datetime]:
    """Count one try and return (tries, counted since); a count begun before ``stale`` starts anew.

    One statement, so that tries at the same time are each counted.
    """
    table = LoginThrottleRow
    begin_anew = col(table.since) <= stale
    values = {"kind": kind, "subject": subject[:SUBJECT_LENGTH], "tries": 1, "since": now}
    changes = {
        "tries": case((begin_anew, 1), else_=col(table.tries) + 1),
        "since": case((begin_anew, now), else_=col(table.since)),
    }
    keys = ["kind", "subject"]
    connection = session.connection()
    insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    query = insert(table).values(values).on_conflict_do_update(index_elements=keys, set_=changes)
    tries, since = connection.execute(query.returning(col(table.tries), col(table.since))).one()
    return tries, since


def forget_tries(session: Session, kind: str, subject: str) -> None:
    """Set the count of one subject back to nothing."""
    session.exec(delete(LoginThrottleRow).where(_is(kind, subject)))


def take_back_try(session: Session, kind: str, subject: str) -> None:
    """Uncount one try that turned out well."""
    table = LoginThrottleRow
    query = update(table).where(_is(kind, subject), col(table.tries) > 0)
    session.exec(query.values(tries=col(table.tries) - 1))


def delete_stale(session: Session, stale: datetime) -> None:
    """Drop counts that no longer matter."""
    session.exec(delete(LoginThrottleRow).where(col(LoginThrottleRow.since) <= stale))


def _is(kind: str, subject: str) -> ColumnElement[bool]:
    return and_(col(LoginThrottleRow.kind) == kind, col(LoginThrottleRow.subject) == subject[:SUBJECT_LENGTH])
