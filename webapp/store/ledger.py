"""The ledger: numbered entries, each with the hash of the one before. Nothing changes or deletes them.

The database refuses updates and deletes by triggers (see the migration). Whoever may drop these can still be found
out, as long as they do not rewrite the whole chain from the broken entry on: keep the head's hash elsewhere to see
that too.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, ClassVar

from sqlalchemy import CheckConstraint, ColumnElement, Text, and_, func
from sqlmodel import Field, Session, SQLModel, col, select

from webapp.store.base import UtcDateTime, utc_now
from webapp.trade.ledger import FIRST_HASH, EntryKind, canonical, entry_hash

ACTOR_LENGTH = 64
_PENDING = "ledger entries"
_AT_ONCE = 1000


class LedgerEntryRow(SQLModel, table=True):
    """One entry. ``actor`` is a login, ``detail`` canonical JSON (trade.ledger)."""

    __tablename__: ClassVar[str] = "ledger_entry"
    __table_args__ = (CheckConstraint("number >= 1", name="number_positive"),)

    number: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    at: datetime = Field(sa_type=UtcDateTime, index=True)
    actor: str = Field(max_length=ACTOR_LENGTH, index=True)
    kind: str = Field(max_length=40, index=True)
    subject: str = Field(sa_type=Text)
    detail: str = Field(sa_type=Text)
    previous_hash: str = Field(max_length=64)
    hash: str = Field(max_length=64)

    @property
    def fields(self) -> dict[str, Any]:
        """The detail, read."""
        found: dict[str, Any] = json.loads(self.detail)
        return found

    @property
    def computed_hash(self) -> str:
        """The hash that the entry's contents give."""
        return entry_hash(
            number=self.number,
            at=self.at,
            actor=self.actor,
            kind=self.kind,
            subject=self.subject,
            detail=self.detail,
            previous=self.previous_hash,
        )


class LedgerHeadRow(SQLModel, table=True):
    """The one row that says which entry is the last. Locking it makes appending a queue."""

    __tablename__: ClassVar[str] = "ledger_head"
    __table_args__ = (CheckConstraint("id = 1", name="only_one"),)

    id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    number: int
    hash: str = Field(max_length=64)


@dataclass(frozen=True, slots=True)
class _Pending:
    actor: str
    kind: EntryKind
    subject: str
    detail: str


def add_pending(session: Session, actor: str, kind: EntryKind, subject: str, detail: Mapping[str, Any]) -> None:
    """Keep an entry for the end of the transaction."""
    entry = _Pending(actor, kind, subject.replace("\x00", ""), canonical(detail))
    session.info.setdefault(_PENDING, []).append(entry)


def append_pending(session: Session) -> None:
    """Append what was kept; the very last thing a command does, so that the head is locked for a moment only."""
    pending: list[_Pending] = session.info.pop(_PENDING, [])
    if not pending:
        return
    session.flush()
    head = session.exec(select(LedgerHeadRow).where(LedgerHeadRow.id == 1).with_for_update()).one()
    now = utc_now()
    for entry in pending:
        row = LedgerEntryRow(
            number=head.number + 1,
            at=now,
            actor=entry.actor,
            kind=entry.kind.value,
            subject=entry.subject,
            detail=entry.detail,
            previous_hash=head.hash,
            hash="",
        )
        row.hash = row.computed_hash
        session.add(row)
        head.number, head.hash = row.number, row.hash
    session.flush()


@dataclass(frozen=True, slots=True)
class Verified:
    """``entries``: how many there are. ``first_broken``: number of the first entry that is not as it was written, or
    that is missing; None when all is well."""

    entries: int
    first_broken: int | None

    @property
    def ok(self) -> bool:
        """Whether every entry is as it was written."""
        return self.first_broken is None


def verify(session: Session) -> Verified:
    """Recompute the whole chain and compare it with the head."""
    entries = session.exec(select(func.count()).select_from(LedgerEntryRow)).one()
    number, previous = 0, FIRST_HASH
    while True:
        query = select(LedgerEntryRow).where(LedgerEntryRow.number > number).order_by(col(LedgerEntryRow.number))
        rows = session.exec(query.limit(_AT_ONCE)).all()
        for row in rows:
            number += 1
            if row.number != number or row.previous_hash != previous or row.hash != row.computed_hash:
                return Verified(entries, number)
            previous = row.hash
        session.expunge_all()
        if len(rows) < _AT_ONCE:
            break
    head = session.get(LedgerHeadRow, 1)
    if head is None or (head.number, head.hash) != (number, previous):
        # Cut short: the next one is missing. Added past the head: the first past it.
        return Verified(entries, min(number, head.number if head else 0) + 1)
    return Verified(entries, None)


@dataclass(frozen=True, slots=True)
class LedgerView:
    """Which entries: by login, kind, words in the subject, and days (from, to, both included)."""

    actor: str = ""
    kind: str = ""
    search: str = ""
    since: datetime | None = None
    before: datetime | None = None


def find_entries(
    session: Session, view: LedgerView, offset: int = 0, limit: int | None = None
) -> tuple[list[LedgerEntryRow], int]:
    """The entries that ``view`` asks for, the newest first, and how many there are."""
    which = _which(view)
    query = select(LedgerEntryRow).where(which).order_by(col(LedgerEntryRow.number).desc()).offset(offset)
    rows = session.exec(query if limit is None else query.limit(limit)).all()
    return list(rows), session.exec(select(func.count()).select_from(LedgerEntryRow).where(which)).one()


def actors(session: Session) -> list[str]:
    """Logins that made entries."""
    return list(session.exec(select(LedgerEntryRow.actor).distinct().order_by(LedgerEntryRow.actor)))


def _which(view: LedgerView) -> ColumnElement[bool]:
    row = LedgerEntryRow
    which: list[ColumnElement[bool]] = [col(row.number) >= 1]
    if view.actor:
        which.append(col(row.actor) == view.actor)
    if view.kind:
        which.append(col(row.kind) == view.kind)
    if text := " ".join(view.search.split()):
        which.append(col(row.subject).icontains(text, autoescape=True))
    if view.since:
        which.append(col(row.at) >= view.since)
    if view.before:
        which.append(col(row.at) < view.before)
    return and_(*which)
