"""Table of the open sessions. The browser holds a random token, the database only its sha256."""

from datetime import datetime
from typing import ClassVar

from sqlalchemy import CheckConstraint, ForeignKey, delete, update
from sqlmodel import Field, Session, SQLModel, col, select

from webapp.store.base import UtcDateTime
from webapp.store.people import PersonRow


class LoginSessionRow(SQLModel, table=True):
    """A person signed in on one browser; ``rotated_at`` is when its present token was given out.

    ``proved_at``: when the person last entered the password again, which signing needs.
    """

    __tablename__: ClassVar[str] = "login_session"
    __table_args__ = (
        CheckConstraint("length(id) = 64", name="id_is_sha256"),
        CheckConstraint("expires_at > created_at", name="expires_later"),
    )

    id: str = Field(max_length=64, primary_key=True)
    person_id: int = Field(sa_column_args=[ForeignKey("person.id", ondelete="CASCADE")], index=True)
    created_at: datetime = Field(sa_type=UtcDateTime)
    last_seen_at: datetime = Field(sa_type=UtcDateTime)
    expires_at: datetime = Field(sa_type=UtcDateTime)
    rotated_at: datetime = Field(sa_type=UtcDateTime)
    proved_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


def open_session_row(session: Session, session_id: str) -> tuple[LoginSessionRow, PersonRow] | None:
    """The session with its person, as long as the person is active."""
    query = (
        select(LoginSessionRow, PersonRow)
        .join(PersonRow, col(PersonRow.id) == col(LoginSessionRow.person_id))
        .where(LoginSessionRow.id == session_id, col(PersonRow.active))
    )
    return session.exec(query).one_or_none()


def touch(session: Session, session_id: str, now: datetime) -> None:
    """Note that the session is in use."""
    session.exec(update(LoginSessionRow).where(col(LoginSessionRow.id) == session_id).values(last_seen_at=now))


def rename(session: Session, old_id: str, new_id: str, now: datetime) -> None:
    """Give the session another token; its age and its end stay."""
    query = update(LoginSessionRow).where(col(LoginSessionRow.id) == old_id)
    session.exec(query.values(id=new_id, rotated_at=now, last_seen_at=now))


def prove(session: Session, session_id: str, now: datetime) -> bool:
    """Note that the person entered the password again; False when the session is gone."""
    query = update(LoginSessionRow).where(col(LoginSessionRow.id) == session_id).values(proved_at=now)
    return session.exec(query).rowcount == 1


def delete_session(session: Session, session_id: str) -> None:
    """End one session, if it is open."""
    session.exec(delete(LoginSessionRow).where(col(LoginSessionRow.id) == session_id))


def delete_sessions_of(session: Session, person_id: int, *, keep: str = "") -> None:
    """End all sessions of a person but ``keep``."""
    query = delete(LoginSessionRow).where(col(LoginSessionRow.person_id) == person_id)
    session.exec(query.where(col(LoginSessionRow.id) != keep))


def delete_ended(session: Session, now: datetime, idle_since: datetime) -> None:
    """Drop the rows of sessions that are over anyway."""
    ended = (col(LoginSessionRow.expires_at) <= now) | (col(LoginSessionRow.last_seen_at) <= idle_since)
    session.exec(delete(LoginSessionRow).where(ended))


def count_sessions(session: Session, person_id: int) -> int:
    """How many sessions of a person are open."""
    return len(session.exec(select(LoginSessionRow.id).where(LoginSessionRow.person_id == person_id)).all())
