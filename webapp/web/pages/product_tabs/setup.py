"""The tab *Setup*: the board, where the product is used, and what is declared over its whole BOM."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session
from starlette.datastructures import FormData

from webapp.checks.declare import Check, registry
from webapp.checks.declare import Scope as CheckScope
from webapp.desk import declarations
from webapp.desk.declarations import NewDeclaration
from webapp.desk.setups import Setup, save_setup, setup_of, typed_setup
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, NotFoundError
from webapp.store import part_reads
from webapp.store.change_reads import setup_change
from webapp.store.parts import DeclarationRow
from webapp.trade.facts import Claim, Scope
from webapp.trade.masks import BoardFinish
from webapp.trade.people import Role
from webapp.trade.ranges import number_text
from webapp.trade.setup import LIMITS, DropClass
from webapp.web.case_changes import changes
from webapp.web.deps import AppDatabase, CurrentPerson, Reads
from webapp.web.numbers import RowId
from webapp.web.pages.product_tabs.common import (
    Shown,
    after_saving,
    before_saving,
    echo_of,
    errors_of,
    load_product,
    status_of,
    version_of,
)
from webapp.web.pages.uploads.common import Engineer, SentForm, text_of
from webapp.web.product_tabs import Tab
from webapp.web.rendering import go_to, render

router = APIRouter(prefix="/products")


@dataclass(frozen=True, slots=True)
class FieldWords:
    """A field of the form: its label with the unit, and what is to be typed."""

    name: str
    label: str
    hint: str


BOARD = (
    FieldWords("thickness_mm", "Thickness, mm", "Of the finished board; or with a unit: 62 mil."),
    FieldWords("length_mm", "Length, mm", "In the direction it goes through the oven."),
    FieldWords("width_mm", "Width, mm", "Across."),
    FieldWords("layers", "Copper layers", "How many."),
    FieldWords("copper_um", "Copper, µm", "Of the thickest layer; 35 µm is one ounce."),
    FieldWords("laminate_tg_c", "Laminate Tg, °C", "Glass transition."),
    FieldWords("laminate_td_c", "Laminate Td, °C", "Decomposition, 5 % of mass lost."),
    FieldWords("cte_ppm_k", "Expansion in plane, ppm/K", "Below Tg."),
)
ENVIRONMENT = (
    FieldWords("t_min_c", "Lowest air temperature, °C", "Of the air around the board, inside the housing."),
    FieldWords("t_max_c", "Highest air temperature, °C", "Of the air around the board, inside the housing."),
    FieldWords("board_heating_k", "Own heat of the board, K", "What the board adds to the air around it, in use."),
    FieldWords("cycles_per_day", "Temperature cycles a day", "Switching on and off, day and night."),
    FieldWords("years", "Years in use", "As promised or expected."),
    FieldWords("humidity_pct", "Relative humidity, %", "The highest that lasts."),
    FieldWords("bias_v", "Voltage between neighbours, V", "The highest between two conductors side by side."),
)
DROP_OPTIONS = [
    ("", "not known"),
    (str(DropClass.NONE), "never: fixed in place"),
    (str(DropClass.OCCASIONAL), "now and then"),
    (str(DropClass.HANDHELD), "often: carried in the hand"),
]
FINISHES = [(finish.key, BoardFinish.vocabulary()[finish.value]) for finish in BoardFinish]
CLAIM_WORDS = {
    Claim.LEAD_FREE: "Terminations are lead-free",
    Claim.LIMIT_AT_LEAST: "Bodies stand at least {number} °C",
    Claim.PASSES_AT_LEAST: "At least {number} reflow passes are allowed",
    Claim.SELF_HEATING_AT_MOST: "Joints heat themselves by at most {number} K",
}
_BESIDE = {"t_min_c"}
_UNITS = {"c": "°C", "mm": "mm", "um": "µm"}
"""Ending of a field's name -> its unit, where others may be typed."""
NOTICES = {
    "saved": "The setup is saved.",
    "declared": "The declaration is recorded.",
    "withdrawn": "The declaration is withdrawn; it stays on record.",
}


@dataclass(frozen=True, slots=True)
class FieldEntry:
    """A field as the page shows it. ``used_by``: the checks that use it; ``theirs``: the value that somebody else
    stored meanwhile, where it differs from what was typed."""

    words: FieldWords
    value: str
    error: str | None
    used_by: list[Check]
    echo: str
    theirs: str | None


@dataclass(frozen=True, slots=True)
class DeclarationEntry:
    """A declaration in words; ``is_own``: over this BOM, so that it can be withdrawn here."""

    row: DeclarationRow
    words: str
    is_own: bool


@router.get("/{code:path}/setup", response_class=HTMLResponse)
def setup_page(
    request: Request, person: CurrentPerson, reads: Reads, code: str, done: str = "", was: str = ""
) -> HTMLResponse:
    """Board, environment, declarations."""
    with reads() as session:
        shown = load_product(session, code)
        return _page(request, session, shown, is_editor=person.has(Role.ENGINEER), done=done, was=was)


@router.post("/{code:path}/setup", response_class=HTMLResponse)
def save(request: Request, person: Engineer, database: AppDatabase, code: str, form: SentForm) -> Response:
    """Store board and environment; re-assess; say what that changed."""
    with database.read() as session:
        shown = load_product(session, code)
    typed = typed_fields(form)
    errors = errors_in(typed)
    error: MeltlineError | None = None
    if not errors:
        before = before_saving(database, shown.id)
        try:
            board, environment = typed_setup(typed)
            with database.command() as session:
                save_setup(session, person, shown.id, board, environment, version=version_of(form))
            where = after_saving(database, shown, f"{shown.address}/setup", "saved", before, typed.values())
            return go_to(request, where)
        except (InvalidInputError, ConflictError) as refused:
            error, errors = refused, errors_of(refused)
    with database.read() as session:
        seen = text_of(form, "version")
        return _page(request, session, shown, is_editor=True, typed=typed, errors=errors, error=error, seen=seen)


@router.post("/{code:path}/setup/declarations", response_class=HTMLResponse)
def declare(request: Request, person: Engineer, database: AppDatabase, code: str, form: SentForm) -> Response:
    """Record that the terminations on this BOM are lead-free."""
    with database.read() as session:
        shown = load_product(session, code)
    reference, stated_on = text_of(form, "reference"), text_of(form, "stated_on")
    before = before_saving(database, shown.id)
    new = NewDeclaration(Claim.LEAD_FREE, Scope.BOM, reference, product_id=shown.id, stated_on=stated_on)
    try:
        with database.command() as session:
            declarations.declare(session, person, new)
    except InvalidInputError as error:
        declared = {"reference": reference, "stated_on": stated_on}
        with database.read() as session:
            return _page(request, session, shown, is_editor=True, declared=declared, errors=errors_of(error))
    return go_to(request, after_saving(database, shown, f"{shown.address}/setup", "declared", before, ()))


@router.post("/{code:path}/setup/declarations/{declaration_id}/withdraw")
def withdraw(request: Request, person: Engineer, database: AppDatabase, code: str, declaration_id: RowId) -> Response:
    """Take back a declaration over this BOM."""
    with database.read() as session:
        shown = load_product(session, code)
    before = before_saving(database, shown.id)
    with database.command() as session:
        row = session.get(DeclarationRow, declaration_id)
        if row is None or row.product_id != shown.id:
            raise NotFoundError("There is no such declaration over this BOM.")
        declarations.withdraw_declaration(session, person, declaration_id)
    return go_to(request, after_saving(database, shown, f"{shown.address}/setup", "withdrawn", before, ()))


def typed_fields(form: FormData) -> dict[str, str]:
    """What the form holds, as ``typed_setup`` takes it."""
    typed = {name: text_of(form, name) for name in (*LIMITS, "drop_class")}
    return typed | {"finish": " ".join(str(value) for value in form.getlist("finish"))}


def errors_in(typed: Mapping[str, str]) -> dict[str, str]:
    """Every field that does not hold, with the sentence that says why."""
    errors = {}
    for name, text in typed.items():
        try:
            typed_setup({name: text})
        except InvalidInputError as error:
            errors[error.field or name] = error.message
    return errors


def stored_fields(setup: Setup) -> dict[str, str]:
    """A stored setup as the form shows it."""
    typed = {}
    for name in LIMITS:
        value = getattr(setup.environment if hasattr(setup.environment, name) else setup.board, name)
        typed[name] = "" if value is None else number_text(value)
    finish = setup.board.finish
    typed["finish"] = "" if finish == BoardFinish.everything() else finish.keys
    return typed | {"drop_class": setup.environment.drop_class or ""}


def used_by(name: str) -> list[Check]:
    """The checks that use a field of board or environment."""
    return [check for check in registry().values() if _uses(check, name)]


def _uses(check: Check, name: str) -> bool:
    # The terminal finish of parts goes by the same name.
    if name == "finish" and check.scope is not CheckScope.PRODUCT:
        return False
    return any(need.name == name for need in check.needs)


def _page(
    request: Request,
    session: Session,
    shown: Shown,
    *,
    is_editor: bool,
    typed: Mapping[str, str] | None = None,
    declared: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
    error: MeltlineError | None = None,
    seen: str = "",
    done: str = "",
    was: str = "",
) -> HTMLResponse:
    setup = setup_of(session, shown.id)
    errors = dict(errors or {})
    form = _Form(stored_fields(setup), typed, errors, request.query_params.getlist("typed"), error)
    board, environment = form.entries(BOARD), form.entries(ENVIRONMENT)
    every = [*board, *environment]
    context: dict[str, Any] = {
        **shown.context(Tab.SETUP),
        # After a conflict saving again means to replace what is shown beside it.
        "seen": setup.version if isinstance(error, ConflictError) or not seen.isdecimal() else seen,
        "changed": setup_change(session, shown.id),
        "board": [entry for entry in board if _is_first(entry)],
        "board_more": [entry for entry in board if not _is_first(entry)],
        "environment": [entry for entry in environment if _is_first(entry)],
        "environment_more": [entry for entry in environment if not _is_first(entry)],
        "board_more_open": _has_any(board),
        "use_more_open": _has_any(environment) or bool(form.values["drop_class"]),
        "wanted": [_in_a_sentence(entry.words.label) for entry in every if entry.used_by and not entry.value]
        + ([] if form.values["finish"] else ["finish of the board"]),
        "finish": form.values["finish"].split(),
        "finish_now": setup.board.finish.words,
        "finish_options": FINISHES,
        "finish_used_by": used_by("finish"),
        "drop_class": form.values["drop_class"],
        "drop_options": DROP_OPTIONS,
        "drop_used_by": used_by("drop_class"),
        "differs": form.differs(),
        "declarations": _declarations(session, shown.id),
        "declared": declared or {"reference": "", "stated_on": ""},
        "errors": errors,
        "is_conflict": isinstance(error, ConflictError),
        "is_editor": is_editor,
        "notice_text": NOTICES.get(done),
        "changes": changes(shown.cases, was) if done else [],
        "echoes": [echo for text in request.query_params.getlist("typed") if (echo := echo_of(text))],
    }
    return render(request, "product_setup/page.html", context, status=status_of(errors, error))


def _has_any(entries: list[FieldEntry]) -> bool:
    """Whether anything stands in the fields that no check uses yet."""
    return any((entry.value or entry.error) and not _is_first(entry) for entry in entries)


def _is_first(entry: FieldEntry) -> bool:
    """Whether the field stands before the fold: a check uses it, or it belongs beside one that is."""
    return bool(entry.used_by) or entry.words.name in _BESIDE


class _Form:
    """The form's fields: what is stored, what was typed instead, what is wrong with it, how it was read."""

    def __init__(
        self,
        stored: Mapping[str, str],
        typed: Mapping[str, str] | None,
        errors: Mapping[str, str],
        in_other_units: list[str],
        error: MeltlineError | None,
    ) -> None:
        self.values = {**stored, **(typed or {})}
        self._stored, self._errors = stored, errors
        self._in_other_units = in_other_units
        self._is_conflict = isinstance(error, ConflictError)

    def entries(self, fields: tuple[FieldWords, ...]) -> list[FieldEntry]:
        """The fields as the page shows them."""
        return [
            FieldEntry(
                words,
                self.values[words.name],
                self._errors.get(words.name),
                used_by(words.name),
                self._echo(words.name),
                self._theirs(words.name),
            )
            for words in fields
        ]

    def differs(self) -> list[tuple[str, str, str]]:
        """(label, as stored now, as typed) of what differs, when somebody else has saved meanwhile."""
        if not self._is_conflict:
            return []
        labels = {words.name: words.label for words in (*BOARD, *ENVIRONMENT)}
        labels |= {"finish": "Finish", "drop_class": "Dropped"}
        return [
            (label, self._stored[name] or "not known", self.values[name] or "not known")
            for name, label in labels.items()
            if self._stored[name] != self.values[name]
        ]

    def _theirs(self, name: str) -> str | None:
        differs = self._is_conflict and self._stored[name] != self.values[name]
        return (self._stored[name] or "not known") if differs else None

    def _echo(self, name: str) -> str:
        """How a temperature or length typed in another unit was read, while that is still the stored value."""
        unit = _UNITS.get(name.rpartition("_")[2])
        if unit is None:
            return ""
        echoes = (echo_of(text, "µm" if unit == "µm" else "mm") for text in self._in_other_units)
        return next((echo for echo in echoes if echo.endswith(f"= {self.values[name]} {unit}")), "")


def _declarations(session: Session, product_id: int) -> list[DeclarationEntry]:
    rows = part_reads.declarations(session, product_id)
    return [
        DeclarationEntry(row, _claim_words(row), row.product_id == product_id)
        for row in rows
        if row.scope in (Scope.SITE, Scope.BOM)
    ]


def _claim_words(row: DeclarationRow) -> str:
    return CLAIM_WORDS[Claim(row.claim)].format(number="" if row.number is None else number_text(row.number))


def _in_a_sentence(label: str) -> str:
    """A label that does not begin the sentence; units keep their capitals."""
    return label[:1].lower() + label[1:]
