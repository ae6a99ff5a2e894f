"""Queries of the part library: lists with filters, counts of uses and values, history, findings of one part."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, SQLColumnExpression, Text, cast, delete, func, insert, literal, or_, true
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.part_reads import CHUNK, chunks, parts_by_id
from webapp.store.parts import DeclarationRow, LinePartRow, PartRow, PartUseRow, PartValueRow
from webapp.store.people import PersonRow
from webapp.store.products import BomLineRow, BomRevisionRow, ProductRow
from webapp.store.setups import RouteRow

SORTS: dict[str, SQLColumnExpression[Any]] = {
    "part": func.lower(PartRow.label),
    "maker": func.lower(PartRow.maker),
    "kind": func.lower(PartRow.class_text),
    "added": col(PartRow.id),
}


@dataclass(frozen=True, slots=True)
class LibraryView:
    """Which parts, in which order.

    ``maker_key``: folded, a piece of the maker's name is enough. ``class_texts``: classes in words, any of them; None
    for all. ``unstated``: a field of which nothing is stated, or "any". ``product_id``: on the newest BOM of that
    product. ``sort``: a key of SORTS, with "-" before it downwards.
    """

    search: str = ""
    maker_key: str = ""
    class_texts: tuple[str, ...] | None = None
    unstated: str = ""
    product_id: int | None = None
    sort: str = ""


def find_parts(
    session: Session, view: LibraryView, *, offset: int = 0, limit: int | None = None
) -> tuple[Sequence[PartRow], int]:
    """The parts that ``view`` asks for, from ``offset`` on, and how many there are in all."""
    which = _which(view)
    # Ordered without the weight of whole rows, of which most are not shown.
    query = select(PartRow.id).where(which).order_by(*_order(view.sort))
    if limit is None or view.search:
        # Words are looked for in every part, so that counting apart would cost as much again.
        found = session.exec(query).all()
        ids, total = found[offset:][:limit], len(found)
    else:
        ids = session.exec(query.offset(offset).limit(limit)).all()
        total = session.exec(select(func.count()).select_from(PartRow).where(which)).one()
    rows = parts_by_id(session, (part_id or 0 for part_id in ids))
    return [rows[part_id or 0] for part_id in ids], total


def _which(view: LibraryView) -> ColumnElement[bool]:
    which: ColumnElement[bool] = true()
    if text := " ".join(view.search.split()):
        said = (PartRow.label, PartRow.maker, PartRow.package, PartRow.value, PartRow.description, PartRow.class_text)
        which &= or_(*(col(column).icontains(text, autoescape=True) for column in said))
    if view.maker_key:
        which &= col(PartRow.maker_key).contains(view.maker_key, autoescape=True)
    if view.class_texts is not None:
        which &= col(PartRow.class_text).in_(view.class_texts)
    if view.unstated:
        stated = select(PartValueRow.part_id).where(col(PartValueRow.ended_at).is_(None))
        if view.unstated != "any":
            stated = stated.where(PartValueRow.field == view.unstated)
        which &= col(PartRow.id).not_in(stated)
    if view.product_id is not None:
        which &= col(PartRow.id).in_(select(PartUseRow.part_id).where(PartUseRow.product_id == view.product_id))
    return which


def _order(sort: str) -> list[SQLColumnExpression[Any]]:
    by = SORTS[sort.removeprefix("-") or "part"]
    # What is not known stands last either way; the id keeps one order among equals.
    return [by.is_(None), by.desc() if sort.startswith("-") else by.asc(), col(PartRow.id)]


def class_texts(session: Session) -> list[str]:
    """The classes in words that occur."""
    return list(session.exec(select(PartRow.class_text).distinct()))


def makers(session: Session, limit: int) -> list[str]:
    """Names of the makers with most parts, in the order of the alphabet; a name as its first part has it."""
    count = func.count().label("count")
    query = select(func.min(PartRow.id), count).where(PartRow.maker_key != "").group_by(PartRow.maker_key)
    first = [part_id for part_id, _ in session.exec(query.order_by(count.desc()).limit(limit))]
    names = session.exec(select(PartRow.maker).where(col(PartRow.id).in_(first)))
    return sorted((name for name in names if name), key=str.casefold)


def product_counts(session: Session, part_ids: Sequence[int]) -> dict[int, int]:
    """Part id -> in how many products' newest revisions it may be fitted."""
    found: dict[int, int] = {}
    for some in chunks(part_ids):
        query = select(PartUseRow.part_id, func.count()).where(col(PartUseRow.part_id).in_(some), _of_live_product())
        found |= dict(session.exec(query.group_by(col(PartUseRow.part_id))).all())
    return found


def _of_live_product() -> ColumnElement[bool]:
    # Few are archived, so that these are looked for, not the others.
    archived = select(ProductRow.id).where(col(ProductRow.archived_at).is_not(None))
    return col(PartUseRow.product_id).not_in(archived)


def renew_uses(session: Session, product_id: int) -> None:
    """Work the uses of parts in a product out anew; call it whenever lines of a revision get their parts."""
    connection = session.connection()
    # Locked before its revisions are looked at: of two that come at once, the later one counts.
    connection.execute(select(ProductRow.id).where(ProductRow.id == product_id).with_for_update())
    newest = select(func.max(BomRevisionRow.number)).where(BomRevisionRow.product_id == product_id).scalar_subquery()
    parts = (
        select(LinePartRow.part_id, literal(product_id))
        .join(BomLineRow, col(BomLineRow.id) == col(LinePartRow.line_id))
        .join(BomRevisionRow, col(BomRevisionRow.id) == col(BomLineRow.revision_id))
        .where(BomRevisionRow.product_id == product_id, BomRevisionRow.number == newest)
        .distinct()
    )
    connection.execute(delete(PartUseRow).where(col(PartUseRow.product_id) == product_id))
    connection.execute(insert(PartUseRow).from_select(["part_id", "product_id"], parts))


def value_events(session: Session, part_id: int) -> list[tuple[PartValueRow, str, str | None]]:
    """All values ever stated of a part, the oldest first: the row, who stated it, and who ended it (if it ended)."""
    ender = aliased(PersonRow)
    query = (
        select(PartValueRow, PersonRow.name, ender.name)
        .join(PersonRow, col(PersonRow.id) == col(PartValueRow.stated_by))
        .outerjoin(ender, col(ender.id) == col(PartValueRow.ended_by))
        .where(PartValueRow.part_id == part_id)
        .order_by(col(PartValueRow.id))
    )
    return [(row, by, ended_by) for row, by, ended_by in session.exec(query)]


@dataclass(frozen=True, slots=True)
class PartFinding:
    """An open finding in which a part stands, with the product's code and the case's name."""

    code: str
    case: str
    row: FindingRow


def findings_with(session: Session, part_id: int, limit: int) -> list[PartFinding]:
    """Open findings of candidate cases in which the part stands; first those that the conversion brings, then those
    that are the same today, each gravest first."""
    gravity = {"blocks": 0, "change": 1, "prove": 2}
    revisions = (
        select(BomLineRow.revision_id)
        .join(LinePartRow, col(LinePartRow.line_id) == col(BomLineRow.id))
        .where(LinePartRow.part_id == part_id)
    )
    query = (
        select(ProductRow.code, RouteRow.name, FindingRow)
        .join(AssessmentCaseRow, col(AssessmentCaseRow.id) == col(FindingRow.case_id))
        .join(ProductRow, col(ProductRow.id) == col(AssessmentCaseRow.product_id))
        .join(RouteRow, col(RouteRow.id) == col(AssessmentCaseRow.route_id))
        .where(
            col(AssessmentCaseRow.revision_id).in_(revisions),
            col(AssessmentCaseRow.retired_at).is_(None),
            col(ProductRow.archived_at).is_(None),
            ~col(RouteRow.is_today),
            col(FindingRow.verdict).in_(gravity),
            # Each member stands as [part id, placements, placements freed].
            cast(col(FindingRow.parts), Text).contains(f"[{part_id}, "),
        )
        .order_by(col(FindingRow.same_as_today), col(ProductRow.code_key), col(FindingRow.position))
        .limit(limit)
    )
    found = [PartFinding(code, name, row) for code, name, row in session.exec(query)]
    return sorted(found, key=lambda finding: (finding.row.same_as_today, gravity[finding.row.verdict]))


def ids_by_number(session: Session, numbers: Iterable[str]) -> dict[str, list[int]]:
    """Part number in small letters -> ids of the parts that have it, of whatever maker."""
    found: dict[str, list[int]] = {}
    folded = func.lower(PartRow.mpn)
    for some in chunks(sorted({number.lower() for number in numbers})):
        for number, part_id in session.exec(select(folded, PartRow.id).where(folded.in_(some))):
            found.setdefault(number, []).append(part_id or 0)
    return found


def part_ids_of(session: Session, *, maker_key: str = "", product_id: int | None = None) -> list[int]:
    """Ids of the parts of one maker (exactly), or on the newest BOM of one product."""
    if product_id is not None:
        query = select(PartRow.id).where(_which(LibraryView(product_id=product_id)))
    else:
        query = select(PartRow.id).where(PartRow.maker_key == maker_key)
    return [part_id for part_id in session.exec(query) if part_id is not None]


def part_ids_by_maker(session: Session, among: Collection[int]) -> list[list[int]]:
    """The ids of every maker's parts, perhaps more than those ``among`` which they are looked for; a part with a maker
    has a number (trade.part_keys)."""
    # As one text a maker: a row a part would be tens of thousands.
    ids = func.aggregate_strings(cast(PartRow.id, Text), ",")
    query = select(ids).where(PartRow.maker_key != "").group_by(PartRow.maker_key)
    if len(among) <= CHUNK:
        query = query.where(col(PartRow.id).in_(among))
    return [[int(part_id) for part_id in text.split(",")] for text in session.exec(query)]


def parts_by_class(session: Session, unless_stated: Sequence[str]) -> list[tuple[str, int]]:
    """Classes in words and how many parts of them have none of these fields stated."""
    stated = select(PartValueRow.part_id).where(
        col(PartValueRow.ended_at).is_(None), col(PartValueRow.field).in_(unless_stated)
    )
    query = select(PartRow.class_text, func.count()).where(col(PartRow.id).not_in(stated))
    return list(session.exec(query.group_by(PartRow.class_text)))


@dataclass(frozen=True, slots=True)
class ScopeNames:
    """What people call what declarations are about: makers by key, parts by key (id and label), people by id."""

    makers: dict[str, str]
    parts: dict[str, tuple[int, str]]
    people: dict[int, str]


def scope_names(session: Session, rows: Sequence[DeclarationRow]) -> ScopeNames:
    """The names for these declarations; a maker or part that is not there has none."""
    maker_keys = [row.scope_key for row in rows if row.scope == "maker"]
    part_keys = [row.scope_key for row in rows if row.scope == "part"]
    names: dict[str, str] = {}
    for some in chunks(maker_keys):
        query = select(PartRow.maker_key, func.min(PartRow.maker)).where(col(PartRow.maker_key).in_(some))
        names |= {key: name for key, name in session.exec(query.group_by(PartRow.maker_key)) if name}
    parts: dict[str, tuple[int, str]] = {}
    for some in chunks(part_keys):
        found = session.exec(select(PartRow.key, PartRow.id, PartRow.label).where(col(PartRow.key).in_(some)))
        parts |= {key: (part_id or 0, label) for key, part_id, label in found}
    enders = {row.withdrawn_by for row in rows if row.withdrawn_by}
    people = dict(session.exec(select(PersonRow.id, PersonRow.name).where(col(PersonRow.id).in_(enders))).all())
    return ScopeNames(names, parts, {person_id: name for person_id, name in people.items() if person_id is not None})


def products_using(session: Session, part_ids: Iterable[int]) -> set[int]:
    """Ids of the products whose newest revision may be fitted with any of these parts."""
    found: set[int] = set()
    for some in chunks(sorted(set(part_ids))):
        query = select(PartUseRow.product_id).where(col(PartUseRow.part_id).in_(some), _of_live_product())
        found |= set(session.exec(query.distinct()))
    return found


@dataclass(frozen=True, slots=True)
class LinePart:
    """A part that a line may be fitted with. ``own``: the line's own part, not an alternate; ``changed_by``: who last
    approved it or took it out, None as long as it is as committed."""

    part_id: int
    label: str
    maker: str | None
    own: bool
    approved: bool
    version: int
    changed_by: str | None
    changed_at: datetime | None


def parts_of_lines(session: Session, line_ids: Sequence[int]) -> dict[int, list[LinePart]]:
    """Line id -> its parts, its own first, for the lines that have alternates."""
    found: dict[int, list[LinePart]] = {}
    for some in chunks(line_ids):
        query = (
            select(LinePartRow, PartRow, PersonRow.name)
            .join(PartRow, col(PartRow.id) == col(LinePartRow.part_id))
            .outerjoin(PersonRow, col(PersonRow.id) == col(LinePartRow.changed_by))
            .where(col(LinePartRow.line_id).in_(some))
            .order_by(col(LinePartRow.line_id), col(LinePartRow.position))
        )
        for link, part, by in session.exec(query):
            found.setdefault(link.line_id, []).append(
                LinePart(
                    link.part_id,
                    part.label,
                    part.maker,
                    link.position == 0,
                    link.approved,
                    link.version,
                    by,
                    link.changed_at,
                )
            )
    return {line_id: parts for line_id, parts in found.items() if len(parts) > 1}


class PartName(NamedTuple):
    """What a part is called; "" for what is not known."""

    label: str
    maker: str
    mpn: str


_MANY = 3000


def names_of(session: Session, part_ids: Iterable[int]) -> dict[int, PartName]:
    """Id -> name of the part, without the rest of its row; at most four queries."""
    ids = sorted(set(part_ids))
    if not ids:
        return {}
    query = select(PartRow.id, PartRow.label, PartRow.maker, PartRow.mpn)
    if len(ids) > _MANY:
        wanted = set(ids)
        rows = session.exec(query.where(col(PartRow.id).between(ids[0], ids[-1])))
        return {i: PartName(label, maker or "", mpn or "") for i, label, maker, mpn in rows if i in wanted}
    found: dict[int, PartName] = {}
    for some in chunks(ids):
        rows = session.exec(query.where(col(PartRow.id).in_(some)))
        found |= {i or 0: PartName(label, maker or "", mpn or "") for i, label, maker, mpn in rows}
    return found
