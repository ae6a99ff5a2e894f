"""Which of a line's parts may be fitted: the worst approved one decides about the line."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from sqlmodel import Session, col, select

from webapp.desk import ledger, staleness
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.store import product_reads
from webapp.store.base import utc_now
from webapp.store.parts import LinePartRow, PartRow
from webapp.store.products import BomLineRow, BomRevisionRow, ProductRow
from webapp.trade.ledger import EntryKind
from webapp.trade.people import Person

NEWER = "There is a newer revision of this BOM meanwhile: approve its parts there."
CHANGED = "Somebody else changed this part of the line meanwhile. Look at what holds now and try again."
LAST = "One part of the line has to stay approved. Approve another first."


class TakenOut:
    """What was taken out of the lines of the revision before ``revision_id``, to hold for the new one as well.

    A part stays out of a line where it was out of every line of before that shares a designator with it, in the same
    part: as the line's own or as an alternate. A list that now names it first asks for it anew.
    """

    def __init__(self, session: Session, revision_id: int) -> None:
        before = _revision_before(session, revision_id)
        out = select(LinePartRow.part_id).join(BomLineRow, col(BomLineRow.id) == col(LinePartRow.line_id))
        out = out.where(BomLineRow.revision_id == before, ~col(LinePartRow.approved))
        query = (
            select(LinePartRow, BomLineRow.refdes)
            .join(BomLineRow, col(BomLineRow.id) == col(LinePartRow.line_id))
            .where(BomLineRow.revision_id == before, col(LinePartRow.part_id).in_(out))
        )
        self._links: dict[tuple[int, bool], list[tuple[LinePartRow, frozenset[str]]]] = {}
        for link, refdes in session.exec(query):
            self._links.setdefault((link.part_id, link.position == 0), []).append((link, frozenset(refdes)))

    def of_line(self, refdes: Collection[str], part_ids: Sequence[int]) -> dict[int, LinePartRow]:
        """Part id -> the link of before, for the parts that stay out; none when they would be all.

        ``part_ids``: the line's own part first.
        """
        found: dict[int, LinePartRow] = {}
        for position, part_id in enumerate(part_ids):
            same = [
                link for link, names in self._links.get((part_id, position == 0), ()) if not names.isdisjoint(refdes)
            ]
            if same and not any(link.approved for link in same):
                found[part_id] = same[0]
        return found if len(found) < len(part_ids) else {}


def _revision_before(session: Session, revision_id: int) -> int | None:
    this = select(BomRevisionRow).where(BomRevisionRow.id == revision_id).subquery()
    query = select(BomRevisionRow.id).where(
        BomRevisionRow.product_id == this.c.product_id, BomRevisionRow.number < this.c.number
    )
    return session.exec(query.order_by(col(BomRevisionRow.number).desc()).limit(1)).first()


@dataclass(frozen=True, slots=True)
class Place:
    """A part of a line: the revision's number, the line's position in it (from 1), the part's id."""

    revision: int
    line: int
    part_id: int


def set_approval(
    session: Session, person: Person, product_id: int, place: Place, *, approved: bool, version: int
) -> None:
    """Approve a part for a line of the newest revision, or take it out; the inverse call undoes it.

    The product's cases become stale; re-assess after the commit with ``assessing.reassess``. Raises NotFoundError where
    the line has no such part, ConflictError when the revision is not the newest or the approval was changed since
    ``version``, InvalidInputError (``approved``) for the last approved part.
    """
    # Whoever commits a revision or changes another part of the line waits for the product.
    product = session.exec(select(ProductRow).where(ProductRow.id == product_id).with_for_update()).one_or_none()
    newest = product_reads.last_revision(session, product_id)
    if product is None or newest is None:
        raise NotFoundError("There is no such product.")
    if newest.number != place.revision:
        raise ConflictError(NEWER)
    query = (
        select(LinePartRow, PartRow, BomLineRow)
        .join(PartRow, col(PartRow.id) == col(LinePartRow.part_id))
        .join(BomLineRow, col(BomLineRow.id) == col(LinePartRow.line_id))
        .where(BomLineRow.revision_id == newest.id, BomLineRow.position == place.line)
    )
    found = session.exec(query).all()
    link, part, line = next((row for row in found if row[0].part_id == place.part_id), (None, None, None))
    if link is None or part is None or line is None:
        raise NotFoundError("The line has no such part.")
    if link.version != version:
        raise ConflictError(CHANGED)
    if link.approved == approved:
        return
    if not approved and not any(other.approved for other, _, _ in found if other.part_id != place.part_id):
        raise InvalidInputError(LAST, field="approved")
    link.approved, link.changed_by, link.changed_at = approved, person.id, utc_now()
    link.version += 1
    session.flush()
    staleness.product_changed(session, product_id)
    detail = {"product": product.code, "revision": newest.number, "line": line.position, "refdes": list(line.refdes)}
    detail |= {"part": part.key, "approved": approved}
    ledger.record(session, person, EntryKind.APPROVAL_CHANGED, f"product {product.code}", detail)
