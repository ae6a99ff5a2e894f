"""A question sheet that came back: its answers as sourced values, all or none."""

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sqlmodel import Session

from webapp.desk.parts import ValueSource, state_value
from webapp.desk.sheets import unguarded
from webapp.desk.wanted import SHEET_HEAD
from webapp.errors import InvalidInputError, MeltlineError
from webapp.store import part_reads
from webapp.store.parts import REFERENCE_LENGTH
from webapp.trade.facts import PartField
from webapp.trade.part_fields import parse_value
from webapp.trade.part_keys import part_key
from webapp.trade.people import Person
from webapp.trade.sources import Kind
from webapp.trade.typed_text import tidy_line

MOST_ROWS = 20_000
_NEEDED = ("Maker", "Part number", "Field", "Answer")


@dataclass(frozen=True, slots=True)
class RowProblem:
    """What is wrong with one row (1 is the header) and in which column."""

    row: int
    column: str
    message: str


class AnswersError(InvalidInputError):
    """Rows of the sheet cannot be taken; nothing was. ``problems`` lists them all."""

    code = "answers_refused"

    def __init__(self, problems: list[RowProblem]) -> None:
        first = problems[0]
        more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
        super().__init__(f"Row {first.row}, {first.column}: {first.message}{more}", field="file")
        self.problems = problems


@dataclass(frozen=True, slots=True)
class Answered:
    """One answer: row of the sheet, the part and its number, the field, the echo of the value, and its document."""

    row: int
    part_id: int
    mpn: str
    field: PartField
    typed: str
    echo: str
    reference: str


def check_answers(session: Session, content: bytes, reference: str) -> tuple[list[Answered], list[RowProblem]]:
    """What a filled-in CSV sheet says, and what is wrong with it; stores nothing. Rows without an answer are passed
    over.

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
    problems: list[RowProblem] = []
    answered: list[Answered] = []
    seen: set[tuple[int, str]] = set()
    for number, row in rows:
        try:
            found = _answer(number, row, ids.get(keys[number]), reference)
            if (found.part_id, found.field) in seen:
                raise _CellError("Answer", f"{found.mpn} answers this a second time.")
        except _CellError as error:
            problems.append(RowProblem(number, error.column, error.message))
        else:
            seen.add((found.part_id, found.field))
            answered.append(found)
    return answered, problems


def read_answers(session: Session, person: Person, content: bytes, reference: str) -> list[Answered]:
    """State every answer of a filled-in CSV sheet as declared by the maker.

    AnswersError lists every row that cannot be taken, otherwise errors are those of ``check_answers``; run it in one
    transaction, so that then nothing is stored.
    """
    answered, problems = check_answers(session, content, reference)
    if problems:
        raise AnswersError(problems)
    for answer in answered:
        source = ValueSource(Kind.DECLARATION, answer.reference)
        state_value(session, person, answer.part_id, answer.field, answer.typed, source)
    return answered


class _CellError(Exception):
    def __init__(self, column: str, message: str) -> None:
        super().__init__(message)
        self.column, self.message = column, message


def _answer(number: int, row: Mapping[str, str], part_id: int | None, reference: str) -> Answered:
    if part_id is None:
        raise _CellError("Part number", f"there is no part {row['Part number']} of {row['Maker'] or 'no maker'} here.")
    if row["Field"] not in set(PartField):
        raise _CellError("Field", f"“{row['Field']}” is no field; leave this column as it was sent.")
    field = PartField(row["Field"])
    try:
        echo = parse_value(field, row["Answer"]).echo
    except MeltlineError as error:
        raise _CellError("Answer", error.message) from error
    try:
        source = tidy_line(row.get("Source") or reference, field="Source")[:REFERENCE_LENGTH]
    except InvalidInputError as error:
        raise _CellError("Source", error.message) from error
    return Answered(number, part_id, row["Part number"], field, row["Answer"], echo, source)


def _rows(content: bytes) -> Iterator[tuple[int, dict[str, str]]]:
    text = _text(content)
    head_line = text.partition("\n")[0]
    delimiter = max(",;\t", key=head_line.count)
    reader = csv.reader(io.StringIO(text), delimiter=delimiter)
    try:
        table = list(reader)
    except csv.Error as error:
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


def _text(content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        # What spreadsheets of western Europe save when asked for CSV.
        return content.decode("cp1252", errors="replace")
