"""Editing one route: its name and its steps.

Adding, moving and removing steps are links to another state of the form: the whole form stands in the address, nothing
is stored until it is saved.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session
from starlette.datastructures import FormData, QueryParams

from webapp.desk import routes
from webapp.desk.routes import MOST_STEPS, ProductRoute
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, NotFoundError
from webapp.trade.ranges import Span, number_text
from webapp.trade.route import STEP_LIMITS, Route, Side, Step, StepKind
from webapp.trade.temperatures import PEAK, parse_difference_k, parse_temperature
from webapp.web.deps import AppDatabase, Reads
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
from webapp.web.pages.product_tabs.route import alloy_options
from webapp.web.pages.uploads.common import Engineer, SentForm, text_of
from webapp.web.paging import UnknownViewError
from webapp.web.product_tabs import Tab
from webapp.web.rendering import go_to, render

router = APIRouter(prefix="/products")

FIELDS = ("kind", "name", "side", "alloy", "peak_c", "spread_k", "above_melting_s", "hours", "neighbour_c")
KIND_OPTIONS = [(kind.value, kind.words) for kind in StepKind]
SIDE_OPTIONS = [("", "not known"), (Side.TOP.value, "top"), (Side.BOTTOM.value, "bottom")]
_DO = re.compile(r"(up|down|remove)-(\d{1,3})|(add)")
# Cures, bakes and the like on an assembled board; past it somebody has typed °F.
_HEATING = Span(-80.0, 220.0)

Typed = dict[str, str]
"""One step as typed: a text for each of FIELDS."""


@dataclass(frozen=True, slots=True)
class StepForm:
    """A step in the form. ``asks``: the fields that its kind has; ``echoes``: field -> how what was typed in °F is
    read."""

    position: int
    kind: StepKind
    typed: Typed
    asks: frozenset[str]
    echoes: dict[str, str]


@router.get("/{code:path}/route/{route_id}/edit", response_class=HTMLResponse)
def edit_page(
    request: Request, _person: Engineer, reads: Reads, code: str, route_id: int, do: str = "", add: str = ""
) -> HTMLResponse:
    """The form: as stored, or as the address says, with one step moved, removed or added."""
    with reads() as session:
        shown, route = _load(session, code, route_id)
    if "version" not in request.query_params:
        return _page(request, shown, route, route.route.name, [_as_typed(step) for step in route.route.steps])
    query = request.query_params
    steps = _rearranged(_typed_steps(query), do, add)
    return _page(request, shown, route, query.get("name", ""), steps, version=_number(query.get("version", "")))


@router.post("/{code:path}/route/{route_id}/edit", response_class=HTMLResponse)
def save(
    request: Request, person: Engineer, database: AppDatabase, code: str, route_id: int, form: SentForm
) -> Response:
    """Store the route as it stands in the form; re-assess; say what that changed."""
    with database.read() as session:
        shown, route = _load(session, code, route_id)
    name, typed = text_of(form, "name"), _typed_steps(form)
    steps, errors = _read_steps(typed)
    error: MeltlineError | None = None
    if not errors:
        before = before_saving(database, shown.id)
        try:
            new, version = Route(name, tuple(steps)), version_of(form)
            with database.command() as session:
                routes.save_route(session, person, shown.id, new, route_id=route_id, version=version)
            texts = [step[field] for step in typed for field in ("peak_c", "neighbour_c")]
            return go_to(request, after_saving(database, shown, f"{shown.address}/route", "saved", before, texts))
        except (InvalidInputError, ConflictError) as refused:
            error, errors = refused, errors_of(refused)
    seen = _number(text_of(form, "version"))
    return _page(request, shown, route, name, typed, version=seen, errors=errors, error=error)


def _load(session: Session, code: str, route_id: int) -> tuple[Shown, ProductRoute]:
    shown = load_product(session, code)
    route = routes.route_by_id(session, route_id)
    if route.product_id != shown.id:
        raise NotFoundError("The product has no such route.")
    return shown, route


def asks(kind: StepKind) -> frozenset[str]:
    """The fields that a step of this kind has; what is irrelevant is not asked."""
    if kind is StepKind.REFLOW:
        return frozenset({"name", "side", "alloy", "peak_c", "spread_k", "above_melting_s"})
    if kind.is_local:
        return frozenset({"name", "side", "alloy", "peak_c", "neighbour_c"})
    if kind.heats_all:
        return frozenset({"name", "peak_c", "spread_k", "hours"})
    return frozenset({"name"})


def _as_typed(step: Step) -> Typed:
    typed = {"kind": step.kind.value, "name": step.name, "side": step.side or "", "alloy": step.alloy or ""}
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


def _rearranged(steps: list[Typed], do: str, add: str) -> list[Typed]:
    """The steps after "up-2", "down-0", "remove-1" (positions from 0) or "add"; unchanged for ""."""
    if not do:
        return steps
    match = _DO.fullmatch(do)
    if match is None:
        raise UnknownViewError(f'"{do[:40]}" is nothing to do with a step; there are: up-, down-, remove-, add.')
    if match[3]:
        return [*steps, _new_step(_kind(add), steps)] if len(steps) < MOST_STEPS else steps
    at = int(match[2])
    if at >= len(steps):
        return steps
    step = steps.pop(at)
    if match[1] != "remove":
        steps.insert(max(0, at - 1) if match[1] == "up" else at + 1, step)
    return steps


def _new_step(kind: StepKind, steps: Sequence[Typed]) -> Typed:
    """An empty step; a soldering step begins with the alloy that is used already."""
    alloy = next((step["alloy"] for step in reversed(steps) if step["alloy"]), "")
    return {**dict.fromkeys(FIELDS, ""), "kind": kind.value, "alloy": alloy if kind.makes_joints else ""}


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
    step = Step(
        kind=kind,
        name=" ".join(texts["name"].split()),
        side=Side(side) if side in set(Side) else None,
        alloy=(texts["alloy"] or None) if "alloy" in wanted else None,
        peak_c=numbers.get("peak_c"),
        spread_k=numbers.get("spread_k") or 0.0,
        above_melting_s=numbers.get("above_melting_s"),
        hours=numbers.get("hours"),
        neighbour_c=numbers.get("neighbour_c"),
    )
    return step, errors


def _read_number(kind: StepKind, field: str, text: str) -> float:
    if field == "spread_k":
        return parse_difference_k(text)
    if field in ("peak_c", "neighbour_c"):
        span = parse_temperature(text, plausible=_plausible(kind, field)).span_c
        if not span.known:
            raise InvalidInputError("One temperature, not a range.")
        return span.low
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        raise InvalidInputError(f"“{text.strip()}” is no number.") from None
    if not STEP_LIMITS[field].contains(value):
        raise InvalidInputError(f"{number_text(value)} is outside {STEP_LIMITS[field].text()}.")
    return value


def _plausible(kind: StepKind, field: str) -> Span:
    if kind is StepKind.REFLOW:
        return PEAK
    return _HEATING if kind.heats_all else STEP_LIMITS[field]


def _page(
    request: Request,
    shown: Shown,
    route: ProductRoute,
    name: str,
    steps: Sequence[Typed],
    *,
    version: int | None = None,
    errors: Mapping[str, str] | None = None,
    error: MeltlineError | None = None,
) -> HTMLResponse:
    errors = dict(errors or {})
    is_conflict = isinstance(error, ConflictError)
    forms = [_form(position, typed) for position, typed in enumerate(steps)]
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
        "alloy_options": [("", "none"), *alloy_options()],
        "errors": errors,
        "stored": route.route if is_conflict else None,
        "is_changed": bool(request.query_params.get("do")),
        "most_steps": MOST_STEPS,
    }
    return render(request, "routes/edit.html", context, status=status_of(errors, error))


def _form(position: int, typed: Typed) -> StepForm:
    kind = _kind(typed["kind"])
    echoes = {field: echo for field in ("peak_c", "neighbour_c") if (echo := echo_of(typed[field]))}
    return StepForm(position, kind, typed, asks(kind), echoes)
