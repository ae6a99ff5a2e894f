"""What people state of parts: typed values with a source, kept with their history.

Raises throughout: NotFoundError for an unknown part, InvalidInputError naming the field, ConflictError when somebody
else changed the part since ``version``. Every change makes the cases that use the part stale; re-assess after the
commit with ``assessing.reassess``.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from sqlmodel import Session, select

from webapp.desk import ledger, staleness
from webapp.desk.part_facts import facts_by_id, guess_of, stated_values, value_of
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.store import part_reads
from webapp.store.base import utc_now
from webapp.store.part_reads import Use
from webapp.store.parts import NOTE_LENGTH, REFERENCE_LENGTH, PartRow, PartValueRow
from webapp.trade.class_bounds import Oven, bounds_of
from webapp.trade.facts import OVEN_NO, OVEN_YES, PartFacts, PartField
from webapp.trade.ledger import EntryKind
from webapp.trade.part_fields import RULES, FieldRule, offered_fields, parse_value, relevant_fields, value_text
from webapp.trade.people import Person
from webapp.trade.ranges import Span
from webapp.trade.sources import Kind, Status
from webapp.trade.typed_text import tidy_line

CHANGED = "Somebody else changed this part meanwhile. Look at the present values and try again."
STATED_KINDS = (Kind.DATASHEET, Kind.DECLARATION, Kind.SAME_PACKAGE, Kind.ENTERED)
"""The kinds of source that people choose from when they state a value."""


@dataclass(frozen=True, slots=True)
class ValueSource:
    """Who says so: ``reference`` names the document (needed unless the kind is ENTERED), ``note`` what else to know."""

    kind: Kind
    reference: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class FieldView:
    """One field of a part as its page shows it: what holds now, in words, where it comes from, and what was stated.

    ``typed`` and ``source`` are those of the stated value (None when the value follows from class or package);
    ``relevant``: matters to the part, or is stated; ``offered``: that, or it may matter to some parts of its kind.
    """

    field: PartField
    rule: FieldRule
    text: str
    source_words: str
    stated: PartValueRow | None
    relevant: bool
    offered: bool

    @property
    def wanted(self) -> bool:
        """Whether it would say something to state this field."""
        return self.relevant and self.stated is None


@dataclass(frozen=True, slots=True)
class PartPage:
    """A part as its page shows it. ``history``: every value ever stated, newest first, with who stated it."""

    row: PartRow
    facts: PartFacts
    why_class: str
    class_note: str
    fields: tuple[FieldView, ...]
    history: tuple[tuple[PartValueRow, str], ...]
    uses: tuple[Use, ...]


def part_page(session: Session, part_id: int) -> PartPage:
    """All about one part."""
    row = part_row(session, part_id)
    facts = facts_by_id(session, [part_id])[part_id]
    stated = stated_values(part_reads.current_values(session, [part_id]), part_id)
    relevant, offered = relevant_fields(facts.classes), offered_fields(facts.classes)
    return PartPage(
        row=row,
        facts=facts,
        why_class=guess_of(row).why,
        class_note=bounds_of(facts.classes).note,
        fields=tuple(
            _view(facts, field, stated, relevant=field in relevant, offered=field in offered) for field in PartField
        ),
        history=tuple(part_reads.value_history(session, part_id)),
        uses=tuple(part_reads.where_used(session, part_id)),
    )


def _view(
    facts: PartFacts, field: PartField, stated: Mapping[PartField, PartValueRow], *, relevant: bool, offered: bool
) -> FieldView:
    value = _known(facts, field)
    source = facts.sources.get(field.value)
    return FieldView(
        field=field,
        rule=RULES[field],
        text=value_text(field, value) if value is not None else "not known",
        source_words=source.words if source is not None and value is not None else "",
        stated=stated.get(field),
        relevant=relevant or field in stated,
        offered=offered or field in stated,
    )


def _known(facts: PartFacts, field: PartField) -> Span | int | None:
    if field is PartField.OVEN:
        return _OVEN.get(next(iter(facts.ovens))) if len(facts.ovens) == 1 else None
    return facts.value(field)


_OVEN = {Oven.YES: OVEN_YES, Oven.WITHOUT_CELL: OVEN_YES, Oven.NEVER: OVEN_NO, Oven.AFTER: OVEN_NO}


def state_value(
    session: Session,
    person: Person,
    part_id: int,
    field: PartField,
    text: str,
    source: ValueSource,
    *,
    version: int | None = None,
    written: str = "",
) -> bool:
    """State one field of a part, in place of what was stated before (which is kept); whether that says anything new.

    Nothing is written where the same value is stated from the same source already. ``text`` as people type it, see
    ``trade.part_fields.parse_value``; ``written``: how it stood in the document, where that is read as ``text``.
    Errors name ``field``, ``reference`` or ``note``.
    """
    row = part_row(session, part_id, lock=True)
    _check_version(row, version)
    typed = parse_value(field, text)
    reference, note = _checked(source)
    source = ValueSource(source.kind, reference, note)
    if is_stated(part_reads.current_value(session, part_id, field.value), typed.value, source):
        return False
    status = Status.ENTERED
    if source.kind is Kind.DECLARATION:
        status = Status.DECLARED
    elif source.kind in (Kind.DATASHEET, Kind.STANDARD):
        status = Status.OPENED
    elif source.kind in (Kind.SAME_PACKAGE, Kind.ASSUMED):
        status = Status.ASSUMED
    end_value(session, person, part_id, field)
    span, mask = (typed.value, None) if isinstance(typed.value, Span) else (None, typed.value)
    session.add(
        PartValueRow(
            part_id=part_id,
            field=field.value,
            low=_finite(span.low) if span else None,
            high=_finite(span.high) if span else None,
            mask=mask,
            typed=(written or text).strip()[:200],
            source_kind=source.kind.value,
            source_status=status.value,
            reference=reference,
            note=note,
            stated_by=person.id,
            stated_at=utc_now(),
        )
    )
    _changed(session, row, field)
    detail = {"part": row.key, "field": field.value, "value": typed.echo, "source": source.kind.value}
    detail |= {"reference": reference, "note": note}
    ledger.record(session, person, EntryKind.VALUE_STATED, f"part {row.label}", detail)
    return True


def is_stated(row: PartValueRow | None, value: Span | int, source: ValueSource) -> bool:
    """Whether ``row`` says just that, from that source (reference and note tidied)."""
    if row is None or (row.source_kind, row.reference, row.note) != (source.kind, source.reference, source.note):
        return False
    return value_of(row) == value


def withdraw_value(
    session: Session, person: Person, part_id: int, field: PartField, *, version: int | None = None
) -> None:
    """Take a stated value back: class and package decide again. Harmless where nothing is stated."""
    row = part_row(session, part_id, lock=True)
    _check_version(row, version)
    if end_value(session, person, part_id, field):
        _changed(session, row, field)
        detail = {"part": row.key, "field": field.value}
        ledger.record(session, person, EntryKind.VALUE_WITHDRAWN, f"part {row.label}", detail)


def end_value(session: Session, person: Person, part_id: int, field: PartField) -> bool:
    """Close the current value of a field; whether there was one."""
    current = part_reads.current_value(session, part_id, field.value)
    if current is None:
        return False
    current.ended_at, current.ended_by = utc_now(), person.id
    session.flush()
    return True


def part_row(session: Session, part_id: int, *, lock: bool = False) -> PartRow:
    """The part; NotFoundError when there is none."""
    query = select(PartRow).where(PartRow.id == part_id)
    row = session.exec(query.with_for_update() if lock else query).one_or_none()
    if row is None:
        raise NotFoundError("There is no such part.")
    return row


def _check_version(row: PartRow, version: int | None) -> None:
    if version is not None and row.version != version:
        raise ConflictError(CHANGED)


def _checked(source: ValueSource) -> tuple[str, str]:
    reference, note = tidy_line(source.reference, field="reference"), tidy_line(source.note, field="note")
    if not reference and source.kind is not Kind.ENTERED:
        raise InvalidInputError("Name the document: maker, title, revision or date.", field="reference")
    if len(reference) > REFERENCE_LENGTH:
        raise InvalidInputError(f"A reference has at most {REFERENCE_LENGTH} characters.", field="reference")
    if len(note) > NOTE_LENGTH:
        raise InvalidInputError(f"A note has at most {NOTE_LENGTH} characters.", field="note")
    return reference, note


def _changed(session: Session, row: PartRow, field: PartField) -> None:
    row.version += 1
    session.flush()
    if field in (PartField.CLASSES, PartField.MOUNTING):
        row.class_text = facts_by_id(session, [row.id or 0])[row.id or 0].classes.words
        session.flush()
    staleness.part_changed(session, [row.id or 0])


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
