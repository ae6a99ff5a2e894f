"""From stored parts, statements and declarations to what the checks work on. Each distinct part is worked out once."""

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

from sqlmodel import Session

from webapp.store import part_reads
from webapp.store.part_reads import PartSaid
from webapp.store.parts import DeclarationRow, PartRow, PartValueRow
from webapp.trade.chips import SizeSystem
from webapp.trade.facts import Claim, Declaration, PartFacts, PartField, Scope, Stated, facts_of, known_of
from webapp.trade.part_evidence import PartTexts
from webapp.trade.parts import PartGuess, guess_part, judged
from webapp.trade.ranges import Span
from webapp.trade.sources import Kind, Source, Status

_CACHED_PARTS = 50_000


def facts_by_id(session: Session, part_ids: Iterable[int], product_id: int | None = None) -> dict[int, PartFacts]:
    """Part id -> what is known of it, with the declarations over the BOM of ``product_id``."""
    wanted = set(part_ids)
    rows, values = part_reads.said_of_parts(session, wanted), part_reads.current_values(session, wanted)
    own = () if product_id is None else (product_id,)
    covering = _Covering([declaration_of(row) for row in part_reads.declarations(session, *own)])
    stated = {
        part_id: tuple((PartField(row.field), stated_of(row)) for row in current) for part_id, current in values.items()
    }
    return {part_id: _facts(row, stated.get(part_id, ()), covering.of(row)) for part_id, row in rows.items()}


@lru_cache(maxsize=_CACHED_PARTS)
def _facts(
    said: PartSaid, stated: tuple[tuple[PartField, Stated], ...], declarations: tuple[Declaration, ...]
) -> PartFacts:
    return facts_of(
        key=said.key,
        label=said.label,
        maker=said.maker_key,
        guess=guess_part(texts_of(said), system_of(said)),
        stated=dict(stated),
        declarations=declarations,
    )


def forget() -> None:
    """Drop what was worked out; only measurements need it."""
    for kept in (_facts, known_of, judged):
        kept.cache_clear()


class _Covering:
    """Declarations by what they cover, so that no part has to look at all of them."""

    def __init__(self, declarations: Sequence[Declaration]) -> None:
        self._everywhere = [d for d in declarations if d.scope in (Scope.SITE, Scope.BOM)]
        self._by_key: dict[tuple[Scope, str], list[Declaration]] = {}
        for declaration in declarations:
            if declaration.scope_key:
                self._by_key.setdefault((declaration.scope, declaration.scope_key), []).append(declaration)

    def of(self, row: PartSaid) -> tuple[Declaration, ...]:
        """The declarations that cover the part."""
        own = self._by_key.get((Scope.PART, row.key), ())
        of_maker = self._by_key.get((Scope.MAKER, row.maker_key), ()) if row.maker_key else ()
        return (*self._everywhere, *of_maker, *own)


def texts_of(row: PartRow | PartSaid) -> PartTexts:
    """What lists say of the part."""
    return PartTexts(row.package or "", row.description or "", row.value or "", row.mpn or "", row.prefix)


def system_of(row: PartRow | PartSaid) -> SizeSystem | None:
    """The system of chip codes of the list the part came with."""
    return SizeSystem(row.size_system) if row.size_system else None


def guess_of(row: PartRow) -> PartGuess:
    """What the part may be, judged from what lists say of it."""
    return guess_part(texts_of(row), system_of(row))


def stated_of(row: PartValueRow) -> Stated:
    """A stored value as the trade has it."""
    source = Source(Kind(row.source_kind), row.reference, Status(row.source_status), note=row.note)
    return Stated(value_of(row), source)


def value_of(row: PartValueRow) -> Span | int:
    """The range or the bits of a stored value."""
    if row.mask is not None:
        return row.mask
    return Span(-math.inf if row.low is None else row.low, math.inf if row.high is None else row.high)


def declaration_of(row: DeclarationRow) -> Declaration:
    """A stored declaration as the trade has it."""
    return Declaration(Claim(row.claim), Scope(row.scope), row.reference, row.scope_key, row.number, row.stated_on)


def stated_values(rows: Mapping[int, list[PartValueRow]], part_id: int) -> dict[PartField, PartValueRow]:
    """Field -> what is stated of the part now."""
    return {PartField(row.field): row for row in rows.get(part_id, ())}
