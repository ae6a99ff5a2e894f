"""Uploading a BOM and correcting what was understood of it.

Files are read in a child process before any transaction begins; then one short transaction stores the result, if
nobody changed the draft in between. Nothing here touches a product.
"""

import re
import secrets
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, field, replace
from hashlib import sha256
from pathlib import PurePath

from sqlalchemy.exc import IntegrityError
from sqlmodel import Session

from webapp.desk import column_memory
from webapp.desk.column_memory import Taught, columns_in
from webapp.desk.drafts import Draft, open_draft, open_row, own_row
from webapp.errors import ConflictError, InvalidInputError, TooLargeError, UnreadableFileError
from webapp.intake.gate import read_bom_file, read_placement_file
from webapp.settings import Settings
from webapp.store import files, product_reads, uploads
from webapp.store.base import utc_now
from webapp.store.engine import Database
from webapp.store.uploads import FILENAME_LENGTH, UploadReadingRow, UploadRow
from webapp.trade.bom import BomReading, Field, Fitting, ReadChoices
from webapp.trade.people import Person
from webapp.trade.placement import PlacementReading
from webapp.trade.sides import join_sides
from webapp.trade.tally import tally

_FORM_KEY = re.compile(r"[A-Za-z0-9_-]{16,64}")
STALE = "This upload was changed in another window meanwhile. It stands below as it is now: make the change again."


@dataclass(frozen=True, slots=True)
class UploadedFile:
    """A file as it came: the name the browser gave it, and its bytes."""

    filename: str
    content: bytes = field(repr=False)

    @property
    def name(self) -> str:
        """The name without folders and unprintable characters, at most 255 long, never empty."""
        name = PurePath(self.filename.replace("\\", "/")).name
        printable = "".join(char if char.isprintable() else " " for char in name)
        return " ".join(printable.split())[-FILENAME_LENGTH:] or "unnamed file"


@dataclass(frozen=True, slots=True)
class NewUpload:
    """What the upload form holds. ``form_key`` is new in each form; ``product_code`` is the product it is meant for."""

    file: UploadedFile
    form_key: str
    placement: UploadedFile | None = None
    product_code: str = ""


@dataclass(frozen=True, slots=True)
class _Understood:
    reading: BomReading
    choices: ReadChoices
    taught: Taught | None


def new_form_key() -> str:
    """A key for a form about to be shown."""
    return secrets.token_urlsafe(16)


def start_upload(database: Database, settings: Settings, person: Person, new: NewUpload) -> str:
    """Read the file and keep it as a draft; its token. The same form with the same file gives the draft it gave before.

    Raises UnreadableFileError and TooLargeError (field ``file`` or ``placement``) and InvalidInputError (``product``);
    then nothing is stored. A file that is readable but no board BOM becomes a draft that says so.
    """
    form_key = new.form_key if _FORM_KEY.fullmatch(new.form_key) else new_form_key()
    name = sha256(new.file.content).hexdigest()
    with database.read() as session:
        existing = uploads.row_by_form(session, person.id, form_key, name)
        if existing is not None:
            return existing.token
        product_id = _product_id(session, new.product_code)
    _check_size(new.file, settings, "file")
    understood = _understand(database, new.file, ReadChoices(), None)
    placement = _read_placement(new.placement, settings) if new.placement else None
    for file in filter(None, (new.file, new.placement)):
        files.write_file(settings.files_dir, file.content)
    row = _new_row(person, new, form_key, understood)
    row.product_id = product_id
    row.tally = asdict(tally(join_sides(understood.reading, placement).reading))
    try:
        return _store_new(database, row, new, understood, placement)
    except IntegrityError:
        # The same form sent twice at the same moment: the other one was first.
        with database.read() as session:
            existing = uploads.row_by_form(session, person.id, form_key, name)
            if existing is None:
                raise
            return existing.token


def _store_new(
    database: Database, row: UploadRow, new: NewUpload, understood: _Understood, placement: PlacementReading | None
) -> str:
    with database.command() as session:
        existing = uploads.row_by_form(session, row.owner_id, row.form_key, row.file_sha256)
        if existing is not None:
            return existing.token
        files.record_file(session, row.file_sha256, len(new.file.content))
        session.add(row)
        if new.placement:
            _put_placement(session, row, new.placement)
        session.flush()
        stored = UploadReadingRow(
            upload_id=uploads.stored_id(row),
            content=uploads.pack(understood.reading),
            placement=uploads.pack(placement) if placement else None,
            made_at=utc_now(),
        )
        session.add(stored)
        return row.token


def reread(
    database: Database,
    settings: Settings,
    person: Person,
    token: str,
    version: int,
    change: Callable[[BomReading, ReadChoices], ReadChoices],
) -> None:
    """Read the draft's file again with other choices; ``change`` makes them from the reading and choices as they are.

    ConflictError when the draft is no longer at ``version``, unless the choices are those already. UnreadableFileError
    when the file cannot be read so; the draft then stays as it was.
    """
    with database.read() as session:
        draft = open_draft(session, person, token)
    choices = change(draft.reading, draft.choices)
    if choices == draft.choices:
        return
    if draft.version != version:
        raise ConflictError(STALE)
    file = UploadedFile(draft.filename, files.read_file(settings.files_dir, draft.file_sha256))
    understood = _understand(database, file, choices, draft)
    with database.command() as session:
        row, stored = _row_at(session, person, token, version)
        _put_reading(row, stored, understood)


def set_columns(
    database: Database, settings: Settings, person: Person, token: str, version: int, fields: Mapping[int, Field]
) -> None:
    """Say what the columns hold: 0-based position -> field, unused ones left out.

    InvalidInputError (field ``column_`` + position) when two columns are set to one field, or none to designators.
    """

    def change(reading: BomReading, choices: ReadChoices) -> ReadChoices:
        columns = _checked_columns(reading, fields)
        # What was found and left as it is stays a guess: nothing of it is a person's word.
        return choices if columns == columns_in(reading) else replace(choices, columns=columns)

    reread(database, settings, person, token, version, change)


def _checked_columns(reading: BomReading, fields: Mapping[int, Field]) -> dict[Field, int]:
    labels = {column.index: column.label for column in reading.table}
    columns: dict[Field, int] = {}
    for position, holds in sorted(fields.items()):
        if position not in labels:
            raise InvalidInputError(f"The file has no column {position + 1}.", field=None)
        if holds in columns:
            raise InvalidInputError(
                f"Two columns are set to {FIELD_NAMES[holds]}: {labels[columns[holds]]} and {labels[position]}."
                " Keep one.",
                field=f"column_{position}",
            )
        columns[holds] = position
    if Field.REFDES not in columns:
        raise InvalidInputError(
            "Say which column holds the designators: without them nothing has a place on the board.",
            field=f"column_{min(labels, default=0)}",
        )
    return columns


FIELD_NAMES = {
    Field.REFDES: "designators",
    Field.QTY: "quantity",
    Field.MPN: "part number",
    Field.MANUFACTURER: "manufacturer",
    Field.VALUE: "value",
    Field.DESCRIPTION: "description",
    Field.PACKAGE: "package",
    Field.SIDE: "side",
    Field.DNP: "fitted or not",
}


def guess_columns(database: Database, settings: Settings, person: Person, token: str, version: int) -> None:
    """Go back to what the reader makes of the columns by itself."""
    reread(
        database, settings, person, token, version,
        lambda _reading, choices: replace(choices, columns=None),
    )  # fmt: skip


def set_rows(
    database: Database,
    settings: Settings,
    person: Person,
    token: str,
    version: int,
    states: Mapping[int, Fitting | None],
) -> None:
    """Say of single rows whether they are fitted, not fitted or left out; None leaves the row to the reader again."""

    def change(reading: BomReading, choices: ReadChoices) -> ReadChoices:
        if any(not 1 <= row <= reading.row_count for row in states):
            raise InvalidInputError(f"The file has rows 1 to {reading.row_count}.")
        rows = {**choices.rows, **states}
        return replace(choices, rows={row: state for row, state in sorted(rows.items()) if state is not None})

    reread(database, settings, person, token, version, change)


def set_placement(
    database: Database, settings: Settings, person: Person, token: str, version: int, file: UploadedFile
) -> None:
    """Add a placement file to the draft, or put another in its place; raises with field ``placement``."""
    with database.read() as session:
        if open_row(session, person, token).version != version:
            raise ConflictError(STALE)
    placement = _read_placement(file, settings)
    files.write_file(settings.files_dir, file.content)
    with database.command() as session:
        row, stored = _row_at(session, person, token, version)
        _put_placement(session, row, file)
        stored.placement = uploads.pack(placement)
        _changed(row, uploads.unpack_bom(stored.content), placement)


def remove_placement(database: Database, person: Person, token: str, version: int) -> None:
    """Take the placement file away from the draft; the sides are then those of the BOM."""
    with database.command() as session:
        row, stored = _row_at(session, person, token, version)
        row.placement_filename = row.placement_sha256 = stored.placement = None
        _changed(row, uploads.unpack_bom(stored.content), None)


def discard(database: Database, person: Person, token: str) -> None:
    """Throw the draft away. It can be taken back."""
    with database.command() as session:
        row = open_row(session, person, token, lock=True)
        # The same form may now make a draft again.
        row.status, row.form_key, row.updated_at = uploads.DISCARDED, row.token, utc_now()
        row.version += 1


def take_back(database: Database, person: Person, token: str) -> None:
    """Open a draft again that was thrown away; harmless when it is open."""
    with database.command() as session:
        row = own_row(session, person, token, lock=True)
        if row.status == uploads.DISCARDED:
            row.status, row.updated_at = uploads.OPEN, utc_now()
            row.version += 1


def _product_id(session: Session, code: str) -> int | None:
    if not code.strip():
        return None
    product = product_reads.product_by_code(session, code)
    if product is None:
        raise InvalidInputError(f'There is no product "{code}".', field="product")
    return product.id


def _check_size(file: UploadedFile, settings: Settings, name: str) -> None:
    if not file.content:
        raise UnreadableFileError(f"{file.name} is empty.", field=name, code="empty_file")
    if len(file.content) > settings.max_upload_bytes:
        raise TooLargeError(
            f"{file.name} is larger than the {settings.max_upload_bytes // 2**20} MiB that are read.", field=name
        )


def _understand(database: Database, file: UploadedFile, choices: ReadChoices, before: Draft | None) -> _Understood:
    """Read the file; under a header not seen in this draft before, with the columns somebody confirmed for it."""
    reading = _read_bom(file, choices)
    if before is not None and reading.header_key == before.reading.header_key:
        kept = before.taught if choices.columns == before.choices.columns else None
        return _Understood(reading, choices, kept)
    with database.read() as session:
        memory = column_memory.recall(session, reading)
    guess = replace(choices, columns=None)
    if choices.columns is not None:
        # They were set for another header.
        reading = _read_bom(file, guess)
    if memory is None or memory.columns == columns_in(reading):
        return _Understood(reading, guess, None)
    remembered = replace(guess, columns=memory.columns, decimal=guess.decimal or memory.decimal)
    return _Understood(_read_bom(file, remembered), remembered, memory.taught)


def _read_bom(file: UploadedFile, choices: ReadChoices) -> BomReading:
    try:
        return read_bom_file(file.content, file.name, choices)
    except UnreadableFileError as error:
        raise UnreadableFileError(error.message, field="file", code=error.code) from error


def _read_placement(file: UploadedFile, settings: Settings) -> PlacementReading:
    _check_size(file, settings, "placement")
    try:
        return read_placement_file(file.content, file.name)
    except UnreadableFileError as error:
        raise UnreadableFileError(error.message, field="placement", code=error.code) from error


def _new_row(person: Person, new: NewUpload, form_key: str, understood: _Understood) -> UploadRow:
    now = utc_now()
    return UploadRow(
        token=secrets.token_urlsafe(24),
        owner_id=person.id,
        form_key=form_key,
        filename=new.file.name,
        file_sha256=sha256(new.file.content).hexdigest(),
        choices=uploads.stored_choices(understood.choices),
        columns_from=column_memory.stored(understood.taught),
        tally={},
        created_at=now,
        updated_at=now,
    )


def _row_at(session: Session, person: Person, token: str, version: int) -> tuple[UploadRow, UploadReadingRow]:
    row = open_row(session, person, token, lock=True)
    if row.version != version:
        raise ConflictError(STALE)
    return row, uploads.reading_row(session, uploads.stored_id(row))


def _put_reading(row: UploadRow, stored: UploadReadingRow, understood: _Understood) -> None:
    row.choices = uploads.stored_choices(understood.choices)
    row.columns_from = column_memory.stored(understood.taught)
    stored.content, stored.made_at = uploads.pack(understood.reading), utc_now()
    _changed(row, understood.reading, uploads.unpack_placement(stored.placement))


def _put_placement(session: Session, row: UploadRow, file: UploadedFile) -> None:
    row.placement_filename, row.placement_sha256 = file.name, sha256(file.content).hexdigest()
    files.record_file(session, row.placement_sha256, len(file.content))


def _changed(row: UploadRow, reading: BomReading, placement: PlacementReading | None) -> None:
    row.tally = asdict(tally(join_sides(reading, placement).reading))
    row.updated_at = utc_now()
    row.version += 1
