"""One part: what is known and from where, what people state of it, where it is used, its findings, its history."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse
from starlette.datastructures import FormData

from webapp.checks.declare import registry
from webapp.desk import part_library, parts
from webapp.desk.part_library import field_label
from webapp.desk.parts import FieldView, PartPage, ValueSource
from webapp.errors import ConflictError, InvalidInputError, MeltlineError
from webapp.store import part_library as queries
from webapp.store.engine import Database, SessionMaker
from webapp.store.part_library import PartFinding
from webapp.trade.facts import PartField
from webapp.trade.masks import Msl
from webapp.trade.part_fields import RULES, parse_value
from webapp.trade.people import Role
from webapp.trade.ranges import NOT_NEGATIVE
from webapp.trade.sources import Kind, Source
from webapp.web.addresses import local_address
from webapp.web.deps import AppDatabase, CurrentPerson, Reads
from webapp.web.numbers import RowId
from webapp.web.pages.products import product_address
from webapp.web.pages.uploads.common import Engineer, SentForm, text_of
from webapp.web.rendering import go_to, render
from webapp.web.settle import settle

router = APIRouter(prefix="/parts")

MOST_USES = 100
MOST_FINDINGS = 50
NEWEST = 10
"""Changes shown at once; the earlier ones are folded."""
KIND_OPTIONS = [
    (Kind.DATASHEET.value, "data sheet of the maker"),
    (Kind.DECLARATION.value, "declaration of maker or supplier"),
    (Kind.SAME_PACKAGE.value, "part in the same package (counts as assumed)"),
    (Kind.ENTERED.value, "own knowledge or measurement"),
]
HINTS = {
    PartField.LIMIT_C: "245, 240…260, at least 245, 473 °F",
    PartField.LIMIT_S: "30, or at least 20",
    PartField.PASSES: "3, or at least 2",
    PartField.SELF_HEATING_K: "12, or at most 15",
    PartField.CURRENT_A: "3, or at most 5",
    PartField.MATING_FORCE_N: "45, or at most 60",
    PartField.TERMINALS: "64",
    PartField.STANDOFF_MM: "0.05, or 0.02…0.08",
}


@dataclass(frozen=True, slots=True)
class FieldRow:
    """A field as the page shows it: ``text`` holds now, "" for not known; ``options`` for kinds, else empty."""

    view: FieldView
    label: str
    unit: str
    text: str
    source: Source | None
    options: list[tuple[str, str]]
    hint: str
    typed: str
    error: str

    @property
    def name(self) -> str:
        """The name of the field in the form."""
        return f"v_{self.view.field}"


@dataclass(frozen=True, slots=True)
class Said:
    """What the page says of the last change: ``done`` "stated" or "withdrawn", the fields changed, and those that were
    stated just so already."""

    done: str = ""
    changed: tuple[PartField, ...] = ()
    same: tuple[PartField, ...] = ()


_NOTHING_SAID = Said()


@router.get("/{part_id}", response_class=HTMLResponse)
def part_page(
    request: Request,
    person: CurrentPerson,
    reads: Reads,
    part_id: RowId,
    field: str = "",
    back: str = "",
    done: str = "",
    fields: str = "",
    same: str = "",
) -> HTMLResponse:
    """The page; ``field`` is the one to type into, ``back`` where the person came from."""
    said = Said(done, _fields(fields), _fields(same))
    return _page(request, reads, part_id, may_state=person.has(Role.ENGINEER), field=field, back=back, said=said)


@router.post("/{part_id}", response_class=HTMLResponse)
def state(request: Request, person: Engineer, database: AppDatabase, part_id: RowId, form: SentForm) -> Response:
    """State the fields that something was typed for, all from one source."""
    typed = {field: text for field in PartField if (text := text_of(form, f"v_{field}").strip())}
    errors = _typing_errors(typed)
    if not typed:
        errors[""] = "Type at least one value."
    if not errors:
        try:
            source = ValueSource(_source_kind(form), text_of(form, "reference"), text_of(form, "note"))
            with database.command() as session:
                changed = part_library.state_values(session, person, part_id, typed, source, version=_version(form))
        except (InvalidInputError, ConflictError) as error:
            return _refused(request, database.read, part_id, form, error=error)
        same = [field for field in typed if field not in changed]
        return _changed(request, database, part_id, form, "stated", changed, same)
    return _refused(request, database.read, part_id, form, errors=errors)


@router.post("/{part_id}/withdraw", response_class=HTMLResponse)
def withdraw(request: Request, person: Engineer, database: AppDatabase, part_id: RowId, form: SentForm) -> Response:
    """Take a stated value back: what follows from kind and package holds again."""
    field = _field(text_of(form, "field"))
    if field is None:
        raise InvalidInputError("The form does not say which value to take back. Load the page anew.")
    try:
        with database.command() as session:
            parts.withdraw_value(session, person, part_id, field, version=_version(form))
    except ConflictError as error:
        return _refused(request, database.read, part_id, form, error=error)
    return _changed(request, database, part_id, form, "withdrawn", [field])


def _changed(
    request: Request,
    database: Database,
    part_id: int,
    form: FormData,
    done: str,
    fields: Sequence[PartField],
    same: Sequence[PartField] = (),
) -> Response:
    """Settle what ``fields`` changed, and back to the page; ``same``: those that were stated just so already."""
    if fields:
        with database.read() as session:
            used = {use.product_id for use in parts.part_page(session, part_id).uses}
        settle(request, database, used)
    back = _back(text_of(form, "back"))
    view = _address(part_id, done=done, fields=",".join(fields), same=",".join(same), back=back)
    return go_to(request, view)


def _refused(
    request: Request,
    reads: SessionMaker,
    part_id: int,
    form: FormData,
    *,
    errors: dict[str, str] | None = None,
    error: MeltlineError | None = None,
) -> HTMLResponse:
    """The page again with what was typed; after a conflict what holds now stands beside it."""
    if error is not None:
        field = _field(error.field or "")
        errors = {f"v_{field}" if field else error.field or "": error.message}
    return _page(
        request,
        reads,
        part_id,
        may_state=True,
        form=form,
        errors=errors,
        back=text_of(form, "back"),
        is_conflict=isinstance(error, ConflictError),
    )


def _page(
    request: Request,
    reads: SessionMaker,
    part_id: int,
    *,
    may_state: bool,
    field: str = "",
    back: str = "",
    said: Said = _NOTHING_SAID,
    form: FormData | None = None,
    errors: dict[str, str] | None = None,
    is_conflict: bool = False,
) -> HTMLResponse:
    with reads() as session:
        page = parts.part_page(session, part_id)
        history = part_library.part_history(session, part_id)
        findings = queries.findings_with(session, part_id, MOST_FINDINGS)
    wanted = _field(field)
    rows = [_row(page, view, form, errors or {}) for view in page.fields]
    used = part_library.fields_used()
    matters = [row for row in rows if row.view.relevant or row.view.field is wanted]
    asked = [row for row in matters if row.view.field in used or row.view.stated or row.view.field is wanted]
    further = [row for row in matters if row not in asked]
    context = {
        "page": page,
        "label": page.row.mpn or page.row.label,
        "rows": asked,
        "further": further,
        "more": [row for row in rows if row.view.offered and row not in (*asked, *further)],
        "history": history[:NEWEST],
        "earlier": history[NEWEST:],
        "latest": history[0] if is_conflict and history else None,
        "findings": findings,
        "most_findings": MOST_FINDINGS,
        "finding_address": _finding_address,
        "uses": page.uses[:MOST_USES],
        "use_count": len(page.uses),
        "product_count": len({use.product_id for use in page.uses}),
        "product_address": product_address,
        "may_state": may_state,
        "wanted": wanted,
        "kind_options": KIND_OPTIONS,
        "kind": text_of(form, "kind") if form else Kind.DATASHEET.value,
        "reference": text_of(form, "reference") if form else "",
        "note": text_of(form, "note") if form else "",
        "errors": errors or {},
        "is_conflict": is_conflict,
        "back": _back(back),
        "notices": _notices(page, said),
        "unchanged": [_unchanged(page, field) for field in said.same],
        "field_label": field_label,
        "check_titles": {check.id: check.title for check in registry().values()},
        "stated_count": sum(1 for view in page.fields if view.stated),
    }
    status = ConflictError.status if is_conflict else 422 if errors else 200
    return render(request, "parts/one.html", context, status=status)


def _row(page: PartPage, view: FieldView, form: FormData | None, errors: Mapping[str, str]) -> FieldRow:
    name = f"v_{view.field}"
    typed = text_of(form, name) if form else ""
    error = errors.get(name, "")
    text = "" if view.text in _NOT_KNOWN and view.stated is None else view.text
    return FieldRow(
        view=view,
        label=field_label(view.field),
        unit=view.rule.unit if view.field is not PartField.PASSES else "",
        text=text,
        source=page.facts.source(view.field.value) if text else None,
        options=_options(view.field),
        hint=HINTS.get(view.field, ""),
        typed=typed,
        error=error,
    )


# A number of which nothing but its sign is known.
_NOT_KNOWN = frozenset({"not known", *(NOT_NEGATIVE.text(rule.unit) for rule in RULES.values())})


def _options(field: PartField) -> list[tuple[str, str]]:
    kinds = RULES[field].kinds
    if kinds is None:
        return []
    named = [(member.level if isinstance(member, Msl) else member.key, member.words) for member in kinds]
    return [("", ""), *(sorted(named, key=lambda kind: kind[1].casefold()) if field is PartField.CLASSES else named)]


def _notices(page: PartPage, said: Said) -> list[str]:
    """What the last change did, with the echo of what was typed."""
    views = {view.field: view for view in page.fields}
    found = []
    for field in said.changed:
        view = views[field]
        if said.done == "stated" and view.stated is not None:
            found.append(f"{field_label(field)}: {_echo(view)}.")
        elif said.done == "withdrawn":
            found.append(f"{field_label(field)} is taken back; what holds now: {view.text}.")
    return found


def _unchanged(page: PartPage, field: PartField) -> str:
    view = next(view for view in page.fields if view.field is field)
    return f"{field_label(field)}: {view.text} is stated already, from the same source."


def _fields(text: str) -> tuple[PartField, ...]:
    """The fields of a list with commas; what is none is left out."""
    return tuple(field for name in text.split(",")[: len(PartField)] if (field := _field(name)) is not None)


def _echo(view: FieldView) -> str:
    typed = view.stated.typed if view.stated else ""
    return view.text if typed in view.text else f"“{typed}” is read as {view.text}"


def _typing_errors(typed: Mapping[PartField, str]) -> dict[str, str]:
    errors = {}
    for field, text in typed.items():
        try:
            parse_value(field, text)
        except InvalidInputError as error:
            errors[f"v_{field}"] = error.message
    return errors


def _source_kind(form: FormData) -> Kind:
    text = text_of(form, "kind")
    if text not in {kind for kind, _ in KIND_OPTIONS}:
        raise InvalidInputError("Say what kind of document the values stand in.", field="kind")
    return Kind(text)


def _version(form: FormData) -> int:
    text = text_of(form, "version")
    if not text.isdecimal() or len(text) > 9:
        raise InvalidInputError("The form does not say which state it was made from. Load the page anew.")
    return int(text)


def _field(text: str) -> PartField | None:
    return PartField(text) if text in set(PartField) else None


def _back(text: str) -> str:
    address = local_address(text) if text else ""
    return "" if address == "/" else address


def _finding_address(finding: PartFinding) -> str:
    return f"{product_address(finding.code)}/findings/{finding.row.id}"


def _address(part_id: int, **query: str) -> str:
    kept = {name: value for name, value in query.items() if value}
    return f"/parts/{part_id}?{urlencode(kept)}" if kept else f"/parts/{part_id}"
