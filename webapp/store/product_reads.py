"""Queries on products, revisions and lines, for the pages that show them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import ColumnElement, SQLColumnExpression, func, or_, true
from sqlmodel import Session, col, select

from webapp.store.parts import LinePartRow
from webapp.store.people import PersonRow
from webapp.store.products import BomLineRow, BomRevisionRow, ProductRow
from webapp.trade.bom import Alternate, BomLine
from webapp.trade.products import code_key


class ShowLines(StrEnum):
    """Which lines of a revision are shown."""

    ALL = "all"
    FITTED = "fitted"
    DNP = "dnp"
    EXCLUDED = "excluded"
    LOOSE = "loose"
    ALTERNATES = "alternates"
    DOUBTS = "doubts"


SORTS: dict[str, SQLColumnExpression[Any]] = {
    "refdes": col(BomLineRow.refdes_key),
    "mpn": func.lower(func.coalesce(BomLineRow.read_mpn, BomLineRow.mpn)),
    "manufacturer": func.lower(func.coalesce(BomLineRow.read_manufacturer, BomLineRow.manufacturer)),
    "value": func.lower(BomLineRow.value),
    "package": func.lower(BomLineRow.package),
    "qty": col(BomLineRow.qty),
}


@dataclass(frozen=True, slots=True)
class LineView:
    """Which lines, in which order: ``sort`` is a key of SORTS, with "-" before it downwards, "" the file's order."""

    show: ShowLines = ShowLines.ALL
    search: str = ""
    sort: str = ""


@dataclass(frozen=True, slots=True)
class ProductEntry:
    """A product with its last revision, as the list shows it."""

    code: str
    name: str
    revision: int
    line_count: int
    fitted_count: int
    changed_by: str
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class RevisionEntry:
    """A revision with its product's code and who brought it in."""

    code: str
    row: BomRevisionRow
    by: str


def product_by_code(session: Session, code: str, *, lock: bool = False) -> ProductRow | None:
    """The product of that code, whatever its case; ``lock`` makes other commands on it wait for this one."""
    query = select(ProductRow).where(ProductRow.code_key == code_key(code))
    return session.exec(query.with_for_update() if lock else query).one_or_none()


def list_products(session: Session, search: str, offset: int, limit: int) -> tuple[list[ProductEntry], int]:
    """Products whose code or name holds ``search``, by code, and how many there are."""
    last = (
        select(BomRevisionRow.product_id, func.max(BomRevisionRow.number).label("number"))
        .group_by(col(BomRevisionRow.product_id))
        .subquery()
    )
    found: ColumnElement[bool] = col(ProductRow.archived_at).is_(None)
    if search:
        holds = or_(
            col(ProductRow.code_key).contains(code_key(search), autoescape=True),
            col(ProductRow.name).icontains(search, autoescape=True),
        )
        found = found & holds
    query = (
        select(ProductRow, BomRevisionRow, PersonRow.name)
        .join(last, last.c.product_id == ProductRow.id)
        .join(
            BomRevisionRow,
            (col(BomRevisionRow.product_id) == last.c.product_id) & (col(BomRevisionRow.number) == last.c.number),
        )
        .join(PersonRow, col(PersonRow.id) == col(BomRevisionRow.uploaded_by))
        .where(found)
    )
    rows = session.exec(query.order_by(col(ProductRow.code_key)).offset(offset).limit(limit)).all()
    total = session.exec(select(func.count()).select_from(ProductRow).where(found)).one()
    return [
        ProductEntry(p.code, p.name, r.number, r.line_count, r.fitted_count, name, r.committed_at)
        for p, r, name in rows
    ], total


def product_codes(session: Session) -> list[tuple[str, str]]:
    """Code and name of all products there are, by code."""
    query = select(ProductRow.code, ProductRow.name).where(col(ProductRow.archived_at).is_(None))
    return [(code, name) for code, name in session.exec(query.order_by(col(ProductRow.code_key)))]


def revisions_of(session: Session, product_id: int) -> list[RevisionEntry]:
    """The revisions of a product, the newest first."""
    return _revisions(session, col(BomRevisionRow.product_id) == product_id, col(BomRevisionRow.number).desc())


def revisions_by(session: Session, person_id: int, limit: int) -> list[RevisionEntry]:
    """What a person committed last."""
    order = col(BomRevisionRow.committed_at).desc()
    return _revisions(session, col(BomRevisionRow.uploaded_by) == person_id, order, limit)


def revisions_from_file(session: Session, sha256: str) -> list[RevisionEntry]:
    """The revisions that were made of this very file, the newest first."""
    order = col(BomRevisionRow.committed_at).desc()
    return _revisions(session, col(BomRevisionRow.file_sha256) == sha256, order)


def revision_of_upload(session: Session, upload_id: int) -> RevisionEntry | None:
    """What a draft was committed as."""
    found = _revisions(session, col(BomRevisionRow.upload_id) == upload_id, col(BomRevisionRow.id))
    return found[0] if found else None


def _revisions(
    session: Session, which: ColumnElement[bool], order: SQLColumnExpression[Any], limit: int = 1000
) -> list[RevisionEntry]:
    query = (
        select(ProductRow.code, BomRevisionRow, PersonRow.name)
        .join(ProductRow, col(ProductRow.id) == col(BomRevisionRow.product_id))
        .join(PersonRow, col(PersonRow.id) == col(BomRevisionRow.uploaded_by))
        .where(which)
    )
    # Rows of the same moment keep one order, or pages of them would repeat and lose some.
    rows = session.exec(query.order_by(order, col(BomRevisionRow.id).desc()).limit(limit))
    return [RevisionEntry(code, row, by) for code, row, by in rows]


def last_revision(session: Session, product_id: int) -> BomRevisionRow | None:
    """The newest revision of a product."""
    query = select(BomRevisionRow).where(BomRevisionRow.product_id == product_id)
    return session.exec(query.order_by(col(BomRevisionRow.number).desc()).limit(1)).first()


def lines_of(session: Session, revision_id: int) -> list[BomLine]:
    """All lines of a revision in the file's order."""
    query = select(BomLineRow).where(BomLineRow.revision_id == revision_id).order_by(col(BomLineRow.position))
    return [line_from(row) for row in session.exec(query)]


def line_from(row: BomLineRow) -> BomLine:
    """A stored line as the trade has it."""
    has_read = row.read_mpn is not None or row.read_manufacturer is not None
    return BomLine(
        row=row.row,
        refdes=tuple(row.refdes),
        dnp_refdes=tuple(row.dnp_refdes),
        excluded_refdes=tuple(row.excluded_refdes),
        qty=row.qty,
        mpn=row.mpn,
        manufacturer=row.manufacturer,
        value=row.value,
        description=row.description,
        package=row.package,
        side=row.side,
        alternates=tuple(Alternate(part["manufacturer"], part["mpn"]) for part in row.alternates),
        read_as=Alternate(row.read_manufacturer, row.read_mpn) if has_read else None,
        alternate_of=row.alternate_of,
        loose=row.loose,
    )


def find_lines(
    session: Session, revision_id: int, view: LineView, *, offset: int = 0, limit: int | None = None
) -> tuple[Sequence[BomLineRow], int]:
    """The lines that ``view`` asks for, from ``offset`` on, and how many there are in all."""
    which = _which(session, revision_id, view)
    query = select(BomLineRow).where(which).order_by(*_order(view.sort)).offset(offset)
    rows = session.exec(query if limit is None else query.limit(limit)).all()
    total = session.exec(select(func.count()).select_from(BomLineRow).where(which)).one()
    return rows, total


def _which(session: Session, revision_id: int, view: LineView) -> ColumnElement[bool]:
    of_revision = col(BomLineRow.revision_id) == revision_id
    which = of_revision & _SHOWN[view.show]
    text = " ".join(view.search.split()).casefold()
    if not text:
        return which
    # A designator means itself: "R1" is not "R10". Anything else is found wherever it stands.
    itself = col(BomLineRow.search_text).contains(f"\n{text}\n", autoescape=True)
    named = session.exec(select(BomLineRow.id).where(of_revision, itself).limit(1)).first() is not None
    return which & (itself if named else col(BomLineRow.search_text).contains(text, autoescape=True))


_SHOWN: dict[ShowLines, SQLColumnExpression[bool]] = {
    ShowLines.ALL: true(),
    ShowLines.FITTED: col(BomLineRow.fitted_count) > 0,
    ShowLines.DNP: col(BomLineRow.dnp_count) > 0,
    ShowLines.EXCLUDED: col(BomLineRow.excluded_count) > 0,
    ShowLines.LOOSE: col(BomLineRow.loose),
    ShowLines.ALTERNATES: col(BomLineRow.id).in_(
        select(LinePartRow.line_id).where(col(LinePartRow.position) > 0, col(LinePartRow.line_id) == col(BomLineRow.id))
    ),
    ShowLines.DOUBTS: col(BomLineRow.doubt_count) > 0,
}


def _order(sort: str) -> list[SQLColumnExpression[Any]]:
    position = col(BomLineRow.position)
    if not sort:
        return [position]
    by = SORTS[sort.removeprefix("-")]
    # What is not known stands last either way.
    return [by.is_(None), by.desc() if sort.startswith("-") else by.asc(), position]
