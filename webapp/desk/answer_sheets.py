"""A question sheet: what else goes on it; when it is back, it is kept by its sha256 until it is taken over, and what of
it cannot be taken becomes a sheet to send once more."""

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import replace

from sqlmodel import Session

from webapp.desk.answers import RowProblem, check_answers
from webapp.desk.part_facts import facts_by_id
from webapp.desk.part_library import fields_used
from webapp.desk.sheets import Cell
from webapp.desk.wanted import SHEET_HEAD, Wanted
from webapp.errors import InvalidInputError, NotFoundError, UnreadableFileError
from webapp.intake.gate import read_tables
from webapp.settings import Settings
from webapp.store import files, part_reads
from webapp.store.engine import Database
from webapp.trade.classes import PartClass
from webapp.trade.facts import PartField
from webapp.trade.part_fields import RULES, relevant_fields

EXPECTED = "What was expected"
"""The head of the column that a sheet of refused rows has besides those of a question sheet."""
_SHA256 = re.compile(r"[0-9a-f]{64}")


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
    """The questions, after those on each part what no finding waits for, a check reads, matters to its kind, and is not
    stated.

    A maker who is asked about the part anyway finds it in the same data sheet.
    """
    by_part: dict[int, list[Wanted]] = {}
    for question in questions:
        if question.part_id is not None:
            by_part.setdefault(question.part_id, []).append(question)
    facts, values = facts_by_id(session, by_part), part_reads.current_values(session, by_part)
    used = fields_used()
    found = []
    for part_id, asked in by_part.items():
        settled = {question.need for question in asked} | {value.field for value in values.get(part_id, ())}
        relevant = relevant_fields(facts[part_id].classes)
        fields = (*_FURTHER, *(_OF_BALLS if facts[part_id].classes == PartClass.ARRAY else ()))
        further = [field for field in fields if field in used and field in relevant and field not in settled]
        found += [*asked, *(_question(asked[0], field) for field in further)]
    return found


def _question(of_part: Wanted, field: PartField) -> Wanted:
    rule = RULES[field]
    return replace(of_part, need=field.value, field=field, datum=rule.label, unit=rule.unit, placements=0, freed=0)


def keep_sheet(database: Database, settings: Settings, content: bytes, reference: str, filename: str = "") -> str:
    """Keep the sheet as CSV; its sha256. InvalidInputError (``file``, ``reference``) when it is none or is empty."""
    content = as_csv(content, filename)
    with database.read() as session:
        found = check_answers(session, content, reference)
    if not found.answers and not found.problems:
        raise InvalidInputError("No row of the sheet has an answer.", field="file")
    name = files.write_file(settings.files_dir, content)
    with database.command() as session:
        files.record_file(session, name, len(content))
    return name


def as_csv(content: bytes, filename: str = "") -> bytes:
    """The rows of the sheet with the answers, each where it stands, of a text or workbook of any kind.

    InvalidInputError (``file``) where the file is empty, damaged or no table.
    """
    try:
        tables = read_tables(content, filename or "answers")
    except UnreadableFileError as error:
        raise InvalidInputError(error.message, field="file") from error
    chosen = next((table for table in tables if table.rows and "Answer" in table.rows[0]), None)
    if chosen is None and len(tables) > 1:
        raise InvalidInputError("No sheet of this workbook has a column Answer in its first row.", field="file")
    rows = (chosen or tables[0]).rows if tables else []
    text = io.StringIO(newline="")
    csv.writer(text).writerows(rows)
    return text.getvalue().encode()


def sheet_content(session: Session, settings: Settings, name: str) -> bytes:
    """The bytes of a kept sheet; NotFoundError when there is none."""
    if not _SHA256.fullmatch(name) or files.size_of(session, name) is None:
        raise NotFoundError("There is no such sheet. Upload it again.")
    return files.read_file(settings.files_dir, name)


def refused_rows(problems: Sequence[RowProblem]) -> list[tuple[Cell, ...]]:
    """The rows that cannot be taken as they came, under ``SHEET_HEAD`` and ``EXPECTED``: to send back."""
    return [
        (*(problem.cells.get(name, "") for name in SHEET_HEAD), f"{problem.column}: {problem.message}")
        for problem in problems
    ]
