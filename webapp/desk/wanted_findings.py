"""The open findings that lack a datum, by case: those of a case are read again only when it was assessed since."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from threading import Lock
from typing import Any

import numpy as np
import sqlalchemy as sa
from numpy.typing import NDArray
from sqlmodel import Session, col

from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.part_reads import chunks
from webapp.store.products import ProductRow
from webapp.store.setups import RouteRow

Stamp = tuple[int | None, datetime | None]


@dataclass(frozen=True, slots=True)
class Lack:
    """A finding: the datum, its words, placements, those that it alone would free, how many parts it names."""

    need: str
    words: str
    placements: int
    freed: int
    members: int


@dataclass(frozen=True, slots=True)
class CaseLacks:
    """Findings of one case; ``members``: of one after the other a row a part, [part, placements, freed]."""

    findings: Sequence[Lack]
    members: NDArray[np.int64]


NO_MEMBERS = np.zeros((0, 3), dtype=np.int64)


def lacks_of(
    session: Session, product_id: int | None = None, *, same_today_too: bool = False
) -> list[tuple[str, CaseLacks]]:
    """Product's code and what is open, of every candidate case of one product or of all; what is as open today apart
    from the rest, if asked for."""
    cases = _assessed(session, product_id)
    url = str(session.connection().engine.url)
    with _LOCK:
        kept = _KEPT.setdefault(url, {})
        found = {case_id: kept[case_id] for case_id, _, stamp in cases if case_id in kept and kept[case_id][0] == stamp}
    # Read after the stamps: what has changed in between is read anew the next time.
    stamps = {case_id: stamp for case_id, _, stamp in cases if case_id not in found}
    found |= {case_id: (stamps[case_id], lacks) for case_id, lacks in _read(session, list(stamps)).items()}
    with _LOCK:
        if product_id is None:
            kept.clear()
        kept.update(found)
    return [(code, lacks) for case_id, code, _ in cases for lacks in found[case_id][1][: 2 if same_today_too else 1]]


_LOCK = Lock()
_KEPT: dict[str, dict[int, tuple[Stamp, tuple[CaseLacks, CaseLacks]]]] = {}
"""By database and case: its state, what it lacks on top of today, and what is as open today."""


def _assessed(session: Session, product_id: int | None) -> list[tuple[int, str, Stamp]]:
    """Id, product's code and state of the candidate cases that are assessed."""
    row = AssessmentCaseRow
    query = (
        sa.select(col(row.id), col(ProductRow.code), col(row.assessed_seq), col(row.assessed_at))
        .join(ProductRow, col(ProductRow.id) == col(row.product_id))
        .join(RouteRow, col(RouteRow.id) == col(row.route_id))
        .where(
            col(row.assessed_at).is_not(None),
            col(row.retired_at).is_(None),
            ~col(RouteRow.is_today),
            col(ProductRow.archived_at).is_(None),
        )
    )
    if product_id is not None:
        query = query.where(col(row.product_id) == product_id)
    found = session.connection().execute(query).all()
    return sorted((case_id or 0, code, (seq, at)) for case_id, code, seq, at in found)


def _read(session: Session, case_ids: Sequence[int]) -> dict[int, tuple[CaseLacks, CaseLacks]]:
    row = FindingRow
    columns: list[Any] = [row.case_id, row.same_as_today, row.need, row.missing, row.placements]
    columns.append(sa.cast(col(row.parts), sa.Text))
    rows: dict[tuple[int, bool], list[tuple[str, str, int, str]]] = {}
    for some in chunks(case_ids):
        query = (
            sa.select(*columns)
            .where(col(row.case_id).in_(some), col(row.need) != "", col(row.verdict) == "prove")
            .order_by(col(row.id))
        )
        for case_id, same, need, words, placements, parts in session.connection().execute(query):
            rows.setdefault((case_id, same), []).append((need, words, placements, parts))
    return {i: (_lacks(rows.get((i, False), ())), _lacks(rows.get((i, True), ()))) for i in case_ids}


def _lacks(rows: Sequence[tuple[str, str, int, str]]) -> CaseLacks:
    counts = [parts.count("[") - 1 for *_, parts in rows]
    members = members_in(parts for *_, parts in rows)
    owner = np.repeat(np.arange(len(rows)), counts)
    freed = np.bincount(owner, weights=members[:, 2], minlength=len(rows)).astype(np.int64).tolist()
    values = zip(rows, freed, counts, strict=True)
    return CaseLacks([Lack(need, words, some, free, n) for (need, words, some, _), free, n in values], members)


def members_in(texts: Iterable[str]) -> NDArray[np.int64]:
    """All members of some findings, [part, placements, freed], read from their JSON in one go."""
    numbers = ",".join(inner for text in texts if (inner := text.replace("[", "").replace("]", "").strip()))
    return np.fromstring(numbers, dtype=np.int64, sep=",").reshape(-1, 3) if numbers else NO_MEMBERS
