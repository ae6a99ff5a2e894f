"""Queries on parts: what is stated of them, the declarations that cover them, where they are used."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeVar

from sqlalchemy import Subquery, func, or_, true
from sqlalchemy import select as select_columns
from sqlmodel import Session, col, select

from webapp.store.parts import DeclarationRow, LinePartRow, PartRow, PartValueRow
from webapp.store.people import PersonRow
from webapp.store.products import BomLineRow, BomRevisionRow, ProductRow

_T = TypeVar("_T")
# SQLite takes 32,766 values in one statement, older builds 999.
CHUNK = 900


def chunks(items: Sequence[_T]) -> Iterator[Sequence[_T]]:
    """``items`` in pieces that fit into one statement."""
    return (items[start : start + CHUNK] for start in range(0, len(items), CHUNK))


def ids_by_key(session: Session, keys: Iterable[str]) -> dict[str, int]:
    """Key -> id of the parts that are there."""
    found: dict[str, int] = {}
    for some in chunks(sorted(set(keys))):
        rows = session.exec(select(PartRow.key, PartRow.id).where(col(PartRow.key).in_(some)))
        found |= {key: part_id for key, part_id in rows if part_id is not None}
    return found


def parts_by_id(session: Session, part_ids: Iterable[int]) -> dict[int, PartRow]:
    """Id -> part."""
    found: dict[int, PartRow] = {}
    for some in chunks(sorted(set(part_ids))):
        found |= {row.id or 0: row for row in session.exec(select(PartRow).where(col(PartRow.id).in_(some)))}
    return found


class PartSaid(NamedTuple):
    """What lists say of a part: the columns that its facts follow from, as ``PartRow`` has them."""

    id: int
    key: str
    label: str
    maker_key: str
    mpn: str | None
    package: str | None
    value: str | None
    description: str | None
    prefix: str
    size_system: str


def said_of_parts(session: Session, part_ids: Iterable[int]) -> dict[int, PartSaid]:
    """Id -> what lists say of the part; for many parts at once, without the weight of whole rows."""
    columns = [PartRow.metadata.tables["part"].c[name] for name in PartSaid._fields]
    found: dict[int, PartSaid] = {}
    for some in chunks(sorted(set(part_ids))):
        rows = session.connection().execute(select_columns(*columns).where(columns[0].in_(some)))
        found |= {row[0]: PartSaid(*row) for row in rows}
    return found


def current_values(session: Session, part_ids: Iterable[int]) -> dict[int, list[PartValueRow]]:
    """Part id -> what is stated of it now."""
    found: dict[int, list[PartValueRow]] = {}
    for some in chunks(sorted(set(part_ids))):
        query = select(PartValueRow).where(col(PartValueRow.part_id).in_(some), col(PartValueRow.ended_at).is_(None))
        for row in session.exec(query.order_by(col(PartValueRow.id))):
            found.setdefault(row.part_id, []).append(row)
    return found


def current_value(session: Session, part_id: int, field: str) -> PartValueRow | None:
    """What is stated of one field now."""
    query = select(PartValueRow).where(
        PartValueRow.part_id == part_id, PartValueRow.field == field, col(PartValueRow.ended_at).is_(None)
    )
    return session.exec(query).one_or_none()


def value_history(session: Session, part_id: int) -> list[tuple[PartValueRow, str]]:
    """All values that were ever stated of a part, the newest first, each with who stated it."""
    query = (
        select(PartValueRow, PersonRow.name)
        .join(PersonRow, col(PersonRow.id) == col(PartValueRow.stated_by))
        .where(PartValueRow.part_id == part_id)
        .order_by(col(PartValueRow.id).desc())
    )
    return list(session.exec(query))


def declarations(session: Session, *product_ids: int) -> list[DeclarationRow]:
    """The declarations that hold: over the site, makers and parts, and over the BOMs of these products."""
    of_bom = col(DeclarationRow.product_id).in_(product_ids)
    query = select(DeclarationRow).where(
        col(DeclarationRow.withdrawn_at).is_(None), or_(col(DeclarationRow.scope) != "bom", of_bom)
    )
    return list(session.exec(query.order_by(col(DeclarationRow.id))))


@dataclass(frozen=True, slots=True)
class DeclarationEntry:
    """A declaration with who made it and, over a BOM, the product's code."""

    row: DeclarationRow
    by: str
    product_code: str | None


def list_declarations(session: Session, *, withdrawn_too: bool = False) -> list[DeclarationEntry]:
    """All declarations, the newest first."""
    which = true() if withdrawn_too else col(DeclarationRow.withdrawn_at).is_(None)
    query = (
        select(DeclarationRow, PersonRow.name, ProductRow.code)
        .join(PersonRow, col(PersonRow.id) == col(DeclarationRow.declared_by))
        .outerjoin(ProductRow, col(ProductRow.id) == col(DeclarationRow.product_id))
        .where(which)
        .order_by(col(DeclarationRow.id).desc())
    )
    return [DeclarationEntry(row, by, code) for row, by, code in session.exec(query)]


@dataclass(frozen=True, slots=True)
class Use:
    """Where a part is used: product, revision, the designators fitted with it, and whether as an alternate."""

    product_id: int
    code: str
    name: str
    revision: int
    refdes: tuple[str, ...]
    alternate: bool
    approved: bool


def where_used(session: Session, part_id: int) -> list[Use]:
    """The lines of the newest revisions that may be fitted with the part, by product."""
    newest = _newest_revisions()
    query = (
        select(ProductRow, BomRevisionRow.number, BomLineRow, LinePartRow)
        .join(newest, newest.c.product_id == ProductRow.id)
        .join(BomRevisionRow, col(BomRevisionRow.id) == newest.c.revision_id)
        .join(BomLineRow, col(BomLineRow.revision_id) == newest.c.revision_id)
        .join(LinePartRow, col(LinePartRow.line_id) == col(BomLineRow.id))
        .where(LinePartRow.part_id == part_id, col(ProductRow.archived_at).is_(None))
        .order_by(col(ProductRow.code_key), col(BomLineRow.position))
    )
    return [
        Use(p.id or 0, p.code, p.name, number, _fitted(line), link.position > 0, link.approved)
        for p, number, line, link in session.exec(query)
    ]


def _fitted(line: BomLineRow) -> tuple[str, ...]:
    out = {*line.dnp_refdes, *line.excluded_refdes}
    return tuple(name for name in line.refdes if name not in out)


def _newest_revisions() -> Subquery:
    """``revision_id`` and ``product_id`` of the newest revision of every product."""
    last = (
        select(BomRevisionRow.product_id, func.max(BomRevisionRow.number).label("number"))
        .group_by(col(BomRevisionRow.product_id))
        .subquery()
    )
    is_last = (last.c.product_id == col(BomRevisionRow.product_id)) & (last.c.number == col(BomRevisionRow.number))
    return (
        select(col(BomRevisionRow.id).label("revision_id"), col(BomRevisionRow.product_id).label("product_id"))
        .join(last, is_last)
        .subquery()
    )
