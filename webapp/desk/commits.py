"""From a draft to a revision of a product: once, wholly, or not at all."""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import insert
from sqlalchemy.exc import IntegrityError
from sqlmodel import Session

from webapp.desk import cases, column_memory, ledger, matching
from webapp.desk.drafts import Draft, open_draft, own_row
from webapp.desk.uploads import STALE
from webapp.errors import ConflictError, InvalidInputError
from webapp.store import product_reads, uploads
from webapp.store.base import utc_now
from webapp.store.engine import Database
from webapp.store.product_reads import RevisionEntry
from webapp.store.products import BomLineRow, BomRevisionRow, ProductRow
from webapp.store.uploads import UploadRow
from webapp.trade.bom import BomLine
from webapp.trade.difference import Difference, difference
from webapp.trade.ledger import EntryKind
from webapp.trade.order import in_order, order_key
from webapp.trade.people import Person
from webapp.trade.products import code_key, tidy_code, tidy_note, tidy_product_name


@dataclass(frozen=True, slots=True)
class NewProduct:
    """The draft becomes the first revision of a product that does not exist yet."""

    code: str
    name: str


@dataclass(frozen=True, slots=True)
class NextRevision:
    """The draft becomes the next revision of the product of that code."""

    code: str


@dataclass(frozen=True, slots=True)
class Committed:
    """What the draft is now; ``already``: it was so before."""

    code: str
    number: int
    already: bool = False


@dataclass(frozen=True, slots=True)
class Comparison:
    """A draft beside the last revision of the product it would go to."""

    code: str
    name: str
    last: int
    difference: Difference


def commit_upload(
    database: Database,
    person: Person,
    token: str,
    version: int,
    target: NewProduct | NextRevision,
    note: str = "",
    set_up: Callable[[Session, int], None] | None = None,
) -> Committed:
    """Make the draft a revision. A draft that is committed already gives the revision it became.

    ``set_up`` is called with the product's id in the same transaction, after the commit's own work.

    Raises InvalidInputError (fields ``code``, ``name``, ``product``, ``note``; or none when the file is no board BOM),
    ConflictError when the draft is no longer at ``version``, NotFoundError and DraftClosedError as ``open_draft``.
    """
    note = tidy_note(note)
    if isinstance(target, NewProduct):
        target = NewProduct(tidy_code(target.code), tidy_product_name(target.name))
    with database.read() as session:
        done = _done(session, person, token)
        if done is not None:
            return done
        draft = open_draft(session, person, token)
    if not draft.reading.is_board_bom:
        raise InvalidInputError(f"This cannot be committed: {draft.reading.why_not_bom}.")
    # Everything that takes time is ready before the write lock is asked for.
    lines = line_values(draft)
    with database.command() as session:
        row = own_row(session, person, token, lock=True)
        done = _done(session, person, token)
        if done is not None:
            return done
        if row.version != version or draft.version != version:
            raise ConflictError(STALE)
        committed = _commit(session, person, row, draft, target, note, lines)
        if set_up is not None:
            set_up(session, _id(_existing(session, committed.code)))
        return committed


def compare(session: Session, draft: Draft, code: str) -> Comparison:
    """The draft beside the last revision of the product ``code``; InvalidInputError (``product``) without one."""
    product = _existing(session, code)
    last = product_reads.last_revision(session, _id(product))
    before = product_reads.lines_of(session, last.id or 0) if last else []
    return Comparison(
        product.code, product.name, last.number if last else 0, difference(before, draft.joined.reading.lines)
    )


def _done(session: Session, person: Person, token: str) -> Committed | None:
    row = own_row(session, person, token)
    if row.status != uploads.COMMITTED:
        return None
    revision = product_reads.revision_of_upload(session, uploads.stored_id(row))
    return _committed(revision, already=True) if revision else None


def _committed(revision: RevisionEntry, *, already: bool) -> Committed:
    return Committed(revision.code, revision.row.number, already)


def _commit(
    session: Session,
    person: Person,
    row: UploadRow,
    draft: Draft,
    target: NewProduct | NextRevision,
    note: str,
    lines: list[dict[str, Any]],
) -> Committed:
    product = (
        _new(session, person, target) if isinstance(target, NewProduct) else _existing(session, target.code, lock=True)
    )
    last = product_reads.last_revision(session, _id(product))
    revision = _revision(person, row, draft, product, note)
    revision.number = last.number + 1 if last else 1
    session.add(revision)
    _flush(session)
    values = [{**line, "revision_id": revision.id} for line in lines]
    if values:
        session.connection().execute(insert(BomLineRow), values)
    matching.match_parts(session, revision.id or 0)
    cases.open_cases(session, _id(product))
    column_memory.teach(session, person, draft.filename, draft.reading, draft.choices)
    row.status, row.updated_at = uploads.COMMITTED, utc_now()
    row.version += 1
    session.flush()
    detail = {
        "product": product.code,
        "revision": revision.number,
        "file": revision.filename,
        "sha256": revision.file_sha256,
        "lines": revision.line_count,
        "fitted": revision.fitted_count,
    }
    ledger.record(session, person, EntryKind.BOM_COMMITTED, f"product {product.code}", detail)
    return Committed(product.code, revision.number)


def _new(session: Session, person: Person, target: NewProduct) -> ProductRow:
    existing = product_reads.product_by_code(session, target.code)
    if existing is not None:
        raise InvalidInputError(
            f"There is a product {existing.code} already. Commit this as its next revision, or choose another code.",
            field="code",
        )
    product = ProductRow(
        code=target.code,
        code_key=code_key(target.code),
        name=target.name,
        created_by=person.id,
        created_at=utc_now(),
    )
    session.add(product)
    _flush(session)
    return product


def _flush(session: Session) -> None:
    """Write what must be unique; two may have found it free at the same moment."""
    try:
        session.flush()
    except IntegrityError as error:
        raise ConflictError("Somebody else committed the same at this moment. Look at it and try again.") from error


def _existing(session: Session, code: str, *, lock: bool = False) -> ProductRow:
    product = product_reads.product_by_code(session, code, lock=lock)
    if product is None:
        raise InvalidInputError(
            f'There is no product "{code}". Choose one from the list, or make it a new product.', field="product"
        )
    return product


def _id(product: ProductRow) -> int:
    if product.id is None:
        raise ValueError("the product is not stored yet")
    return product.id


def _revision(person: Person, row: UploadRow, draft: Draft, product: ProductRow, note: str) -> BomRevisionRow:
    counts = draft.counts
    reading = draft.joined.reading
    rows = {line.row for line in reading.lines}
    return BomRevisionRow(
        product_id=_id(product),
        number=0,
        upload_id=uploads.stored_id(row),
        filename=row.filename,
        file_sha256=row.file_sha256,
        placement_filename=row.placement_filename,
        placement_sha256=row.placement_sha256,
        sheet=_clean(reading.sheet),
        encoding=reading.encoding,
        uploaded_by=person.id,
        committed_at=utc_now(),
        line_count=counts.lines,
        fitted_count=counts.fitted,
        dnp_count=counts.dnp,
        excluded_count=counts.excluded,
        loose_count=counts.loose,
        problem_count=counts.problems,
        doubts=[_sentence(p.row, p.message) for p in reading.problems if p.row not in rows],
        note=note,
    )


def _sentence(row: int | None, message: str) -> str:
    return message if row is None else f"row {row}: {message}"


def line_values(draft: Draft) -> list[dict[str, Any]]:
    """The draft's lines as values of ``bom_line``, without the revision."""
    doubts: dict[int, list[str]] = {}
    for problem in draft.joined.reading.problems:
        if problem.row is not None:
            doubts.setdefault(problem.row, []).append(problem.message)
    return [
        _line_values(line, position, draft.joined.bottom_refdes.get(line.row, ()), doubts.get(line.row, []))
        for position, line in enumerate(draft.joined.reading.lines, start=1)
    ]


def _line_values(line: BomLine, position: int, bottom: tuple[str, ...], doubts: list[str]) -> dict[str, Any]:
    texts = {name: _clean(getattr(line, name)) for name in ("mpn", "manufacturer", "value", "description", "package")}
    part = line.read_as
    read = {
        "read_mpn": _clean(part.mpn) if part else None,
        "read_manufacturer": _clean(part.manufacturer) if part else None,
    }
    first = in_order(line.refdes)[:1]
    return {
        "position": position,
        "row": line.row,
        "refdes": list(line.refdes),
        "dnp_refdes": list(line.dnp_refdes),
        "excluded_refdes": list(line.excluded_refdes),
        "bottom_refdes": list(bottom),
        "fitted_count": len(line.fitted_refdes),
        "dnp_count": len(line.dnp_refdes),
        "excluded_count": len(line.excluded_refdes),
        "doubt_count": len(doubts),
        "loose": line.loose,
        "qty": line.qty,
        **texts,
        **read,
        "side": line.side,
        "alternates": [asdict(alternate) for alternate in line.alternates],
        "alternate_of": line.alternate_of,
        "doubts": doubts,
        "refdes_key": order_key(first[0]) if first else "\uffff",
        "search_text": _search_text(line, (*texts.values(), *read.values())),
    }


def _search_text(line: BomLine, texts: tuple[str | None, ...]) -> str:
    others = [text for part in line.alternates for text in (part.mpn, part.manufacturer)]
    names = "".join(f"\n{name}" for name in line.refdes)
    values = "\t".join(" ".join(text.split()) for text in (*texts, *others) if text)
    return f"{names}\n\t{values}\t".replace("\x00", "").casefold()


def _clean(text: str | None) -> str | None:
    """Text as every database takes it: PostgreSQL refuses the null character."""
    return text.replace("\x00", "") if text else None
