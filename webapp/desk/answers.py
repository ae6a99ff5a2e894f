"""A question sheet that came back: its answers as sourced values; rows that cannot be taken are told one by one."""

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sqlmodel import Session

from webapp.desk.part_facts import facts_by_id
from webapp.desk.part_sizes import SIZES, size_contradiction
from webapp.desk.parts import ValueSource, is_stated, state_value
from webapp.desk.sheets import unguarded
from webapp.desk.wanted import SHEET_HEAD
from webapp.errors import InvalidInputError, MeltlineError
from webapp.store import part_reads
from webapp.store.parts import REFERENCE_LENGTH, PartValueRow
from webapp.trade.answer_words import plain_answer
from webapp.trade.facts import PartField
from webapp.trade.part_fields import parse_value
from webapp.trade.part_keys import part_key
from webapp.trade.people import Person
from webapp.trade.ranges import Span
from webapp.trade.sources import Kind
from webapp.trade.typed_text import tidy_line

MOST_ROWS = 20_000
_NEEDED = ("Maker", "Part number", "Field", "Answer")


@dataclass(frozen=True, slots=True)
class Answered:
    """One answer: row of the sheet (1 is the header), the part and its number, the field, what is written and what it
    is read as (``plain``, for ``parse_value``), its value and echo, its document; ``before``: what is stated so far."""

    row: int
    part_id: int
    mpn: str
    field: PartField
    written: str
    plain: str
    value: Span | int
    echo: str
    reference: str
    before: PartValueRow | None

    @property
    def source(self) -> ValueSource:
        """Where the value comes from."""
        return ValueSource(Kind.DECLARATION, self.reference)

    @property
    def is_new(self) -> bool:
        """Whether that is not stated already, from the same document."""
        return not is_stated(self.before, self.value, self.source)


@dataclass(frozen=True, slots=True)
class RowProblem:
    """Why a row cannot be taken: in which column, what stands there and what was expected; ``cells`` by column."""

    row: int
    column: str
    message: str
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Reading:
    """What a sheet says: answers, rows that cannot be taken, and how many say that they have no answer ("n/a")."""

    answers: list[Answered]
    problems: list[RowProblem]
    unanswered: int

    @property
    def new(self) -> list[Answered]:
        """The answers that say anything new."""
        return [answer for answer in self.answers if answer.is_new]

    @property
    def same(self) -> int:
        """How many are stated already, from the same document."""
        return len(self.answers) - len(self.new)


def check_answers(session: Session, content: bytes, reference: str) -> Reading:
    """What a filled-in CSV sheet (UTF-8, commas) says, and what is wrong with it; stores nothing. Rows without an
    answer are passed over.

    ``reference`` names the sheet or letter and stands for rows whose column Source is empty. InvalidInputError
    (``file``, ``reference``) when it is no such sheet, or the document is not named.
    """
    reference = tidy_line(reference, field="reference")
    if not reference or len(reference) > REFERENCE_LENGTH:
        raise InvalidInputError(
            "Say what the answers stand in: the maker's letter or mail, its date.", field="reference"
        )
    rows = [(number, row) for number, row in _rows(content) if row["Answer"]]
    keys = {number: part_key(row["Maker"], row["Part number"]) for number, row in rows}
    ids = part_reads.ids_by_key(session, keys.values())
    stated = {
        (row.part_id, row.field): row
        for rows in part_reads.current_values(session, ids.values()).values()
        for row in rows
    }
    answers: list[Answered] = []
    problems: list[RowProblem] = []
    unanswered = 0
    seen: set[tuple[int, str]] = set()
    for number, row in rows:
        try:
            answer = _answer(number, row, ids.get(keys[number]), reference, stated)
            if answer is not None and (answer.part_id, answer.field) in seen:
                raise _CellError("Answer", f"{answer.mpn} answers this a second time; leave one of the rows.")
        except _CellError as error:
            problems.append(RowProblem(number, error.column, error.message, row))
            continue
        if answer is None:
            unanswered += 1
        else:
            seen.add((answer.part_id, answer.field))
            answers.append(answer)
    kept, contradictions = _consistent(session, answers, dict(rows))
    return Reading(kept, sorted([*problems, *contradictions], key=lambda problem: problem.row), unanswered)


def store_answers(session: Session, person: Person, content: bytes, reference: str) -> Reading:
    """State every answer of a sheet that can be taken and says anything new, as declared by the maker; what was read.

    InvalidInputError as of ``check_answers``, and where nothing can be taken; run it in one transaction.
    """
    found = check_answers(session, content, reference)
    if not found.answers:
        raise InvalidInputError("No row of the sheet can be taken over.", field="file")
    for answer in found.new:
        state_value(session, person, answer.part_id, answer.field, answer.plain, answer.source, written=answer.written)
    return found


def _consistent(
    session: Session, answers: list[Answered], rows: Mapping[int, Mapping[str, str]]
) -> tuple[list[Answered], list[RowProblem]]:
    """The answers without those that cannot be true with the other sizes of their part."""
    sized = {answer.part_id for answer in answers if answer.field in SIZES}
    facts = facts_by_id(session, sized)
    left, problems = list(answers), []
    for part_id in sized:
        while (wrong := size_contradiction(facts[part_id], _values(left, part_id))) is not None:
            (blamed,) = (answer for answer in left if (answer.part_id, answer.field) == (part_id, wrong[0]))
            left.remove(blamed)
            problems.append(RowProblem(blamed.row, "Answer", wrong[1], rows[blamed.row]))
    return left, problems


def _values(answers: list[Answered], part_id: int) -> dict[PartField, Span | int]:
    return {answer.field: answer.value for answer in answers if answer.part_id == part_id}


class _CellError(Exception):
    def __init__(self, column: str, message: str) -> None:
        super().__init__(message)
        self.column, self.message = column, message


def _answer(
    number: int,
    row: Mapping[str, str],
    part_id: int | None,
    reference: str,
    stated: Mapping[tuple[int, str], PartValueRow],
) -> Answered | None:
    """None for a row that says it has no answer."""
    if row["Field"] not in set(PartField):
        raise _CellError("Field", f"“{row['Field']}” is no field; leave this column as it was sent.")
    field = PartField(row["Field"])
    try:
        plain = plain_answer(field, row["Answer"])
        if not plain:
            return None
        typed = parse_value(field, plain)
    except MeltlineError as error:
        raise _CellError("Answer", error.message) from error
    if part_id is None:
        raise _CellError(
            "Part number",
            f"There is no part {row['Part number'] or 'without a number'} of {row['Maker'] or 'no maker'} here; leave"
            " maker and number as they were sent.",
        )
    try:
        source = tidy_line(row.get("Source") or reference, field="Source")[:REFERENCE_LENGTH]
    except InvalidInputError as error:
        raise _CellError("Source", error.message) from error
    before = stated.get((part_id, field))
    return Answered(
        number, part_id, row["Part number"], field, row["Answer"], plain, typed.value, typed.echo, source, before
    )


def _rows(content: bytes) -> Iterator[tuple[int, dict[str, str]]]:
    try:
        table = list(csv.reader(io.StringIO(content.decode("utf-8-sig"))))
    except (UnicodeDecodeError, csv.Error) as error:
        raise InvalidInputError(f"This is no CSV file: {error}.", field="file") from error
    if len(table) > MOST_ROWS:
        raise InvalidInputError(f"The sheet has more than {MOST_ROWS:,} rows.", field="file")
    head = [cell.strip() for cell in table[0]] if table else []
    missing = [name for name in _NEEDED if name not in head]
    if missing:
        raise InvalidInputError(
            f"This is no question sheet: the columns {', '.join(missing)} are missing; there should be "
            f"{', '.join(SHEET_HEAD)}.",
            field="file",
        )
    for number, cells in enumerate(table[1:], start=2):
        padded = [*cells, *[""] * (len(head) - len(cells))]
        yield number, {name: unguarded(cell.strip()) for name, cell in zip(head, padded, strict=False)}
