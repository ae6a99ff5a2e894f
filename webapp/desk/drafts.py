"""Drafts: a file on its way to a BOM revision, seen by nobody but the person who uploaded it."""

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session

from webapp.desk.column_memory import Taught, restored
from webapp.desk.kept import Kept
from webapp.errors import ConflictError, NotFoundError
from webapp.store import files, product_reads, uploads
from webapp.store.products import ProductRow
from webapp.store.uploads import UploadRow
from webapp.trade.bom import BomReading, ReadChoices
from webapp.trade.people import Person
from webapp.trade.placement import PlacementReading
from webapp.trade.sides import SidesJoined, join_sides
from webapp.trade.tally import Tally


class DraftClosedError(ConflictError):
    """The draft is committed or thrown away; ``token`` names it."""

    code = "draft_closed"

    def __init__(self, message: str, token: str) -> None:
        super().__init__(message)
        self.token = token


@dataclass(frozen=True, slots=True)
class DraftEntry:
    """An open draft as a list shows it."""

    token: str
    filename: str
    counts: Tally
    product_code: str | None
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class Draft:
    """An open draft. ``reading`` is of the BOM alone, ``joined`` has the sides of the placement file as well, and
    ``counts`` are of the lines as they would be committed.

    ``taught``: by whom the columns were set for an earlier file, when they were taken over from there.
    """

    token: str
    version: int
    filename: str
    file_sha256: str
    size: int
    choices: ReadChoices
    taught: Taught | None
    reading: BomReading
    placement: PlacementReading | None
    joined: SidesJoined
    counts: Tally
    product_code: str | None
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class ClosedDraft:
    """A draft that is committed (``code`` and ``number`` say as what) or thrown away (they are None)."""

    token: str
    filename: str
    code: str | None
    number: int | None
    changed_at: datetime


def open_draft(session: Session, person: Person, token: str) -> Draft:
    """The person's open draft. NotFoundError for others' and unknown ones, DraftClosedError when it is closed."""
    row = open_row(session, person, token)
    # Whatever changes a reading raises the version; the time tells this database from an earlier one there.
    state = uploads.stored_id(row), row.version, row.updated_at
    reading, placement, joined = _READINGS.get(session, state, lambda: _read(session, row))
    return Draft(
        token=token,
        version=row.version,
        filename=row.filename,
        file_sha256=row.file_sha256,
        size=files.size_of(session, row.file_sha256) or 0,
        choices=uploads.choices_of(row),
        taught=restored(row.columns_from),
        reading=reading,
        placement=placement,
        joined=joined,
        counts=Tally(**row.tally),
        product_code=_code(session, row),
        changed_at=row.updated_at,
    )


_Readings = tuple[BomReading, PlacementReading | None, SidesJoined]
_READINGS: Kept[_Readings] = Kept(4)


def _read(session: Session, row: UploadRow) -> _Readings:
    stored = uploads.reading_row(session, uploads.stored_id(row))
    reading, placement = uploads.unpack_bom(stored.content), uploads.unpack_placement(stored.placement)
    return reading, placement, join_sides(reading, placement)


def open_row(session: Session, person: Person, token: str, *, lock: bool = False) -> UploadRow:
    """The row of the person's open draft; raises as ``open_draft`` does."""
    row = own_row(session, person, token, lock=lock)
    if row.status == uploads.COMMITTED:
        raise DraftClosedError("This upload is committed already; it cannot be changed any more.", token)
    if row.status == uploads.DISCARDED:
        raise DraftClosedError("This upload was thrown away.", token)
    return row


def own_row(session: Session, person: Person, token: str, *, lock: bool = False) -> UploadRow:
    """The row of the person's draft, open or not. NotFoundError for others' and unknown ones."""
    row = uploads.row_by_token(session, token, lock=lock)
    if row is None or row.owner_id != person.id:
        raise NotFoundError("There is no such upload, or somebody else made it: a draft is seen by its owner only.")
    return row


def own_open_drafts(session: Session, person: Person) -> list[DraftEntry]:
    """The person's open drafts, the last one changed first."""
    return [
        DraftEntry(row.token, row.filename, Tally(**row.tally), _code(session, row), row.updated_at)
        for row in uploads.open_rows(session, person.id)
    ]


def closed_draft(session: Session, person: Person, token: str) -> ClosedDraft | None:
    """What became of the person's draft; None while it is open. NotFoundError as ``open_draft``."""
    row = own_row(session, person, token)
    if row.status == uploads.OPEN:
        return None
    revision = product_reads.revision_of_upload(session, uploads.stored_id(row))
    code, number = (revision.code, revision.row.number) if revision else (None, None)
    return ClosedDraft(token, row.filename, code, number, row.updated_at)


def _code(session: Session, row: UploadRow) -> str | None:
    product = session.get(ProductRow, row.product_id) if row.product_id else None
    return product.code if product else None
