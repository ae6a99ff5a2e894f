"""What the columns hold: guessed, with how sure that is; every guess can be changed."""

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from webapp.desk import uploads
from webapp.desk.drafts import Draft
from webapp.desk.uploads import FIELD_NAMES
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, UnreadableFileError
from webapp.intake.columns import letter
from webapp.trade.bom import BomReading, Column, Field
from webapp.web.deps import AppDatabase, AppSettings, Reads
from webapp.web.pages.uploads.common import (
    Engineer,
    SentForm,
    Step,
    load,
    show_step,
    step_address,
    version_of,
)
from webapp.web.rendering import go_to

router = APIRouter(prefix="/uploads")

FIELD_OPTIONS = [("", "not used"), *((str(field), name) for field, name in FIELD_NAMES.items())]
# What a person loses without the column.
WANTED = {
    Field.QTY: "quantities cannot be compared with the designators.",
    Field.MPN: "parts cannot be told apart by number; what is known of them rests on value and package.",
    Field.MANUFACTURER: "equal part numbers of different makers cannot be told apart.",
    Field.PACKAGE: "sizes and terminations are not known from the file.",
}
SURE, LIKELY = 0.85, 0.5


@dataclass(frozen=True, slots=True)
class ColumnEntry:
    """A column as the page shows it; ``sure`` in words, "" where nothing was taken for anything."""

    index: int
    letter: str
    header: str
    samples: tuple[str, ...]
    name: str
    holds: str
    sure: str
    confidence: float | None


@router.get("/{token}/columns", response_class=HTMLResponse)
def columns_page(request: Request, person: Engineer, reads: Reads, token: str, done: str = "") -> HTMLResponse:
    """The columns."""
    return _page(request, load(reads, person, token), done=done)


@router.post("/{token}/columns", response_class=HTMLResponse)
def set_columns(
    request: Request, person: Engineer, database: AppDatabase, settings: AppSettings, token: str, form: SentForm
) -> Response:
    """Set the columns and go on to the rows."""
    typed = {name.removeprefix("column_"): str(value) for name, value in form.items() if name.startswith("column_")}
    try:
        uploads.set_columns(database, settings, person, token, version_of(form), _fields(typed))
    except (InvalidInputError, UnreadableFileError, ConflictError) as error:
        return _page(request, load(database.read, person, token), typed=typed, error=error)
    draft = load(database.read, person, token)
    if not draft.reading.is_board_bom:
        return go_to(request, f"{step_address(token, Step.COLUMNS)}?done=columns")
    return go_to(request, step_address(token, Step.ROWS))


@router.post("/{token}/columns/guess", response_class=HTMLResponse)
def guess(
    request: Request, person: Engineer, database: AppDatabase, settings: AppSettings, token: str, form: SentForm
) -> Response:
    """Back to what the reader makes of the columns."""
    try:
        uploads.guess_columns(database, settings, person, token, version_of(form))
    except (InvalidInputError, ConflictError) as error:
        return _page(request, load(database.read, person, token), error=error)
    return go_to(request, f"{step_address(token, Step.COLUMNS)}?done=columns")


def _fields(typed: Mapping[str, str]) -> dict[int, Field]:
    fields: dict[int, Field] = {}
    for position, text in typed.items():
        if not text:
            continue
        if not position.isdecimal() or len(position) > 4 or text not in list(Field):
            raise InvalidInputError("Choose one from the list.", field=f"column_{position}")
        fields[int(position)] = Field(text)
    return fields


def _page(
    request: Request,
    draft: Draft,
    *,
    typed: Mapping[str, str] | None = None,
    error: MeltlineError | None = None,
    done: str = "",
) -> HTMLResponse:
    reading = draft.reading
    shown = [column for column in reading.table if column.header or column.samples or column.field]
    context = {
        "entries": [_entry(column, draft, typed or {}) for column in shown],
        "hidden": len(reading.table) - len(shown),
        "field_options": FIELD_OPTIONS,
        "missing": _missing(reading),
        "is_set": draft.choices.columns is not None,
    }
    return show_step(request, draft, Step.COLUMNS, context, error=error, done=done)


def _entry(column: Column, draft: Draft, typed: Mapping[str, str]) -> ColumnEntry:
    return ColumnEntry(
        index=column.index,
        letter=letter(column.index),
        header=column.header,
        samples=column.samples,
        name=f"column_{column.index}",
        holds=typed.get(str(column.index), column.field or ""),
        sure=_sure(column, draft),
        confidence=column.confidence if column.field and draft.choices.columns is None else None,
    )


def _sure(column: Column, draft: Draft) -> str:
    if column.field is None:
        return ""
    if draft.choices.columns is not None:
        return "as set before" if draft.taught else "set by you"
    return "sure" if column.confidence >= SURE else "likely" if column.confidence >= LIKELY else "a guess"


def _missing(reading: BomReading) -> list[str]:
    found = reading.columns()
    return [f"No column for {FIELD_NAMES[field]}: {loss}" for field, loss in WANTED.items() if found[field] is None]
