"""Tables of drafts: a file somebody uploaded and is making a BOM of, with what was understood; the queries on them."""

import zlib
from datetime import datetime
from typing import Any, ClassVar

import msgspec
from sqlalchemy import JSON, CheckConstraint, ForeignKey, Index, LargeBinary, Text, UniqueConstraint
from sqlalchemy.dialects import postgresql, sqlite
from sqlmodel import Field, Session, SQLModel, col, select

from webapp.store.base import UtcDateTime
from webapp.trade.bom import BomReading, ReadChoices
from webapp.trade.placement import PlacementReading

FILENAME_LENGTH = 255
OPEN, COMMITTED, DISCARDED = "open", "committed", "discarded"


class UploadRow(SQLModel, table=True):
    """A draft. ``token`` names it in addresses; ``form_key`` marks the form it came by, so that sending the form twice
    makes one draft.

    ``choices``: a ReadChoices. ``columns_from``: when the columns are those somebody confirmed for an earlier file of
    the same heads, who, when and for which file. ``tally``: the counts, so that lists need not open the reading.
    ``product_id``: the product it is meant for, if said.
    """

    __tablename__: ClassVar[str] = "upload"
    __table_args__ = (
        UniqueConstraint("token"),
        UniqueConstraint("owner_id", "form_key", "file_sha256"),
        Index(None, "owner_id", "status"),
        CheckConstraint("length(token) BETWEEN 20 AND 64", name="token_length"),
        CheckConstraint(f"length(filename) BETWEEN 1 AND {FILENAME_LENGTH}", name="filename_length"),
        CheckConstraint(f"status IN ('{OPEN}', '{COMMITTED}', '{DISCARDED}')", name="status_known"),
        CheckConstraint("(placement_filename IS NULL) = (placement_sha256 IS NULL)", name="placement_whole"),
        CheckConstraint("version >= 1", name="version_positive"),
    )

    id: int | None = Field(default=None, primary_key=True)
    token: str = Field(max_length=64)
    owner_id: int = Field(sa_column_args=[ForeignKey("person.id")])
    form_key: str = Field(max_length=64)
    filename: str = Field(max_length=FILENAME_LENGTH)
    file_sha256: str = Field(max_length=64, sa_column_args=[ForeignKey("stored_file.sha256")])
    placement_filename: str | None = Field(default=None, max_length=FILENAME_LENGTH)
    placement_sha256: str | None = Field(default=None, max_length=64, sa_column_args=[ForeignKey("stored_file.sha256")])
    choices: dict[str, Any] = Field(sa_type=JSON)
    columns_from: dict[str, Any] | None = Field(default=None, sa_type=JSON(none_as_null=True))
    tally: dict[str, int] = Field(sa_type=JSON)
    product_id: int | None = Field(default=None, sa_column_args=[ForeignKey("product.id")])
    status: str = Field(default=OPEN, max_length=10)
    created_at: datetime = Field(sa_type=UtcDateTime)
    updated_at: datetime = Field(sa_type=UtcDateTime)
    version: int = 1


class UploadReadingRow(SQLModel, table=True):
    """What was understood of a draft's files: packed JSON of a BomReading and, if there is one, a PlacementReading."""

    __tablename__: ClassVar[str] = "upload_reading"

    upload_id: int = Field(primary_key=True, sa_column_args=[ForeignKey("upload.id", ondelete="CASCADE")])
    content: bytes = Field(sa_type=LargeBinary)
    placement: bytes | None = Field(default=None, sa_type=LargeBinary)
    made_at: datetime = Field(sa_type=UtcDateTime)


class ColumnMemoryRow(SQLModel, table=True):
    """What a person confirmed the columns of a header to hold: field -> 0-based position; ``header_hash`` is the
    sha256 of ``header_key``."""

    __tablename__: ClassVar[str] = "column_memory"
    __table_args__ = (
        CheckConstraint("length(header_hash) = 64", name="header_hash_length"),
        CheckConstraint("decimal IN ('.', ',')", name="decimal_known"),
    )

    header_hash: str = Field(max_length=64, primary_key=True)
    header_key: str = Field(sa_type=Text)
    columns: dict[str, int] = Field(sa_type=JSON)
    decimal: str | None = Field(default=None, max_length=1)
    taught_by: int = Field(sa_column_args=[ForeignKey("person.id")])
    taught_at: datetime = Field(sa_type=UtcDateTime)
    filename: str = Field(max_length=FILENAME_LENGTH)


def pack(reading: BomReading | PlacementReading) -> bytes:
    """A reading as it is stored."""
    return zlib.compress(msgspec.json.encode(reading), level=3)


def unpack_bom(content: bytes) -> BomReading:
    """A stored BOM reading."""
    return msgspec.json.decode(zlib.decompress(content), type=BomReading)


def unpack_placement(content: bytes | None) -> PlacementReading | None:
    """A stored placement reading, if there is one."""
    return None if content is None else msgspec.json.decode(zlib.decompress(content), type=PlacementReading)


def stored_choices(choices: ReadChoices) -> dict[str, Any]:
    """Choices as they are stored."""
    plain: dict[str, Any] = msgspec.to_builtins(choices, str_keys=True)
    return plain


def choices_of(row: UploadRow) -> ReadChoices:
    """The choices of a draft."""
    return msgspec.convert(row.choices, ReadChoices, str_keys=True)


def row_by_token(session: Session, token: str, *, lock: bool = False) -> UploadRow | None:
    """The draft of that token; ``lock`` keeps others from changing it until the command ends."""
    query = select(UploadRow).where(UploadRow.token == token)
    return session.exec(query.with_for_update() if lock else query).one_or_none()


def row_by_form(session: Session, owner_id: int, form_key: str, file_sha256: str) -> UploadRow | None:
    """The draft that this form and this file have made already."""
    query = select(UploadRow).where(
        UploadRow.owner_id == owner_id, UploadRow.form_key == form_key, UploadRow.file_sha256 == file_sha256
    )
    return session.exec(query).one_or_none()


def open_rows(session: Session, owner_id: int) -> list[UploadRow]:
    """A person's open drafts, the last one changed first."""
    query = select(UploadRow).where(UploadRow.owner_id == owner_id, UploadRow.status == OPEN)
    return list(session.exec(query.order_by(col(UploadRow.updated_at).desc(), col(UploadRow.id).desc())))


def reading_row(session: Session, upload_id: int) -> UploadReadingRow:
    """The reading of a draft; there always is one."""
    row = session.get(UploadReadingRow, upload_id)
    if row is None:
        raise RuntimeError(f"draft {upload_id} has no reading")
    return row


def remember_columns(session: Session, row: ColumnMemoryRow) -> None:
    """Store what a header's columns hold, in place of what was stored before."""
    connection = session.connection()
    insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    values = row.model_dump()
    query = insert(ColumnMemoryRow).values(values)
    connection.execute(query.on_conflict_do_update(index_elements=["header_hash"], set_=values))


def stored_id(row: UploadRow) -> int:
    """The id of a draft that has been stored."""
    if row.id is None:
        raise ValueError("the row is not stored yet")
    return row.id
