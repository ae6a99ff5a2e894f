"""The rows: what is fitted, not fitted or passed over, and what looks wrong; each row can be overruled."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from fastapi import APIRouter, File, Request, Response, UploadFile
from fastapi.responses import HTMLResponse

from webapp.desk import sheets, uploads
from webapp.desk.drafts import Draft
from webapp.desk.uploads import UploadedFile
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, TooLargeError, UnreadableFileError
from webapp.trade.bom import BomLine, Fitting, Skip
from webapp.trade.tally import SILENT_SKIPS
from webapp.web.deps import AppDatabase, AppSettings, Reads
from webapp.web.downloads import CSV, attachment
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
from webapp.web.pages.uploads.listing import PLACEMENT_ACCEPTED
from webapp.web.paging import View, Window, chosen
from webapp.web.rendering import go_to

router = APIRouter(prefix="/uploads")


class ShowRows(StrEnum):
    """Which rows are shown."""

    ALL = "all"
    PROBLEMS = "problems"
    FITTED = "fitted"
    DNP = "dnp"
    EXCLUDED = "excluded"
    LOOSE = "loose"
    SKIPPED = "skipped"


TAB_NAMES = {
    ShowRows.ALL: "All lines",
    ShowRows.PROBLEMS: "To look at",
    ShowRows.FITTED: "Fitted",
    ShowRows.DNP: "Not fitted",
    ShowRows.EXCLUDED: "No placement",
    ShowRows.LOOSE: "Without designator",
    ShowRows.SKIPPED: "Passed over",
}
SKIP_REASONS = {
    "blank": "blank",
    "rule": "a rule",
    "title": "above the table",
    "header": "column heads",
    "heading": "a heading",
    "continued": "goes on from the line above",
    "footer": "below the table, or a total",
    "note": "a remark: names no part",
    "duplicate": "the whole list again",
    "left_out": "left out by you",
}
# A row that one of these names can be a line after all.
TAKEABLE = frozenset({"heading", "footer", "note", "continued"})
STATE_OPTIONS = [("fitted", "fitted"), ("dnp", "not fitted"), ("skip", "leave out")]
SKIP_OPTIONS = [("", "pass over"), ("fitted", "take as a line")]
LEFT_OUT_OPTIONS = [("", "as read"), ("skip", "leave out")]


@dataclass(frozen=True, slots=True)
class LineEntry:
    """A line as the page shows it."""

    line: BomLine
    bottom: tuple[str, ...]
    problems: list[str]
    options: list[tuple[str, str]]
    state: str


@dataclass(frozen=True, slots=True)
class SkipEntry:
    """A row passed over as the page shows it; ``options`` is empty where nothing can be made of it."""

    row: int
    reason: str
    text: str
    options: list[tuple[str, str]]
    state: str


@router.get("/{token}/rows", response_class=HTMLResponse)
def rows_page(
    request: Request, person: Engineer, reads: Reads, token: str, show: str = "all", page: int = 1, done: str = ""
) -> HTMLResponse:
    """One page of the rows."""
    return _page(request, load(reads, person, token), show, page, done=done)


@router.post("/{token}/rows", response_class=HTMLResponse)
def save_rows(
    request: Request, person: Engineer, database: AppDatabase, settings: AppSettings, token: str, form: SentForm
) -> Response:
    """Save what was said of the rows shown, and stay here or go on."""
    typed = {name.removeprefix("row_"): str(value) for name, value in form.items() if name.startswith("row_")}
    show, page = text_of(form, "show") or "all", text_of(form, "page")
    number = int(page) if page.isdecimal() and len(page) < 7 else 1
    try:
        uploads.set_rows(database, settings, person, token, version_of(form), _states(typed))
    except (InvalidInputError, UnreadableFileError, ConflictError) as error:
        return _page(request, load(database.read, person, token), show, number, typed=typed, error=error)
    if text_of(form, "go") == Step.COMMIT:
        return go_to(request, step_address(token, Step.COMMIT))
    return go_to(request, _view(token, show, number).address(done="saved"))


@router.post("/{token}/placement", response_class=HTMLResponse)
def add_placement(
    request: Request,
    person: Engineer,
    database: AppDatabase,
    settings: AppSettings,
    token: str,
    form: SentForm,
    placement: Annotated[UploadFile | None, File()] = None,
) -> Response:
    """Add a placement file, or put another in its place."""
    try:
        if placement is None or not (placement.filename or placement.size):
            raise InvalidInputError("Choose the placement file.", field="placement")
        file = UploadedFile(placement.filename or "", placement.file.read())
        uploads.set_placement(database, settings, person, token, version_of(form), file)
    except (InvalidInputError, UnreadableFileError, TooLargeError, ConflictError) as error:
        return _page(request, load(database.read, person, token), "all", 1, error=error)
    return go_to(request, f"{step_address(token, Step.ROWS)}?done=placement")


@router.post("/{token}/placement/remove", response_class=HTMLResponse)
def remove_placement(request: Request, person: Engineer, database: AppDatabase, token: str, form: SentForm) -> Response:
    """Take the placement file away."""
    try:
        uploads.remove_placement(database, person, token, version_of(form))
    except (InvalidInputError, ConflictError) as error:
        return _page(request, load(database.read, person, token), "all", 1, error=error)
    return go_to(request, f"{step_address(token, Step.ROWS)}?done=no-placement")


@router.get("/{token}/rejected.csv")
def rejected(person: Engineer, reads: Reads, token: str) -> Response:
    """The rows passed over and those with something to look at, to be corrected in the file."""
    draft = load(reads, person, token)
    content = sheets.to_csv(("Row", "Reason", "Text"), sorted(_rejected(draft)))
    return attachment(content, f"{draft.filename.rpartition('.')[0] or draft.filename}_to-look-at.csv", CSV)


def _rejected(draft: Draft) -> list[tuple[int, str, str]]:
    reading = draft.joined.reading
    texts = {line.row: _text(line) for line in reading.lines}
    rows = [
        (skip.row, SKIP_REASONS.get(skip.reason, skip.reason), skip.text)
        for skip in reading.skipped
        if skip.reason not in SILENT_SKIPS
    ]
    rows += [(problem.row, problem.message, texts.get(problem.row, "")) for problem in reading.problems if problem.row]
    return rows


def _text(line: BomLine) -> str:
    parts = (" ".join(line.refdes), line.mpn, line.manufacturer, line.value, line.description, line.package)
    return " | ".join(part for part in parts if part)


def _states(typed: Mapping[str, str]) -> dict[int, Fitting | None]:
    states: dict[int, Fitting | None] = {}
    for row, text in typed.items():
        if not row.isdecimal() or len(row) > 7 or text not in ("", *Fitting):
            raise InvalidInputError("Choose one from the list.", field=f"row_{row}")
        states[int(row)] = Fitting(text) if text else None
    return states


def _view(token: str, show: str, page: int) -> View:
    return View(step_address(token, Step.ROWS), {"show": show, "page": page}, {"show": "all", "page": 1})


def _page(
    request: Request,
    draft: Draft,
    show_text: str,
    page: int,
    *,
    typed: Mapping[str, str] | None = None,
    error: MeltlineError | None = None,
    done: str = "",
) -> HTMLResponse:
    show = chosen(ShowRows, show_text, "selection of rows")
    entries = _skips(draft, typed or {}) if show is ShowRows.SKIPPED else _lines(draft, show, typed or {})
    window = Window.at(page, len(entries))
    view = _view(draft.token, show, window.number)
    rows = {line.row for line in draft.joined.reading.lines}
    context = {
        "show": show,
        "tabs_shown": [
            (TAB_NAMES[tab], view.address(show=tab, page=None), tab is show, _count(draft, tab)) for tab in ShowRows
        ],
        "entries": entries[window.offset : window.last],
        "window": window,
        "previous": view.address(page=window.previous) if window.previous else None,
        "following": view.address(page=window.following) if window.following else None,
        "blank_rows": sum(skip.reason in SILENT_SKIPS for skip in draft.reading.skipped),
        "notes": [problem for problem in draft.joined.reading.problems if problem.row not in rows],
        "placement_accepted": PLACEMENT_ACCEPTED,
        "rejected_count": len(_rejected(draft)),
    }
    return show_step(request, draft, Step.ROWS, context, error=error, done=done)


def _count(draft: Draft, show: ShowRows) -> int:
    if show is ShowRows.SKIPPED:
        return draft.counts.skipped
    return len(_shown(draft, show))


def _shown(draft: Draft, show: ShowRows) -> list[BomLine]:
    reading = draft.joined.reading
    doubtful = {problem.row for problem in reading.problems}
    tests = {
        ShowRows.ALL: lambda _line: True,
        ShowRows.PROBLEMS: lambda line: line.row in doubtful,
        ShowRows.FITTED: lambda line: bool(line.fitted_refdes),
        ShowRows.DNP: lambda line: bool(line.dnp_refdes),
        ShowRows.EXCLUDED: lambda line: bool(line.excluded_refdes) and not line.loose,
        ShowRows.LOOSE: lambda line: line.loose,
    }
    return list(filter(tests[show], reading.lines))


def _lines(draft: Draft, show: ShowRows, typed: Mapping[str, str]) -> list[LineEntry | SkipEntry]:
    problems: dict[int | None, list[str]] = {}
    for problem in draft.joined.reading.problems:
        problems.setdefault(problem.row, []).append(problem.message)
    return [
        LineEntry(
            line,
            draft.joined.bottom_refdes.get(line.row, ()),
            problems.get(line.row, []),
            [("", _as_read(line, draft)), *STATE_OPTIONS],
            typed.get(str(line.row), draft.choices.rows.get(line.row, "")),
        )
        for line in _shown(draft, show)
    ]


def _as_read(line: BomLine, draft: Draft) -> str:
    """What the first option means: with a person's word on the row nobody knows what was read."""
    if line.row in draft.choices.rows:
        return "as read"
    if line.fitted_refdes:
        return "as read: partly fitted" if line.dnp_refdes else "as read: fitted"
    return "as read: not fitted" if line.dnp_refdes else "as read: no placement"


def _skips(draft: Draft, typed: Mapping[str, str]) -> list[LineEntry | SkipEntry]:
    return [
        SkipEntry(
            skip.row,
            SKIP_REASONS.get(skip.reason, skip.reason),
            skip.text,
            _options(skip),
            typed.get(str(skip.row), draft.choices.rows.get(skip.row, "")),
        )
        for skip in draft.reading.skipped
        if skip.reason not in SILENT_SKIPS
    ]


def _options(skip: Skip) -> list[tuple[str, str]]:
    if skip.reason == "left_out":
        return LEFT_OUT_OPTIONS
    return SKIP_OPTIONS if skip.reason in TAKEABLE else []
