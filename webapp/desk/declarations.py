"""Declarations: sourced statements over the site, a maker, a product's BOM or one part."""

from dataclasses import dataclass
from datetime import date, timedelta
from difflib import get_close_matches

from sqlmodel import Session

from webapp.desk import ledger, staleness
from webapp.desk.typed import typed_count, typed_temperature
from webapp.errors import InvalidInputError, NotFoundError
from webapp.store import part_library, part_reads
from webapp.store.base import utc_now
from webapp.store.parts import REFERENCE_LENGTH, DeclarationRow, PartRow
from webapp.store.products import ProductRow
from webapp.trade.facts import Claim, Declaration, Scope
from webapp.trade.ledger import EntryKind
from webapp.trade.part_keys import KEY_LENGTH, folded
from webapp.trade.people import Person
from webapp.trade.ranges import Span
from webapp.trade.temperatures import BODY_LIMIT, parse_difference_k
from webapp.trade.typed_text import tidy_line

_PASSES = Span(1, 20)
MAKERS_COMPARED = 2_000
_LIKE = 0.7
"""Of difflib's likeness, 0 to 1: about one letter in four may differ."""


@dataclass(frozen=True, slots=True)
class NewDeclaration:
    """A declaration as typed.

    ``maker`` for scope MAKER, ``product_id`` for BOM (all its revisions), ``part_id`` for PART. ``number``: °C,
    passes or K, for the claims that need one. ``stated_on``: ISO date of the document, if known.
    """

    claim: Claim
    scope: Scope
    reference: str
    maker: str = ""
    product_id: int | None = None
    part_id: int | None = None
    number: str = ""
    stated_on: str = ""


def declare(session: Session, person: Person, new: NewDeclaration) -> int:
    """Record a declaration; its id. InvalidInputError names the field (reference, maker, number, stated_on)."""
    checked = read_declaration(session, new)
    row = DeclarationRow(
        claim=checked.claim.value,
        scope=checked.scope.value,
        scope_key=checked.scope_key,
        maker=tidy_line(new.maker, field="maker")[:KEY_LENGTH] if new.scope is Scope.MAKER else "",
        product_id=_product_id(session, new),
        number=checked.number,
        reference=_reference(new.reference),
        stated_on=checked.stated_on,
        declared_by=person.id,
        declared_at=utc_now(),
    )
    session.add(row)
    session.flush()
    _make_stale(session, row)
    _record(session, person, EntryKind.DECLARED, row)
    return row.id or 0


def read_declaration(session: Session, new: NewDeclaration) -> Declaration:
    """What is typed, checked, but for the document, which is only needed to record it; errors as ``declare``."""
    _product_id(session, new)
    return Declaration(
        claim=new.claim,
        scope=new.scope,
        reference=new.reference,
        scope_key=_scope_key(session, new),
        number=_number(new),
        stated_on=_iso_date(new.stated_on),
    )


@dataclass(frozen=True, slots=True)
class UnknownMaker:
    """A maker of whom there is no part here: the name as typed, and those most like it that there are."""

    name: str
    near: tuple[str, ...]


def unknown_maker(session: Session, new: NewDeclaration) -> UnknownMaker | None:
    """The maker of a declaration over one, where it covers no part: perhaps only the name is written otherwise."""
    key = folded(new.maker)
    if new.scope is not Scope.MAKER or not key or part_library.part_ids_of(session, maker_key=key):
        return None
    names = {folded(name): name for name in part_library.makers(session, MAKERS_COMPARED)}
    near = get_close_matches(key, names, n=3, cutoff=_LIKE)
    longer = [name for name in names if name.startswith(key) or key.startswith(name)]
    return UnknownMaker(" ".join(new.maker.split()), tuple(names[name] for name in dict.fromkeys([*longer, *near]))[:3])


def _reference(text: str) -> str:
    reference = tidy_line(text, field="reference")
    if not reference or len(reference) > REFERENCE_LENGTH:
        raise InvalidInputError(
            f"Name the document the declaration stands in, in at most {REFERENCE_LENGTH} characters.", field="reference"
        )
    return reference


def withdraw_declaration(session: Session, person: Person, declaration_id: int) -> None:
    """Take a declaration back; it stays on record. Harmless when it is withdrawn already."""
    row = session.get(DeclarationRow, declaration_id)
    if row is None:
        raise NotFoundError("There is no such declaration.")
    if row.withdrawn_at is None:
        row.withdrawn_at, row.withdrawn_by = utc_now(), person.id
        session.flush()
        _make_stale(session, row)
        _record(session, person, EntryKind.DECLARATION_WITHDRAWN, row)


def _record(session: Session, person: Person, kind: EntryKind, row: DeclarationRow) -> None:
    detail = {
        "declaration": row.id,
        "claim": row.claim,
        "scope": row.scope,
        "scope_key": row.scope_key,
        "product": row.product_id,
        "number": row.number,
        "reference": row.reference,
        "stated_on": row.stated_on,
    }
    ledger.record(session, person, kind, f"declaration {row.id}: {row.claim}, {row.scope}", detail)


def _make_stale(session: Session, row: DeclarationRow) -> None:
    match Scope(row.scope):
        case Scope.SITE:
            staleness.everything_changed(session)
        case Scope.MAKER:
            staleness.maker_changed(session, row.scope_key)
        case Scope.BOM:
            staleness.product_changed(session, row.product_id or 0)
        case Scope.PART:
            staleness.part_changed(session, part_reads.ids_by_key(session, [row.scope_key]).values())


def _scope_key(session: Session, new: NewDeclaration) -> str:
    if new.scope is Scope.MAKER:
        key = folded(new.maker)[:KEY_LENGTH]
        if not key:
            raise InvalidInputError("Name the maker.", field="maker")
        return key
    if new.scope is Scope.PART:
        part = session.get(PartRow, new.part_id)
        if part is None:
            raise NotFoundError("There is no such part.")
        return part.key
    return ""


def _product_id(session: Session, new: NewDeclaration) -> int | None:
    if new.scope is not Scope.BOM:
        return None
    if session.get(ProductRow, new.product_id) is None:
        raise NotFoundError("There is no such product.")
    return new.product_id


def _number(new: NewDeclaration) -> float | None:
    if new.claim is Claim.LEAD_FREE:
        return None
    if new.claim is Claim.LIMIT_AT_LEAST:
        return typed_temperature(new.number, BODY_LIMIT, field="number")
    if new.claim is Claim.SELF_HEATING_AT_MOST:
        return parse_difference_k(new.number, field="number")
    if not new.number.strip():
        raise InvalidInputError("How many reflow passes: 1 to 20.", field="number")
    return float(typed_count(new.number, _PASSES, field="number", unit="passes"))


def _iso_date(text: str) -> str:
    if not (text := text.strip()):
        return ""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise InvalidInputError("Write the date as 2008-05-31.", field="stated_on") from None
    # Somewhere it is tomorrow already.
    if day > utc_now().date() + timedelta(days=1):
        raise InvalidInputError("The date of a document lies in the past.", field="stated_on")
    return day.isoformat()
