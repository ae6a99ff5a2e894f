"""What was found in a file: sheet, header row, encoding, separator, decimal sign; each can be changed."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse
from starlette.datastructures import FormData

from webapp.desk import uploads
from webapp.desk.drafts import Draft
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, UnreadableFileError
from webapp.intake.columns import letter
from webapp.trade.bom import BomReading, ReadChoices
from webapp.web.deps import AppDatabase, AppSettings, Reads
from webapp.web.pages.uploads.common import (
    Engineer,
    SentForm,
    Step,
    load,
    show_step,
    step_address,
    text_of,
    version_of,
)
from webapp.web.rendering import go_to

router = APIRouter(prefix="/uploads")

# A tab or nothing at all does not survive a form as it is.
DELIMITERS = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|", "fixed": ""}
DELIMITER_NAMES = {
    "comma": "Comma ,",
    "semicolon": "Semicolon ;",
    "tab": "Tab",
    "bar": "Vertical bar |",
    "fixed": "None: columns of fixed width",
}
ENCODINGS = {
    "utf-8": "UTF-8",
    "utf-16": "UTF-16",
    "cp1252": "Windows western (cp1252)",
    "cp1250": "Windows central European (cp1250)",
    "cp1251": "Windows Cyrillic (cp1251)",
    "latin-1": "Latin-1",
    "gb18030": "Chinese (GBK, GB 18030)",
    "shift_jis": "Japanese (Shift-JIS)",
}
DECIMALS = {".": "Point, as in 0.47", ",": "Comma, as in 0,47"}


@dataclass(frozen=True, slots=True)
class FoundForm:
    """What was sent; "" for what the page does not ask of this file."""

    sheet: str
    header_row: str
    encoding: str
    delimiter: str
    decimal: str

    @classmethod
    def sent(cls, form: FormData) -> "FoundForm":
        """The fields of a sent form."""
        return cls(*(text_of(form, name) for name in ("sheet", "header_row", "encoding", "delimiter", "decimal")))

    @classmethod
    def of(cls, reading: BomReading) -> "FoundForm":
        """What the form holds when it is shown first: all as it was found."""
        return cls(
            sheet=reading.sheet or "",
            header_row=str(reading.header_row or 0),
            encoding=reading.encoding or "",
            delimiter=_delimiter_name(reading) if reading.encoding else "",
            decimal=reading.decimal,
        )


@router.get("/{token}/found", response_class=HTMLResponse)
def found_page(request: Request, person: Engineer, reads: Reads, token: str, done: str = "") -> HTMLResponse:
    """What was found."""
    return _page(request, load(reads, person, token), done=done)


@router.post("/{token}/found", response_class=HTMLResponse)
def read_again(
    request: Request, person: Engineer, database: AppDatabase, settings: AppSettings, token: str, form: SentForm
) -> Response:
    """Read the file again with what was changed, and stay here or go on."""
    typed = FoundForm.sent(form)
    try:
        uploads.reread(database, settings, person, token, version_of(form), _change(typed))
    except (InvalidInputError, UnreadableFileError, ConflictError) as error:
        return _page(request, load(database.read, person, token), typed=typed, error=error)
    if text_of(form, "go") == Step.COLUMNS:
        return go_to(request, step_address(token, Step.COLUMNS))
    return go_to(request, f"{step_address(token, Step.FOUND)}?done=read")


def _change(typed: FoundForm) -> Callable[[BomReading, ReadChoices], ReadChoices]:
    def change(reading: BomReading, choices: ReadChoices) -> ReadChoices:
        """Only what differs from what was found is a choice: the rest stays the reader's to find."""
        shown = FoundForm.of(reading)
        changes: dict[str, Any] = {}
        if typed.sheet != shown.sheet:
            changes["sheet"] = _one_of(typed.sheet, reading.sheets, "sheet")
        if typed.delimiter != shown.delimiter:
            changes["delimiter"] = DELIMITERS[_one_of(typed.delimiter, DELIMITERS, "delimiter")]
        if changes:
            # Row numbers mean other rows now.
            changes |= {"header_row": None, "rows": {}}
        if typed.encoding != shown.encoding:
            changes["encoding"] = _one_of(typed.encoding, ENCODINGS, "encoding")
        if typed.decimal != shown.decimal:
            changes["decimal"] = _one_of(typed.decimal, DECIMALS, "decimal")
        if typed.header_row.strip() != shown.header_row:
            changes["header_row"] = _row_number(typed.header_row.strip(), reading.row_count)
        return replace(choices, **changes)

    return change


def _one_of(text: str, allowed: Any, field: str) -> str:
    if text not in allowed:
        raise InvalidInputError("Choose one from the list.", field=field)
    return text


def _row_number(text: str, rows: int) -> int:
    if not text.isdecimal() or len(text) > 7 or int(text) > rows:
        raise InvalidInputError(
            f"The header row is a number from 1 to {rows}, or 0 when there is none.", field="header_row"
        )
    return int(text)


def _page(
    request: Request,
    draft: Draft,
    *,
    typed: FoundForm | None = None,
    error: MeltlineError | None = None,
    done: str = "",
) -> HTMLResponse:
    reading = draft.reading
    if error is not None and error.field == "file":
        # There is no such field here: the file stays, how it is read is what failed.
        error = UnreadableFileError(f"Read like this the file gives nothing: {error.message}", code=error.code)
    rows = {line.row for line in reading.lines}
    context = {
        "typed": typed or FoundForm.of(reading),
        "is_text": reading.encoding is not None and not reading.sheets,
        "sheet_options": [(name, name) for name in reading.sheets],
        "encoding_options": _with_found(ENCODINGS, reading.encoding),
        "delimiter_options": _with_found(DELIMITER_NAMES, _delimiter_name(reading)),
        "decimal_options": list(DECIMALS.items()),
        "letters": [letter(i) for i in range(max(map(len, reading.preview), default=0))],
        "notes": [problem for problem in draft.joined.reading.problems if problem.row not in rows],
    }
    return show_step(request, draft, Step.FOUND, context, error=error, done=done)


def _with_found(names: dict[str, str], found: str | None) -> list[tuple[str, str]]:
    """The options, and before them what was found if it is none of them."""
    options = list(names.items())
    return options if found is None or found in names else [(found, found), *options]


def _delimiter_name(reading: BomReading) -> str:
    sign = reading.delimiter or ""
    return next((name for name, known in DELIMITERS.items() if known == sign), sign)
