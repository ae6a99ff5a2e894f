"""The rows: what is fitted, not fitted or passed over, and what looks wrong; each row can be overruled."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from fastapi import APIRouter, File, Request, Response, UploadFile
from fastapi.responses import HTMLResponse

from webapp.desk import sheets, uploads
from webapp.desk.drafts import Draft
from webapp.desk.uploads import UploadedFile
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, TooLargeError, UnreadableFileError
from webapp.trade.bom import BomLine, BomReading, Fitting, Problem, Skip
from webapp.trade.tally import SILENT_SKIPS
from webapp.web.deps import AppDatabase, AppSettings, Reads
from webapp.web.downloads import CSV, attachment
from webapp.web.lists import paged
from webapp.web.numbers import PageNumber
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
    request: Request,
    person: Engineer,
    reads: Reads,
    token: str,
    show: str = "all",
    page: PageNumber = 1,
    done: str = "",
) -> HTMLResponse:
    """One page of the rows."""
    _view(token, show, page).refuse_others(request.query_params, "done")
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
    texts = {line.row: _text(line) for line in draft.joined.reading.lines}
    rows = [(skip.row, SKIP_REASONS.get(skip.reason, skip.reason), skip.text) for skip in _said_skips(draft)]
    rows += [(problem.row or 0, problem.message, texts.get(problem.row or 0, "")) for problem in _row_problems(draft)]
    return rows


def _said_skips(draft: Draft) -> list[Skip]:
    """The rows passed over that say something."""
    return [skip for skip in draft.reading.skipped if skip.reason not in SILENT_SKIPS]


def _row_problems(draft: Draft) -> list[Problem]:
    return [problem for problem in draft.joined.reading.problems if problem.row]


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
    reading = draft.joined.reading
    lines, skips = _lines_by_tab(reading), _said_skips(draft)
    counts = {tab: len(some) for tab, some in lines.items()} | {ShowRows.SKIPPED: len(skips)}
    window = Window.at(page, counts[show])
    here = slice(window.offset, window.last)
    states = {str(row): state for row, state in draft.choices.rows.items()} | dict(typed or {})
    view = _view(draft.token, show, window.number)
    rows = {line.row for line in reading.lines}
    is_skips = show is ShowRows.SKIPPED
    context = {
        **paged(view, window),
        "show": show,
        "tabs_shown": [
            (name, view.address(show=tab, page=None), tab is show, counts[tab]) for tab, name in TAB_NAMES.items()
        ],
        "entries": _skips(skips[here], states) if is_skips else _lines(draft, lines[show][here], states),
        "blank_rows": len(draft.reading.skipped) - len(skips),
        "notes": [problem for problem in reading.problems if problem.row not in rows],
        "placement_accepted": PLACEMENT_ACCEPTED,
        "rejected_count": len(skips) + len(_row_problems(draft)),
    }
    return show_step(request, draft, Step.ROWS, context, error=error, done=done)


def _lines_by_tab(reading: BomReading) -> dict[ShowRows, Sequence[BomLine]]:
    doubtful = {problem.row for problem in reading.problems}
    lines = reading.lines
    return {
        ShowRows.ALL: lines,
        ShowRows.PROBLEMS: [line for line in lines if line.row in doubtful],
        ShowRows.FITTED: [line for line in lines if line.fitted_refdes],
        ShowRows.DNP: [line for line in lines if line.dnp_refdes],
        ShowRows.EXCLUDED: [line for line in lines if line.excluded_refdes and not line.loose],
        ShowRows.LOOSE: [line for line in lines if line.loose],
    }


def _lines(draft: Draft, lines: Sequence[BomLine], states: Mapping[str, str]) -> list[LineEntry]:
    problems: dict[int | None, list[str]] = {}
    for problem in draft.joined.reading.problems:
        problems.setdefault(problem.row, []).append(problem.message)
    return [
        LineEntry(
            line,
            draft.joined.bottom_refdes.get(line.row, ()),
            problems.get(line.row, []),
            [("", _as_read(line, draft)), *STATE_OPTIONS],
            states.get(str(line.row), ""),
        )
        for line in lines
    ]


def _as_read(line: BomLine, draft: Draft) -> str:
    """What the first option means: with a person's word on the row nobody knows what was read."""
    if line.row in draft.choices.rows:
        return "as read"
    if line.fitted_refdes:
        return "as read: partly fitted" if line.dnp_refdes else "as read: fitted"
    return "as read: not fitted" if line.dnp_refdes else "as read: no placement"


def _skips(skips: Sequence[Skip], states: Mapping[str, str]) -> list[SkipEntry]:
    return [
        SkipEntry(
            skip.row,
            SKIP_REASONS.get(skip.reason, skip.reason),
            skip.text,
            _options(skip),
            states.get(str(skip.row), ""),
        )
        for skip in skips
    ]


def _options(skip: Skip) -> list[tuple[str, str]]:
    if skip.reason == "left_out":
        return LEFT_OUT_OPTIONS
    return SKIP_OPTIONS if skip.reason in TAKEABLE else []
