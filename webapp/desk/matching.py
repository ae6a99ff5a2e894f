"""Every line of a BOM gets its part: the one of that maker and number, or one known by what its line says."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import insert
from sqlalchemy.dialects import postgresql, sqlite
from sqlmodel import Session, col, select

from webapp.desk import staleness
from webapp.desk.alternates import TakenOut
from webapp.desk.part_facts import guess_of
from webapp.store import part_library, part_reads
from webapp.store.base import utc_now
from webapp.store.parts import LinePartRow, PartRow
from webapp.store.product_reads import line_from
from webapp.store.products import BomLineRow, BomRevisionRow
from webapp.trade.bom import BomLine
from webapp.trade.packages import size_system_of
from webapp.trade.part_keys import designator_prefix, folded, part_key, unnamed_key

_LABEL_LENGTH = 80
_SAID = ("package", "value", "description")


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A part as one line names it."""

    key: str
    label: str
    maker: str | None
    mpn: str | None
    package: str | None
    value: str | None
    description: str | None
    prefix: str


def match_parts(session: Session, revision_id: int) -> int:
    """Give every line of the revision its parts, alternates included; how many parts were new.

    Lines that place nothing on the board (loose rows, fiducials, holes) get none. Doing it again changes nothing.
    """
    rows = session.exec(
        select(BomLineRow).where(BomLineRow.revision_id == revision_id).order_by(col(BomLineRow.position))
    ).all()
    lines = [line_from(row) for row in rows]
    links = _links(lines)
    wanted = _together(part for parts in links for part in parts)
    system = size_system_of(line.package for line in lines if line.package)
    known = part_reads.ids_by_key(session, wanted)
    _insert(session, [part for key, part in wanted.items() if key not in known], system or "")
    _fill_blanks(session, known, wanted)
    ids = known | part_reads.ids_by_key(session, wanted.keys() - known.keys())
    linked = [(row, [ids[part.key] for part in parts]) for row, parts in zip(rows, links, strict=True)]
    _link(session, linked, TakenOut(session, revision_id))
    product_id = session.exec(select(BomRevisionRow.product_id).where(BomRevisionRow.id == revision_id)).one()
    part_library.renew_uses(session, product_id)
    return len(ids) - len(known)


def match_missing(session: Session) -> int:
    """Match the revisions that were committed before there were parts; how many were."""
    has_links = (
        select(LinePartRow.line_id)
        .join(BomLineRow, col(BomLineRow.id) == col(LinePartRow.line_id))
        .where(col(BomLineRow.revision_id) == col(BomRevisionRow.id))
        .exists()
    )
    query = select(BomRevisionRow.id).where(~has_links, BomRevisionRow.fitted_count > 0)
    found = [revision_id for revision_id in session.exec(query) if revision_id is not None]
    for revision_id in found:
        match_parts(session, revision_id)
    return len(found)


def _together(parts: Iterable[_Wanted]) -> dict[str, _Wanted]:
    """Key -> the part, written as its first line does; what that line lacks a later one may give."""
    found: dict[str, _Wanted] = {}
    for part in parts:
        first = found.setdefault(part.key, part)
        blanks = {name: getattr(part, name) for name in _SAID if not getattr(first, name) and getattr(part, name)}
        if blanks:
            found[part.key] = replace(first, **blanks)
    return found


def _links(lines: Sequence[BomLine]) -> list[list[_Wanted]]:
    """For every line its own part and its alternates, those given in rows of their own included."""
    in_rows: dict[int, list[BomLine]] = {}
    for line in lines:
        if line.alternate_of is not None:
            in_rows.setdefault(line.alternate_of, []).append(line)
    return [_parts_of(line, in_rows.get(line.row, ())) for line in lines]


def _parts_of(line: BomLine, others: Iterable[BomLine]) -> list[_Wanted]:
    if line.loose or not set(line.refdes) - set(line.excluded_refdes):
        return []
    own = _wanted(line)
    found = {own.key: own}
    for alternate in line.alternates:
        if key := part_key(alternate.manufacturer, alternate.mpn):
            # It goes to the same lands: package and value hold for it, the description may not.
            found.setdefault(
                key,
                replace(
                    own,
                    key=key,
                    label=_shortened(alternate.mpn),
                    maker=alternate.manufacturer,
                    mpn=alternate.mpn,
                ),
            )
    for other in others:
        part = _wanted(other, prefix=own.prefix)
        found.setdefault(part.key, replace(part, package=part.package or own.package, value=part.value or own.value))
    return list(found.values())


def _wanted(line: BomLine, prefix: str = "") -> _Wanted:
    maker, mpn = (
        (line.read_as.manufacturer, line.read_as.mpn) if line.read_as is not None else (line.manufacturer, line.mpn)
    )
    prefix = prefix or next((letters for name in line.refdes if (letters := designator_prefix(name))), "")
    key = part_key(maker, mpn)
    said = (line.package, line.value, line.description)
    return _Wanted(
        key=key or unnamed_key(prefix, *said),
        label=_shortened(mpn if key else _label(prefix, line)),
        maker=maker if key else None,
        mpn=mpn if key else None,
        package=line.package,
        value=line.value,
        description=line.description,
        prefix=prefix[:20],
    )


def _label(prefix: str, line: BomLine) -> str:
    words = [text for text in (line.value, line.package) if text]
    return " ".join(words) or line.description or f"{prefix or 'part'} without number"


def _insert(session: Session, parts: Sequence[_Wanted], system: str) -> None:
    if not parts:
        return
    now = utc_now()
    rows = [
        PartRow(
            key=part.key,
            label=part.label,
            maker=_clean(part.maker),
            maker_key=folded(part.maker)[:200],
            mpn=_clean(part.mpn),
            package=_clean(part.package),
            value=_clean(part.value),
            description=_clean(part.description),
            prefix=part.prefix,
            size_system=system,
            created_at=now,
        )
        for part in parts
    ]
    values = [row.model_dump(exclude={"id"}) | {"class_text": guess_of(row).classes.words} for row in rows]
    # Another commit may bring the same part at this moment.
    connection = session.connection()
    ignoring = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    connection.execute(ignoring(PartRow).on_conflict_do_nothing(index_elements=["key"]), values)


def _fill_blanks(session: Session, ids: dict[str, int], wanted: dict[str, _Wanted]) -> None:
    """What a known part did not have yet and this list says."""
    changed = []
    for part_id, row in part_reads.parts_by_id(session, ids.values()).items():
        part = wanted[row.key]
        news = {name: text for name in _SAID if (text := _clean(getattr(part, name))) and not getattr(row, name)}
        if news:
            for name, text in news.items():
                setattr(row, name, text)
            row.class_text = guess_of(row).classes.words
            changed.append(part_id)
    if changed:
        session.flush()
        staleness.part_changed(session, changed)


def _link(session: Session, lines: Sequence[tuple[BomLineRow, list[int]]], before: TakenOut) -> None:
    already: dict[int, list[tuple[int, int]]] = {}
    for some in part_reads.chunks([line.id or 0 for line, parts in lines if parts]):
        query = select(LinePartRow.line_id, LinePartRow.part_id, LinePartRow.position)
        for line_id, part_id, position in session.exec(query.where(col(LinePartRow.line_id).in_(some))):
            already.setdefault(line_id, []).append((part_id, position))
    values: list[dict[str, Any]] = []
    for line, parts in lines:
        there = already.get(line.id or 0, [])
        taken_out = before.of_line(line.refdes, parts)
        position = max((place for _, place in there), default=-1) + 1
        linked = {part_id for part_id, _ in there}
        for part_id in dict.fromkeys(parts):
            if part_id not in linked:
                values.append(_link_values(line.id or 0, position, part_id, taken_out.get(part_id)))
                position += 1
    if values:
        session.connection().execute(insert(LinePartRow), values)


def _link_values(line_id: int, position: int, part_id: int, out: LinePartRow | None) -> dict[str, Any]:
    """``out``: the link of the revision before, where the part stays taken out."""
    return {
        "line_id": line_id,
        "position": position,
        "part_id": part_id,
        "approved": out is None,
        "changed_by": out.changed_by if out else None,
        "changed_at": out.changed_at if out else None,
        "version": 1,
    }


def _shortened(text: str | None) -> str:
    return (_clean(text) or "")[:_LABEL_LENGTH]


def _clean(text: str | None) -> str | None:
    """Text as every database takes it."""
    return text.replace("\x00", "") if text else None
