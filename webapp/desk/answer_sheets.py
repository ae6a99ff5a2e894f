"""A question sheet: what else goes on it; and between its return and its taking over: kept by its sha256, looked at,
then stored."""

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlmodel import Session

from webapp.desk.answers import Answered, RowProblem, check_answers
from webapp.desk.part_facts import facts_by_id, value_of
from webapp.desk.wanted import Wanted
from webapp.errors import InvalidInputError, NotFoundError, UnreadableFileError
from webapp.intake.gate import read_tables
from webapp.settings import Settings
from webapp.store import files, part_reads
from webapp.store.engine import Database
from webapp.trade.classes import PartClass
from webapp.trade.facts import PartField
from webapp.trade.part_fields import RULES, relevant_fields, value_text

_WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Checked:
    """An answer beside what was stated of the field so far ("" for nothing)."""

    answer: Answered
    before: str


@dataclass(frozen=True, slots=True)
class Preview:
    """What a sheet would store, and why it cannot: with any problem nothing is stored."""

    answers: Sequence[Checked]
    problems: Sequence[RowProblem]


_FURTHER = (
    PartField.LIMIT_S,
    PartField.MATING_FORCE_N,
    PartField.WASH,
    PartField.VACUUM,
    PartField.STANDOFF_MM,
)
_OF_BALLS = (PartField.BALLS, PartField.BALL_DIAMETER_MM, PartField.PITCH_MM)
"""What decides how far the balls of an array dissolve."""


def with_further(session: Session, questions: Sequence[Wanted]) -> list[Wanted]:
    """The questions, after those on each part what no finding waits for, matters to its kind, and is not stated.

    A maker who is asked about the part anyway finds it in the same data sheet.
    """
    by_part: dict[int, list[Wanted]] = {}
    for question in questions:
        if question.part_id is not None:
            by_part.setdefault(question.part_id, []).append(question)
    facts, values = facts_by_id(session, by_part), part_reads.current_values(session, by_part)
    found = []
    for part_id, asked in by_part.items():
        settled = {question.need for question in asked} | {value.field for value in values.get(part_id, ())}
        relevant = relevant_fields(facts[part_id].classes)
        fields = (*_FURTHER, *(_OF_BALLS if facts[part_id].classes == PartClass.ARRAY else ()))
        further = [field for field in fields if field in relevant and field not in settled]
        found += [*asked, *(_question(asked[0], field) for field in further)]
    return found


def _question(of_part: Wanted, field: PartField) -> Wanted:
    rule = RULES[field]
    return replace(of_part, need=field.value, field=field, datum=rule.label, unit=rule.unit, placements=0, freed=0)


def keep_sheet(database: Database, settings: Settings, content: bytes, reference: str, filename: str = "") -> str:
    """Keep the sheet as it came, a workbook's as CSV; its sha256.

    InvalidInputError (``file``, ``reference``) when it is none or cannot be read.
    """
    content = _as_csv(content, filename)
    with database.read() as session:
        answers, problems = check_answers(session, content, reference)
    if not answers and not problems:
        raise InvalidInputError("No row of the sheet has an answer.", field="file")
    name = files.write_file(settings.files_dir, content)
    with database.command() as session:
        files.record_file(session, name, len(content))
    return name


def _as_csv(content: bytes, filename: str) -> bytes:
    """The rows of a workbook's sheet, each where it stands; text as it is."""
    if not content.startswith(_WORKBOOKS):
        return content
    try:
        sheets = read_tables(content, filename or "answers.xlsx")
    except UnreadableFileError as error:
        raise InvalidInputError(error.message, field="file") from error
    chosen = next((sheet for sheet in sheets if sheet.rows and "Answer" in sheet.rows[0]), None)
    if chosen is None:
        raise InvalidInputError("No sheet of this workbook has a column Answer in its first row.", field="file")
    text = io.StringIO(newline="")
    csv.writer(text).writerows(chosen.rows)
    return text.getvalue().encode()


def sheet_content(session: Session, settings: Settings, name: str) -> bytes:
    """The bytes of a kept sheet; NotFoundError when there is none."""
    if not _SHA256.fullmatch(name) or files.size_of(session, name) is None:
        raise NotFoundError("There is no such sheet. Upload it again.")
    return files.read_file(settings.files_dir, name)


def preview(session: Session, content: bytes, reference: str) -> Preview:
    """What the sheet says, without storing anything; errors as ``answers.check_answers``."""
    answers, problems = check_answers(session, content, reference)
    stated = {
        (row.part_id, row.field): row
        for rows in part_reads.current_values(session, {answer.part_id for answer in answers}).values()
        for row in rows
    }
    checked = []
    for answer in answers:
        row = stated.get((answer.part_id, answer.field))
        checked.append(Checked(answer, value_text(answer.field, value_of(row)) if row else ""))
    return Preview(checked, problems)
