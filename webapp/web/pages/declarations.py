"""Declarations: what is declared over the site, makers, products and parts; adding one, taking one back."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session
from starlette.datastructures import FormData, QueryParams

from webapp.desk import declarations
from webapp.desk.declaration_effect import Effect, effect_of
from webapp.desk.declarations import NewDeclaration, UnknownMaker
from webapp.errors import InvalidInputError, MeltlineError, NotFoundError
from webapp.store import part_library, part_reads, product_reads
from webapp.store.engine import Database, SessionMaker
from webapp.store.part_library import ScopeNames
from webapp.store.part_reads import DeclarationEntry
from webapp.store.parts import DeclarationRow
from webapp.trade.facts import Claim, Scope
from webapp.trade.people import Role
from webapp.trade.ranges import number_text
from webapp.web.deps import AppDatabase, CurrentPerson, Reads
from webapp.web.numbers import RowId
from webapp.web.pages.products import product_address
from webapp.web.pages.uploads.common import Engineer, SentForm, text_of
from webapp.web.paging import View, chosen
from webapp.web.rendering import go_to, render
from webapp.web.settle import settle

router = APIRouter(prefix="/declarations")

OFFERED = 300
FIELDS = ("claim", "scope", "maker", "product", "part", "number", "reference", "stated_on", "back")
CLAIM_OPTIONS = [
    (Claim.LEAD_FREE.value, "Terminals and balls are lead-free", ""),
    (Claim.LIMIT_AT_LEAST.value, "Bodies stand at least", "a temperature in °C"),
    (Claim.PASSES_AT_LEAST.value, "Reflow passes allowed, at least", "a number"),
    (Claim.SELF_HEATING_AT_MOST.value, "Joints heat themselves by at most", "a difference in K"),
]
SCOPE_OPTIONS = [
    (Scope.SITE.value, "All parts of the site", ""),
    (Scope.MAKER.value, "All parts of one maker", ""),
    (Scope.BOM.value, "All parts on one product's BOM", "in all its revisions"),
    (Scope.PART.value, "One part", ""),
]
NOTICES = {
    "declared": "The declaration is recorded.",
    "withdrawn": "The declaration is taken back; it stays on record.",
}


class Show(StrEnum):
    """Which declarations are listed."""

    HOLDING = "holding"
    ALL = "all"


@dataclass(frozen=True, slots=True)
class Listed:
    """A declaration as the list shows it: what it says, over what, with an address to look at."""

    entry: DeclarationEntry
    says: str
    over: str
    href: str
    withdrawn_by: str


def says(claim: Claim, number: float | None) -> str:
    """The claim as a sentence piece: "bodies stand at least 245 °C"."""
    value = number_text(number or 0)
    return {
        Claim.LEAD_FREE: "terminals and balls are lead-free",
        Claim.LIMIT_AT_LEAST: f"bodies stand at least {value} °C",
        Claim.PASSES_AT_LEAST: f"at least {value} reflow passes are allowed",
        Claim.SELF_HEATING_AT_MOST: f"joints heat themselves by at most {value} K",
    }[claim]


@router.get("", response_class=HTMLResponse)
def declarations_page(
    request: Request, person: CurrentPerson, reads: Reads, show: str = "holding", done: str = "", later: RowId = 0
) -> HTMLResponse:
    """The declarations, the newest first."""
    shown = chosen(Show, show, "selection of declarations")
    View("/declarations", {"show": shown}, {}).refuse_others(request.query_params, "done", "later")
    with reads() as session:
        entries = part_reads.list_declarations(session, withdrawn_too=shown is Show.ALL)
        names = part_library.scope_names(session, [entry.row for entry in entries])
    context = {
        "listed": [_listed(entry, names) for entry in entries],
        "show": shown,
        "may_declare": person.has(Role.ENGINEER),
        "notice_text": NOTICES.get(done),
        "later": max(0, later),
    }
    return render(request, "declarations/list.html", context)


def _listed(entry: DeclarationEntry, names: ScopeNames) -> Listed:
    row = entry.row
    over, href = _over(row, entry.product_code, names)
    return Listed(entry, says(Claim(row.claim), row.number), over, href, names.people.get(row.withdrawn_by or 0, ""))


def _over(row: DeclarationRow, code: str | None, names: ScopeNames) -> tuple[str, str]:
    match Scope(row.scope):
        case Scope.SITE:
            return "all parts of the site", "/parts"
        case Scope.MAKER:
            name = names.makers.get(row.scope_key) or row.maker or row.scope_key
            return f"all parts of {name}", f"/parts?{urlencode({'maker': name})}"
        case Scope.BOM:
            return f"the BOM of {code}", product_address(code or "")
        case Scope.PART:
            part_id, label = names.parts.get(row.scope_key, (0, row.scope_key))
            return f"the part {label}", f"/parts/{part_id}" if part_id else ""


@router.get("/new", response_class=HTMLResponse)
def new_page(request: Request, _person: Engineer, reads: Reads) -> HTMLResponse:
    """The form; with ``look`` in the address also what the declaration would change. Nothing is stored."""
    typed = _typed(request.query_params)
    if "look" not in request.query_params:
        return _form(request, reads, typed)
    try:
        with reads() as session:
            new = _new(session, typed)
            effect, unknown = effect_of(session, new), declarations.unknown_maker(session, new)
    except (InvalidInputError, NotFoundError) as error:
        return _form(request, reads, typed, error=error)
    return _form(request, reads, typed, effect=effect, unknown=unknown)


@router.post("", response_class=HTMLResponse)
def declare(request: Request, person: Engineer, database: AppDatabase, form: SentForm) -> Response:
    """Record the declaration; over a maker who has no part here only when that is confirmed."""
    typed = _typed(form)
    try:
        with database.command() as session:
            new = _new(session, typed)
            declarations.read_declaration(session, new)
            unknown = None if text_of(form, "anyway") == "yes" else declarations.unknown_maker(session, new)
            if unknown is None or not new.reference.strip():
                declarations.declare(session, person, new)
    except (InvalidInputError, NotFoundError) as error:
        return _form(request, database.read, typed, error=error)
    if unknown is not None:
        return _form(request, database.read, typed, unknown=unknown, status=422)
    return _done(request, database, new.scope, new.product_id, "declared")


@router.post("/{declaration_id}/withdraw", response_class=HTMLResponse)
def withdraw(request: Request, person: Engineer, database: AppDatabase, declaration_id: RowId) -> Response:
    """Take a declaration back."""
    with database.command() as session:
        declarations.withdraw_declaration(session, person, declaration_id)
        row = session.get(DeclarationRow, declaration_id)
        scope, product_id = (Scope(row.scope), row.product_id) if row else (Scope.SITE, None)
    return _done(request, database, scope, product_id, "withdrawn")


def _done(request: Request, database: Database, scope: Scope, product_id: int | None, done: str) -> Response:
    settle(request, database, [product_id] if scope is Scope.BOM and product_id else [])
    later = "" if scope is Scope.BOM else "&later=1"
    return go_to(request, f"/declarations?done={done}{later}")


def _typed(sent: FormData | QueryParams) -> dict[str, str]:
    found = {name: value for name in FIELDS if isinstance(value := sent.get(name, ""), str)}
    return {"claim": Claim.LEAD_FREE.value, "scope": Scope.SITE.value} | {k: v for k, v in found.items() if v.strip()}


def _new(session: Session, typed: Mapping[str, str]) -> NewDeclaration:
    claim, scope = typed["claim"], typed["scope"]
    if claim not in set(Claim):
        raise InvalidInputError("Say what is declared.", field="claim")
    if scope not in set(Scope):
        raise InvalidInputError("Say over what it is declared.", field="scope")
    return NewDeclaration(
        claim=Claim(claim),
        scope=Scope(scope),
        reference=typed.get("reference", ""),
        maker=typed.get("maker", ""),
        product_id=_product_id(session, typed.get("product", "")) if scope == Scope.BOM else None,
        part_id=_part_id(session, typed) if scope == Scope.PART else None,
        number=typed.get("number", ""),
        stated_on=typed.get("stated_on", ""),
    )


def _product_id(session: Session, code: str) -> int:
    product = product_reads.product_by_code(session, code.strip())
    if product is None or product.id is None:
        what = f'There is no product "{code[:40]}".' if code.strip() else "Give the product's code."
        raise InvalidInputError(what, field="product")
    return product.id


def _part_id(session: Session, typed: Mapping[str, str]) -> int:
    number = typed.get("part", "").strip()
    if not number:
        raise InvalidInputError("Give the part number.", field="part")
    found = part_library.ids_by_number(session, [number]).get(number.lower(), [])
    rows = part_reads.parts_by_id(session, found)
    if len(rows) > 1 and (maker := typed.get("maker", "").strip()):
        rows = {key: row for key, row in rows.items() if (row.maker or "").casefold() == maker.casefold()}
    if len(rows) == 1:
        return next(iter(rows))
    if not rows:
        raise InvalidInputError(f'There is no part "{number[:40]}".', field="part")
    makers = ", ".join(sorted(row.maker or "maker not known" for row in rows.values()))
    raise InvalidInputError(f"Several makers have this number: {makers}. Name the maker too.", field="maker")


def _form(
    request: Request,
    reads: SessionMaker,
    typed: Mapping[str, str],
    *,
    effect: Effect | None = None,
    unknown: UnknownMaker | None = None,
    error: MeltlineError | None = None,
    status: int = 200,
) -> HTMLResponse:
    with reads() as session:
        makers = part_library.makers(session, OFFERED)
        codes = product_reads.product_codes(session)
    blank = dict.fromkeys(FIELDS, "")
    context: dict[str, Any] = {
        "typed": {**blank, **typed},
        "claim_options": CLAIM_OPTIONS,
        "scope_options": SCOPE_OPTIONS,
        "makers": makers,
        "codes": codes,
        "effect": effect,
        "unknown": unknown,
        "near": [
            (name, f"/declarations/new?{urlencode({**typed, 'maker': name, 'look': 'yes'})}") for name in unknown.near
        ]
        if unknown
        else [],
        "is_blanket_lead": typed["claim"] == Claim.LEAD_FREE and typed["scope"] in (Scope.SITE, Scope.BOM),
        "errors": {error.field or "": error.message} if error else {},
    }
    return render(request, "declarations/new.html", context, status=422 if error else status)
