"""Editing one route: its name and its steps.

Adding, moving and removing steps are links to another state of the form: the whole form stands in the address, nothing
is stored until it is saved.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session
from starlette.datastructures import FormData, QueryParams

from webapp.desk import routes
from webapp.desk.routes import ALLOY, MOST_STEPS, ProductRoute
from webapp.desk.site import site_of
from webapp.desk.typed import typed_number, typed_temperature
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, NotFoundError
from webapp.trade.materials import Materials
from webapp.trade.paste_windows import outside_window, window_words
from webapp.trade.ranges import Span, number_text
from webapp.trade.route import STEP_LIMITS, Route, Side, Step, StepKind
from webapp.trade.temperatures import PEAK, parse_difference_k
from webapp.web.deps import AppDatabase, Reads
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
from webapp.web.pages.product_tabs.solder import (
    PRINTED,
    Options,
    read_solder,
    solder_groups,
    solder_of,
    takes_paste,
)
from webapp.web.pages.uploads.common import Engineer, SentForm, text_of
from webapp.web.paging import UnknownViewError
from webapp.web.product_tabs import Tab
from webapp.web.rendering import go_to, render

router = APIRouter(prefix="/products")

FIELDS = (
    "kind", "name", "side", "solder", "foil_mm", "peak_c", "spread_k", "above_melting_s", "hours", "neighbour_c",
    "wave_side_c",
)  # fmt: skip
UNITS = {"above_melting_s": "s", "hours": "h", "foil_mm": "mm"}
KIND_OPTIONS = [(kind.value, kind.words) for kind in StepKind]
SIDE_OPTIONS = [("", "not known"), (Side.TOP.value, "top"), (Side.BOTTOM.value, "bottom")]
_TEMPERATURES = ("peak_c", "neighbour_c", "wave_side_c")
_ECHOED = (*_TEMPERATURES, "foil_mm")
_DO = re.compile(r"(up|down|remove)-(\d{1,3})|(add)")
# Cures, bakes and the like on an assembled board; past it somebody has typed °F.
_HEATING = Span(-80.0, 220.0)

Typed = dict[str, str]
"""One step as typed: a text for each of FIELDS."""


@dataclass(frozen=True, slots=True)
class StepForm:
    """A step in the form. ``asks``: the fields that its kind has; ``echoes``: field -> how what was typed in another
    unit is read; ``solders``: groups of pastes and alloys to choose from; ``window``: alloy and window of the paste
    chosen, and ``outside`` what of the step lies outside it."""

    position: int
    kind: StepKind
    typed: Typed
    asks: frozenset[str]
    echoes: dict[str, str]
    solders: list[tuple[str, Options]]
    window: str
    outside: tuple[str, ...]


@router.get("/{code:path}/route/{route_id}/edit", response_class=HTMLResponse)
def edit_page(
    request: Request, _person: Engineer, reads: Reads, code: str, route_id: RowId, do: str = "", add: str = ""
) -> HTMLResponse:
    """The form: as stored, or as the address says, with one step moved, removed or added."""
    with reads() as session:
        shown, route, materials = _load(session, code, route_id)
    if "version" not in request.query_params:
        typed = [_as_typed(step) for step in route.route.steps]
        return _page(request, shown, route, materials, route.route.name, typed)
    query = request.query_params
    steps = _rearranged(_typed_steps(query), materials, do, add)
    version = _number(query.get("version", ""))
    return _page(request, shown, route, materials, query.get("name", ""), steps, version=version)


@router.post("/{code:path}/route/{route_id}/edit", response_class=HTMLResponse)
def save(
    request: Request, person: Engineer, database: AppDatabase, code: str, route_id: RowId, form: SentForm
) -> Response:
    """Store the route as it stands in the form; re-assess; say what that changed."""
    with database.read() as session:
        shown, route, materials = _load(session, code, route_id)
    name, typed = text_of(form, "name"), _typed_steps(form)
    steps, errors = _read_steps(typed)
    error: MeltlineError | None = None
    if not errors:
        before = before_saving(database, shown.id)
        try:
            new, version = Route(name, tuple(steps)), version_of(form)
            with database.command() as session:
                routes.save_route(session, person, shown.id, new, route_id=route_id, version=version)
            texts = [step[field] for step in typed for field in _ECHOED]
            return go_to(request, after_saving(database, shown, f"{shown.address}/route", "saved", before, texts))
        except (InvalidInputError, ConflictError) as refused:
            error, errors = refused, _form_errors(refused)
    seen = _number(text_of(form, "version"))
    return _page(request, shown, route, materials, name, typed, version=seen, errors=errors, error=error)


def edit_address(address: str, route: ProductRoute, changed: Route) -> str:
    """The form with other steps than are stored; ``address``: that of the product."""
    fields: dict[str, str | int] = {"version": route.version, "name": changed.name}
    for position, step in enumerate(changed.steps):
        fields |= {f"step_{position}_{field}": text for field, text in _as_typed(step).items()}
    return f"{address}/route/{route.id}/edit?{urlencode(fields)}"


def _form_errors(error: MeltlineError) -> dict[str, str]:
    """Paste and alloy of a step are one choice in the form."""
    return {re.sub(r"(step_\d+_)(paste|alloy)", r"\1solder", name): said for name, said in errors_of(error).items()}


def _load(session: Session, code: str, route_id: int) -> tuple[Shown, ProductRoute, Materials]:
    shown = load_product(session, code)
    route = routes.route_by_id(session, route_id)
    if route.product_id != shown.id:
        raise NotFoundError("The product has no such route.")
    return shown, route, site_of(session).materials


def asks(kind: StepKind) -> frozenset[str]:
    """The fields that a step of this kind has; what is irrelevant is not asked."""
    printed = {"foil_mm"} if kind in PRINTED else set()
    if kind is StepKind.REFLOW:
        return frozenset({"name", "side", "solder", "peak_c", "spread_k", "above_melting_s", *printed})
    if kind.is_local:
        in_wave = {"wave_side_c"} if kind is StepKind.WAVE else set()
        return frozenset({"name", "side", "solder", "peak_c", "neighbour_c", *in_wave, *printed})
    if kind.heats_all:
        return frozenset({"name", "peak_c", "spread_k", "hours"})
    return frozenset({"name"})


def _as_typed(step: Step) -> Typed:
    typed = {"kind": step.kind.value, "name": step.name, "side": step.side or "", "solder": solder_of(step)}
    for field in STEP_LIMITS:
        value = getattr(step, field)
        typed[field] = "" if value is None else number_text(value)
    return typed


def _typed_steps(form: FormData | QueryParams) -> list[Typed]:
    steps: list[Typed] = []
    for position in range(MOST_STEPS):
        texts = {field: form.get(f"step_{position}_{field}", "") for field in FIELDS}
        typed = {field: text if isinstance(text, str) else "" for field, text in texts.items()}
        if not typed["kind"]:
            break
        _kind(typed["kind"])
        steps.append(typed)
    return steps


def _kind(text: str) -> StepKind:
    try:
        return StepKind(text)
    except ValueError:
        raise UnknownViewError(f'"{text[:40]}" is no kind of step; there are: {", ".join(StepKind)}.') from None


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 10 else 0


def _rearranged(steps: list[Typed], materials: Materials, do: str, add: str) -> list[Typed]:
    """The steps after "up-2", "down-0", "remove-1" (positions from 0) or "add"; unchanged for ""."""
    if not do:
        return steps
    match = _DO.fullmatch(do)
    if match is None:
        raise UnknownViewError(f'"{do[:40]}" is nothing to do with a step; there are: up-, down-, remove-, add.')
    if match[3]:
        return [*steps, _new_step(_kind(add), steps, materials)] if len(steps) < MOST_STEPS else steps
    at = int(match[2])
    if at >= len(steps):
        return steps
    step = steps.pop(at)
    if match[1] != "remove":
        steps.insert(max(0, at - 1) if match[1] == "up" else at + 1, step)
    return steps


def _new_step(kind: StepKind, steps: Sequence[Typed], materials: Materials) -> Typed:
    """An empty step; a soldering step begins with the solder that is used already, or for a bath with its alloy."""
    solder = next((step["solder"] for step in reversed(steps) if step["solder"]), "") if kind.makes_joints else ""
    paste = materials.paste(read_solder(solder)[0])
    if paste is not None and not takes_paste(kind):
        solder = f"{ALLOY}{paste.alloy}"
    return {**dict.fromkeys(FIELDS, ""), "kind": kind.value, "solder": solder}


def _read_steps(typed: Iterable[Typed]) -> tuple[list[Step], dict[str, str]]:
    """The steps, and what does not hold: field of the form -> sentence."""
    steps: list[Step] = []
    errors: dict[str, str] = {}
    for position, texts in enumerate(typed):
        step, wrong = _read_step(texts)
        steps.append(step)
        errors |= {f"step_{position}_{field}": message for field, message in wrong.items()}
    return steps, errors


def _read_step(texts: Mapping[str, str]) -> tuple[Step, dict[str, str]]:
    kind = _kind(texts["kind"])
    wanted = asks(kind)
    errors: dict[str, str] = {}
    numbers: dict[str, float | None] = {}
    for field in STEP_LIMITS:
        if field not in wanted or not texts[field].strip():
            continue
        try:
            numbers[field] = _read_number(kind, field, texts[field])
        except InvalidInputError as error:
            errors[field] = error.message
    side = texts["side"] if "side" in wanted else ""
    if side not in ("", *Side):
        errors["side"] = "Choose top or bottom."
    paste, alloy = read_solder(texts["solder"]) if "solder" in wanted else (None, None)
    step = Step(
        kind=kind,
        name=" ".join(texts["name"].split()),
        side=Side(side) if side in set(Side) else None,
        alloy=alloy,
        peak_c=numbers.get("peak_c"),
        spread_k=numbers.get("spread_k") or 0.0,
        above_melting_s=numbers.get("above_melting_s"),
        hours=numbers.get("hours"),
        neighbour_c=numbers.get("neighbour_c"),
        wave_side_c=numbers.get("wave_side_c"),
        paste=paste,
        foil_mm=numbers.get("foil_mm"),
    )
    return step, errors


def _read_number(kind: StepKind, field: str, text: str) -> float:
    if field == "spread_k":
        return parse_difference_k(text)
    if field in _TEMPERATURES:
        return typed_temperature(text, _plausible(kind, field), field=field)
    return typed_number(text, STEP_LIMITS[field], field=field, unit=UNITS[field])


def _plausible(kind: StepKind, field: str) -> Span:
    if kind is StepKind.REFLOW:
        return PEAK
    return _HEATING if kind.heats_all else STEP_LIMITS[field]


def _page(
    request: Request,
    shown: Shown,
    route: ProductRoute,
    materials: Materials,
    name: str,
    steps: Sequence[Typed],
    *,
    version: int | None = None,
    errors: Mapping[str, str] | None = None,
    error: MeltlineError | None = None,
) -> HTMLResponse:
    errors = dict(errors or {})
    is_conflict = isinstance(error, ConflictError)
    forms = [_form(position, typed, materials) for position, typed in enumerate(steps)]
    asked = frozenset().union(*(form.asks for form in forms))
    context: dict[str, Any] = {
        **shown.context(Tab.ROUTE),
        "route": route,
        "name": name,
        "steps": forms,
        "asked": asked,
        # After a conflict saving again means to replace what is shown beside it.
        "seen": route.version if is_conflict or version is None else version,
        "kind_options": KIND_OPTIONS,
        "side_options": SIDE_OPTIONS,
        "errors": errors,
        "stored": route.route if is_conflict else None,
        "is_changed": "version" in request.query_params,
        "most_steps": MOST_STEPS,
    }
    return render(request, "routes/edit.html", context, status=status_of(errors, error))


def _form(position: int, typed: Typed, materials: Materials) -> StepForm:
    kind = _kind(typed["kind"])
    echoes = {field: echo for field in _ECHOED if (echo := echo_of(typed[field]))}
    # What cannot be read is told beside its field; the rest may be compared all the same.
    step, _ = _read_step(typed)
    paste = materials.paste(step.paste)
    return StepForm(
        position,
        kind,
        typed,
        asks(kind),
        echoes,
        solder_groups(materials, kind),
        f"{paste.alloy}; window {window_words(paste)}" if paste else "",
        outside_window(step, paste) if paste else (),
    )
