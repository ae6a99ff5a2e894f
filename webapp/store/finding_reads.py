"""Queries on findings for lists: of all of them only what is counted and filtered by, whole rows only of what is shown.

A finding of a long list names thousands of designators, lines and parts, so a whole row is heavy.
"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import select as select_columns
from sqlmodel import Session, col, select

from webapp.store.cases import FindingRow
from webapp.store.part_reads import chunks


class FindingBrief(NamedTuple):
    """What a finding is counted and filtered by."""

    id: int
    check: str
    verdict: str
    need: str
    missing: str
    same_as_today: bool


def briefs_of(session: Session, case_id: int) -> list[FindingBrief]:
    """The findings of a case, gravest first."""
    row = FindingRow
    columns = [col(getattr(row, name)) for name in FindingBrief._fields]
    query = select_columns(*columns).where(col(row.case_id) == case_id).order_by(col(row.position))
    return [FindingBrief(*values) for values in session.connection().execute(query)]


def texts_of(session: Session, case_id: int) -> list[tuple[int, str, tuple[str, ...]]]:
    """Id, check and all words of every finding of a case, designators included: what a search looks at."""
    row = FindingRow
    columns: tuple[Any, ...] = (row.id, row.check, row.title, row.sentence, row.step_title, row.missing, row.refdes)
    query = select_columns(*columns).where(col(row.case_id) == case_id)
    return [
        (finding_id, check, (*texts, *refdes))
        for finding_id, check, *texts, refdes in session.connection().execute(query)
    ]


def findings_by_id(session: Session, ids: Sequence[int]) -> list[FindingRow]:
    """Whole findings, in the order of ``ids``."""
    found: dict[int | None, FindingRow] = {}
    for some in chunks(ids):
        found |= {row.id: row for row in session.exec(select(FindingRow).where(col(FindingRow.id).in_(some)))}
    return [found[finding_id] for finding_id in ids if finding_id in found]
