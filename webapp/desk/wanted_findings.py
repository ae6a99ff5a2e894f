"""The open findings that lack a datum, by case: those of a case are read again only when it was assessed since."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from threading import Lock

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
    """A finding: the datum, its words, placements, whether it is as open today, how many ``members`` of its case are
    its own."""

    need: str
    words: str
    placements: int
    same: bool
    members: int


@dataclass(frozen=True, slots=True)
class CaseLacks:
    """The findings of one case; ``members``: of one after the other a row a part, [part, placements, freed]."""

    findings: Sequence[Lack]
    members: NDArray[np.int64]


def lacks_of(session: Session, product_id: int | None = None) -> list[tuple[str, CaseLacks]]:
    """Product's code and what is open, of every candidate case of one product or of all."""
    cases = _assessed(session, product_id)
    url = str(session.connection().engine.url)
    with _LOCK:
        kept = _KEPT.setdefault(url, {})
        found = {case_id: kept[case_id] for case_id, _, stamp in cases if kept.get(case_id, (None,))[0] == stamp}
    # Read after the stamps: what has changed in between is read anew the next time.
    stamps = {case_id: stamp for case_id, _, stamp in cases if case_id not in found}
    found |= {case_id: (stamps[case_id], lacks) for case_id, lacks in _read(session, list(stamps)).items()}
    with _LOCK:
        if product_id is None:
            kept.clear()
        kept.update(found)
    return [(code, found[case_id][1]) for case_id, code, _ in cases]


_LOCK = Lock()
_KEPT: dict[str, dict[int, tuple[Stamp, CaseLacks]]] = {}


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
        .order_by(col(row.id))
    )
    if product_id is not None:
        query = query.where(col(row.product_id) == product_id)
    return [(case_id or 0, code, (seq, at)) for case_id, code, seq, at in session.connection().execute(query)]


def _read(session: Session, case_ids: Sequence[int]) -> dict[int, CaseLacks]:
    row = FindingRow
    rows: dict[int, list[tuple[Lack, str]]] = {case_id: [] for case_id in case_ids}
    for some in chunks(case_ids):
        query = (
            sa.select(
                col(row.case_id),
                col(row.need),
                col(row.missing),
                col(row.placements),
                col(row.same_as_today),
                sa.cast(col(row.parts), sa.Text),
            )
            .where(col(row.case_id).in_(some), col(row.need) != "", col(row.verdict) == "prove")
            .order_by(col(row.id))
        )
        for case_id, need, words, placements, same, parts in session.connection().execute(query):
            rows[case_id].append((Lack(need, words, placements, same, parts.count("[") - 1), parts))
    return {
        case_id: CaseLacks([lack for lack, _ in found], members_in(parts for _, parts in found))
        for case_id, found in rows.items()
    }


def members_in(texts: Iterable[str]) -> NDArray[np.int64]:
    """All members of some findings, [part, placements, freed], read from their JSON in one go."""
    numbers = ",".join(inner for text in texts if (inner := text.replace("[", "").replace("]", "").strip()))
    if not numbers:
        return np.zeros((0, 3), dtype=np.int64)
    return np.fromstring(numbers, dtype=np.int64, sep=",").reshape(-1, 3)
