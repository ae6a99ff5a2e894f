"""The part library as its screens show it: lists with what is known, history, several values stated at once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from sqlmodel import Session

from webapp.checks.declare import registry
from webapp.desk import parts
from webapp.desk.part_facts import facts_by_id, value_of
from webapp.desk.part_sizes import size_contradiction
from webapp.desk.parts import ValueSource, part_row
from webapp.errors import InvalidInputError
from webapp.store import part_library, part_reads
from webapp.store.part_library import LibraryView
from webapp.store.parts import PartRow, PartValueRow
from webapp.trade.class_words import classes_in
from webapp.trade.classes import PartClass
from webapp.trade.facts import PartFacts, PartField
from webapp.trade.part_fields import RULES, parse_value, relevant_fields, value_text
from webapp.trade.part_keys import folded
from webapp.trade.people import Person
from webapp.trade.sources import Kind, Source, Status


class Lacks(StrEnum):
    """What a part in the list lacks."""

    ANYTHING = "all"
    NOTHING_STATED = "everything"
    KIND = "kind"
    LIMIT = "limit_c"
    PASSES = "passes"
    OVEN = "oven"
    FINISH = "finish"
    BALLS = "balls"
    MSL = "msl"
    SELF_HEATING = "self_heating_k"


@dataclass(frozen=True, slots=True)
class LibraryEntry:
    """A part in the list. ``asked``: the fields that matter for its kind; ``stated`` of them people have stated."""

    row: PartRow
    facts: PartFacts
    products: int
    stated: int
    asked: int


def library_view(
    session: Session, *, search: str, maker: str, kind: PartClass, lacks: Lacks, product_id: int | None, sort: str
) -> LibraryView:
    """The query for what the list is asked for; ``kind`` 0 is any. A part that may be of the kind is found too."""
    texts: list[str] | None = None
    if kind or lacks not in (Lacks.ANYTHING, Lacks.NOTHING_STATED):
        texts = [text for text in part_library.class_texts(session) if _fits(classes_in(text), kind, lacks)]
    unstated = {Lacks.ANYTHING: "", Lacks.NOTHING_STATED: "any", Lacks.KIND: ""}.get(lacks, lacks.value)
    return LibraryView(
        search=search,
        maker_key=folded(maker),
        class_texts=None if texts is None else tuple(texts),
        unstated=unstated,
        product_id=product_id,
        sort=sort,
    )


def _fits(classes: PartClass, kind: PartClass, lacks: Lacks) -> bool:
    if kind and not classes & kind:
        return False
    if lacks is Lacks.KIND:
        return not classes.certain
    if lacks in (Lacks.ANYTHING, Lacks.NOTHING_STATED):
        return True
    # What does not matter to its kind, a part does not lack.
    return bool(classes) and PartField(lacks.value) in relevant_fields(classes)


def library(
    session: Session, view: LibraryView, offset: int = 0, limit: int | None = None
) -> tuple[list[LibraryEntry], int]:
    """The parts from ``offset`` on with what is known of them, and how many there are in all."""
    rows, total = part_library.find_parts(session, view, offset=offset, limit=limit)
    ids = [row.id or 0 for row in rows]
    facts = facts_by_id(session, ids, view.product_id)
    values = part_reads.current_values(session, ids)
    products = part_library.product_counts(session, ids)
    return [
        _entry(row, facts[row.id or 0], values.get(row.id or 0, ()), products.get(row.id or 0, 0)) for row in rows
    ], total


def _entry(row: PartRow, facts: PartFacts, stated: Sequence[PartValueRow], products: int) -> LibraryEntry:
    asked = set(relevant_fields(facts.classes))
    counted = sum(1 for value in stated if value.field in asked)
    return LibraryEntry(row, facts, products, counted, len(asked))


@dataclass(frozen=True, slots=True)
class Event:
    """One change of a part: who, when, which field, the value before and after ("" where none is stated)."""

    at: datetime
    by: str
    field: PartField
    before: str
    after: str
    typed: str
    source: Source | None


def part_history(session: Session, part_id: int) -> list[Event]:
    """All that people stated of a part or took back, the newest first."""
    events: list[Event] = []
    last: dict[str, PartValueRow] = {}
    rows = part_library.value_events(session, part_id)
    replaced = {(row.field, row.stated_at) for row, _, _ in rows}
    for row, by, ended_by in rows:
        field, before = PartField(row.field), last.get(row.field)
        # A value that ended before this one came was taken back in between.
        was = before if before is not None and before.ended_at and _follows(before, row) else None
        source = Source(Kind(row.source_kind), row.reference, Status(row.source_status), note=row.note)
        events.append(Event(row.stated_at, by, field, _words(was), _words(row), row.typed, source))
        last[row.field] = row
        if row.ended_at and ended_by and not _is_replaced(row, replaced):
            events.append(Event(row.ended_at, ended_by, field, _words(row), "", "", None))
    return sorted(events, key=lambda event: event.at, reverse=True)


_MOMENT_S = 1.0


def _follows(before: PartValueRow, row: PartValueRow) -> bool:
    return before.ended_at is not None and abs((row.stated_at - before.ended_at).total_seconds()) < _MOMENT_S


def _is_replaced(row: PartValueRow, stated: set[tuple[str, datetime]]) -> bool:
    """Whether the value ended because another took its place: both happen in one command."""
    return any(
        field == row.field and row.ended_at and 0 <= (at - row.ended_at).total_seconds() < _MOMENT_S
        for field, at in stated
    )


def _words(row: PartValueRow | None) -> str:
    return value_text(PartField(row.field), value_of(row)) if row is not None else ""


def state_values(
    session: Session,
    person: Person,
    part_id: int,
    typed: Mapping[PartField, str],
    source: ValueSource,
    *,
    version: int,
) -> list[PartField]:
    """State several fields of a part from one source, all or none; the fields of which that says anything new.

    Errors are those of ``parts.state_value``, and sizes that cannot be true together; run it in one transaction.
    """
    part_row(session, part_id, lock=True)
    values = {field: parse_value(field, text).value for field, text in typed.items()}
    contradiction = size_contradiction(facts_by_id(session, [part_id])[part_id], values)
    if contradiction is not None:
        raise InvalidInputError(contradiction[1], field=contradiction[0])
    changed = []
    seen: int | None = version
    for field, text in typed.items():
        if parts.state_value(session, person, part_id, field, text, source, version=seen):
            changed.append(field)
        seen = None
    return changed


_BESIDE_CHECKS = frozenset(
    {PartField.LENGTH_MM, PartField.WIDTH_MM, PartField.HEIGHT_MM, PartField.MSL, PartField.TERMINALS}
)
"""What ways out and bounds read: body sizes give the classification temperature, level and height the hours of a bake,
terminals whether somebody can solder them by hand."""


def fields_used() -> frozenset[PartField]:
    """The fields that a check reads, or what is worked out for one."""
    needed = {need.name for check in registry().values() for need in check.needs}
    return _BESIDE_CHECKS | {field for field in PartField if field.value in needed}


def field_label(field: PartField) -> str:
    """What the field is called, with a capital, and its unit where it has one."""
    rule = RULES[field]
    return rule.label[0].upper() + rule.label[1:]
