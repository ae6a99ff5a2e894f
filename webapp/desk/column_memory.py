"""What people confirmed the columns of a header to hold, offered to the next file with the same heads."""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Any

import msgspec
from sqlmodel import Session

from webapp.store import uploads
from webapp.store.base import utc_now
from webapp.store.people import PersonRow
from webapp.store.uploads import ColumnMemoryRow
from webapp.trade.bom import BomReading, Field, ReadChoices
from webapp.trade.people import Person


@dataclass(frozen=True, slots=True)
class Taught:
    """Who set the columns of a header last, when, and for which file."""

    by: str
    at: datetime
    filename: str


@dataclass(frozen=True, slots=True)
class Memory:
    """What is remembered for a header: the columns and, where somebody set it, the decimal sign."""

    columns: dict[Field, int]
    decimal: str | None
    taught: Taught


def recall(session: Session, reading: BomReading) -> Memory | None:
    """What is remembered for the header of ``reading``, if it is of any use: the file has such columns."""
    row = session.get(ColumnMemoryRow, _hash(reading.header_key)) if _is_named(reading) else None
    if row is None:
        return None
    columns = {Field(name): position for name, position in row.columns.items()}
    if Field.REFDES not in columns or max(columns.values()) >= len(reading.table):
        return None
    by = session.get(PersonRow, row.taught_by)
    return Memory(columns, row.decimal, Taught(by.name if by else "somebody", row.taught_at, row.filename))


def teach(session: Session, person: Person, filename: str, reading: BomReading, choices: ReadChoices) -> None:
    """Remember the columns of ``reading`` when a person set them, or declined what was remembered before."""
    if not _is_named(reading):
        return
    known = session.get(ColumnMemoryRow, _hash(reading.header_key))
    if known is None and choices.columns is None:
        return
    uploads.remember_columns(
        session,
        ColumnMemoryRow(
            header_hash=_hash(reading.header_key),
            header_key=reading.header_key,
            columns={str(field): position for field, position in columns_in(reading).items()},
            decimal=choices.decimal,
            taught_by=person.id,
            taught_at=utc_now(),
            filename=filename,
        ),
    )


def columns_in(reading: BomReading) -> dict[Field, int]:
    """Field -> 0-based position, as the file was read."""
    return {column.field: column.index for column in reading.table if column.field is not None}


def stored(taught: Taught | None) -> dict[str, Any] | None:
    """``taught`` as a draft keeps it."""
    return None if taught is None else msgspec.to_builtins(taught)


def restored(stored: dict[str, Any] | None) -> Taught | None:
    """What ``stored`` made, again."""
    return None if stored is None else msgspec.convert(stored, Taught)


def _is_named(reading: BomReading) -> bool:
    return any(char.isalnum() for char in reading.header_key)


def _hash(header_key: str) -> str:
    return sha256(header_key.encode()).hexdigest()
