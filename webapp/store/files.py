"""Uploaded originals: kept for good, unchanged, named by their sha256."""

import contextlib
import os
import tempfile
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import ClassVar

from sqlalchemy import CheckConstraint
from sqlalchemy.dialects import postgresql, sqlite
from sqlmodel import Field, Session, SQLModel

from webapp.store.base import UtcDateTime, utc_now


class StoredFileRow(SQLModel, table=True):
    """A file whose bytes are on disk; ``size`` in bytes. Written only after the bytes are safe."""

    __tablename__: ClassVar[str] = "stored_file"
    __table_args__ = (
        CheckConstraint("length(sha256) = 64", name="sha256_length"),
        CheckConstraint("size > 0", name="size_positive"),
    )

    sha256: str = Field(max_length=64, primary_key=True)
    size: int
    created_at: datetime = Field(sa_type=UtcDateTime)


def write_file(folder: Path, content: bytes) -> str:
    """Put ``content`` safely on disk under ``folder`` and return its sha256; the row comes after (``record_file``).

    Written beside its place, flushed and renamed: a power cut leaves either no file of that name or all of it.
    """
    name = sha256(content).hexdigest()
    path = _path(folder, name)
    if path.is_file() and path.stat().st_size == len(content):
        return name
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=".new-")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).replace(path)
    except BaseException:
        with contextlib.suppress(FileNotFoundError):
            Path(temporary).unlink()
        raise
    _flush_folder(path.parent)
    _flush_folder(folder)
    return name


def read_file(folder: Path, name: str) -> bytes:
    """The file with that sha256. RuntimeError when what is on disk is no longer what was uploaded."""
    content = _path(folder, name).read_bytes()
    if sha256(content).hexdigest() != name:
        raise RuntimeError(f"the stored file {name} is damaged on disk")
    return content


def record_file(session: Session, name: str, size: int) -> None:
    """Note that the file is there; harmless when it is noted already."""
    connection = session.connection()
    insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    values = {"sha256": name, "size": size, "created_at": utc_now()}
    connection.execute(insert(StoredFileRow).values(values).on_conflict_do_nothing())


def size_of(session: Session, name: str) -> int | None:
    """Size of a noted file in bytes."""
    row = session.get(StoredFileRow, name)
    return None if row is None else row.size


def _path(folder: Path, name: str) -> Path:
    return folder / name[:2] / name


def _flush_folder(folder: Path) -> None:
    # A rename is on disk only when its folder is.
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
