"""Data wanted as arrays: a large site lacks a hundred thousand data, of which a page shows a hundred.

A row is one datum: of a part over all its products, of many parts of one product by one declaration, or of a product.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray
from sqlmodel import Session

from webapp.desk.wanted_findings import NO_MEMBERS, CaseLacks, lacks_of
from webapp.trade.facts import Claim, PartField

Ints = NDArray[np.int64]

CLAIMS = {
    PartField.FINISH.value: Claim.LEAD_FREE,
    PartField.BALLS.value: Claim.LEAD_FREE,
    PartField.LIMIT_C.value: Claim.LIMIT_AT_LEAST,
    PartField.PASSES.value: Claim.PASSES_AT_LEAST,
    PartField.SELF_HEATING_K.value: Claim.SELF_HEATING_AT_MOST,
}
"""Datum -> what a declaration would have to say."""
_PART_FIELDS = frozenset(PartField)


class Kind(IntEnum):
    """What a datum belongs to."""

    DECLARATION = 0
    PRODUCT = 1
    PART = 2


@dataclass(frozen=True, slots=True)
class WantedTable:
    """Rows in the order of what frees most placements. ``products`` (positions in ``codes``, which are sorted) of row i
    are those from ``first[i]`` to ``last[i]``; ``need`` and ``words`` (what people call it) are given per kind."""

    codes: tuple[str, ...]
    needs: tuple[str, ...]
    words: dict[tuple[bool, int], str]
    kind: Ints
    part: Ints
    need: Ints
    placements: Ints
    freed: Ints
    parts: Ints
    first: Ints
    last: Ints
    products: Ints

    def __len__(self) -> int:
        return len(self.kind)

    def where(self, chosen: NDArray[np.bool_]) -> "WantedTable":
        """The rows for which ``chosen`` holds."""
        return self.take(np.flatnonzero(chosen))

    def take(self, rows: Ints) -> "WantedTable":
        """These rows, in this order."""
        return replace(
            self,
            kind=self.kind[rows],
            part=self.part[rows],
            need=self.need[rows],
            placements=self.placements[rows],
            freed=self.freed[rows],
            parts=self.parts[rows],
            first=self.first[rows],
            last=self.last[rows],
        )

    def of(self, kind: Kind) -> "WantedTable":
        """The rows of one kind."""
        return self.where(self.kind == kind)

    def ranked(self) -> "WantedTable":
        """The rows in their order."""
        lead = self.products[self.first] if len(self.products) else self.first
        return self.take(np.lexsort((self.need, self.part, lead, self.kind, -self.placements, -self.freed)))

    def few(self) -> "WantedTable":
        """Rows of one declaration, and of one datum of several products, put together; parts that such a declaration
        covers in all their products left out. A row put together has its products' sums and counts each part once."""
        declared = np.zeros((len(self.needs), len(self.codes)), dtype=np.bool_)
        claims = self.of(Kind.DECLARATION)
        declared[claims.need, claims.products[claims.first]] = True
        singles = self.of(Kind.PART)
        if len(singles):
            rows = np.repeat(np.arange(len(singles)), singles.last - singles.first)
            places = np.concatenate([[0], np.cumsum(singles.last - singles.first)[:-1]])
            held = np.arange(len(rows)) - places[rows] + singles.first[rows]
            covered = np.logical_and.reduceat(declared[singles.need[rows], singles.products[held]], places)
        else:
            covered = np.zeros(0, dtype=np.bool_)
        counts = np.bincount(singles.need, minlength=len(self.needs))
        together = [self._together(kind, counts) for kind in (Kind.DECLARATION, Kind.PRODUCT)]
        return _joined([singles.where(~covered), *together]).ranked()

    def _together(self, kind: Kind, part_counts: Ints) -> "WantedTable":
        rows = self.of(kind)
        if not len(rows):
            return rows
        # A row of these kinds has one product.
        held = rows.products[rows.first]
        order = np.lexsort((held, rows.need))
        needs, start, sizes = np.unique(rows.need[order], return_index=True, return_counts=True)
        several = sizes > 1
        parts = np.where(several & (kind is Kind.DECLARATION), part_counts[needs], rows.parts[order][start])
        return replace(
            rows,
            kind=np.full(len(needs), kind, dtype=np.int64),
            part=np.zeros(len(needs), dtype=np.int64),
            need=needs,
            placements=np.add.reduceat(rows.placements[order], start),
            freed=np.add.reduceat(rows.freed[order], start),
            parts=parts,
            first=start.astype(np.int64),
            last=(start + sizes).astype(np.int64),
            products=held[order],
        )


def _joined(tables: Sequence[WantedTable]) -> WantedTable:
    """One table of the rows of all, which share codes and needs."""
    shifts = np.cumsum([0, *(len(table.products) for table in tables)])
    moved = [
        replace(table, first=table.first + shift, last=table.last + shift)
        for table, shift in zip(tables, shifts, strict=False)
    ]
    return replace(
        tables[0],
        kind=np.concatenate([table.kind for table in moved]),
        part=np.concatenate([table.part for table in moved]),
        need=np.concatenate([table.need for table in moved]),
        placements=np.concatenate([table.placements for table in moved]),
        freed=np.concatenate([table.freed for table in moved]),
        parts=np.concatenate([table.parts for table in moved]),
        first=np.concatenate([table.first for table in moved]),
        last=np.concatenate([table.last for table in moved]),
        products=np.concatenate([table.products for table in moved]),
    )


def read_table(session: Session, product_id: int | None, *, same_today_too: bool) -> WantedTable:
    """What is missing in the candidate cases of one product or of all; of several cases of a product the most."""
    return table_of(lacks_of(session, product_id, same_today_too=same_today_too))


def table_of(cases: Sequence[tuple[str, CaseLacks]]) -> WantedTable:
    """The table of what cases lack, each with its product's code."""
    rows = [(code, lack) for code, lacks in cases for lack in lacks.findings]
    members = np.concatenate([NO_MEMBERS, *(lacks.members for _, lacks in cases)])
    count = np.array([lack.members for _, lack in rows], dtype=np.int64)
    codes = tuple(sorted({code for code, _ in rows}))
    needs = tuple(dict.fromkeys(lack.need for _, lack in rows))
    places, numbers = {code: i for i, code in enumerate(codes)}, {need: i for i, need in enumerate(needs)}
    product = np.array([places[code] for code, _ in rows], dtype=np.int64)
    need = np.array([numbers[lack.need] for _, lack in rows], dtype=np.int64)
    placements = np.array([lack.placements for _, lack in rows], dtype=np.int64)
    freed = np.array([lack.freed for _, lack in rows], dtype=np.int64)
    is_field = np.array([name in _PART_FIELDS for name in needs], dtype=np.bool_)
    is_claim = np.array([name in CLAIMS for name in needs], dtype=np.bool_)
    of_parts = is_field[need] & (count > 0) if len(rows) else np.zeros(0, dtype=np.bool_)
    words = {(bool(of_parts[i]), int(need[i])): lack.words for i, (_, lack) in reversed(list(enumerate(rows)))}
    empty = np.zeros(0, dtype=np.int64)
    blank = WantedTable(codes, needs, words, *[empty] * 9)
    key = members[:, 0] * (len(needs) * len(codes)) + np.repeat(need * len(codes) + product, count)
    of_part = np.repeat(of_parts, count)
    singles = _of_parts(blank, key[of_part], members[of_part, 1], members[of_part, 2])
    by_claim = of_parts & (count > 1) & (is_claim[need] if len(rows) else of_parts)
    found = [singles]
    for kind, which in ((Kind.DECLARATION, by_claim), (Kind.PRODUCT, ~of_parts)):
        values = (placements[which], freed[which], count[which])
        found.append(_of_products(blank, kind, need[which], product[which], values))
    return _joined(found).ranked()


def _highest(key: Ints, *values: Ints) -> tuple[Ints, list[Ints]]:
    """Each key once, ascending, with the highest of its values."""
    order = np.argsort(key, kind="stable")
    unique, start = np.unique(key[order], return_index=True)
    return unique, [np.maximum.reduceat(value[order], start) if len(start) else value for value in values]


def _of_parts(blank: WantedTable, key: Ints, placements: Ints, freed: Ints) -> WantedTable:
    """``key``: part, need and product in one number."""
    most, kinds = max(len(blank.codes), 1), max(len(blank.needs), 1)
    key, (concerned, free) = _highest(key, placements, freed)
    of_datum, start, sizes = np.unique(key // most, return_index=True, return_counts=True)
    if not len(of_datum):
        return blank
    return replace(
        blank,
        kind=np.full(len(of_datum), Kind.PART, dtype=np.int64),
        part=of_datum // kinds,
        need=of_datum % kinds,
        placements=np.add.reduceat(concerned, start),
        freed=np.add.reduceat(free, start),
        parts=np.ones(len(of_datum), dtype=np.int64),
        first=start.astype(np.int64),
        last=(start + sizes).astype(np.int64),
        products=key % most,
    )


def _of_products(blank: WantedTable, kind: Kind, need: Ints, product: Ints, values: tuple[Ints, ...]) -> WantedTable:
    most = max(len(blank.codes), 1)
    key, (placements, freed, parts) = _highest(need * most + product, *values)
    rows = np.arange(len(key), dtype=np.int64)
    return replace(
        blank,
        kind=np.full(len(key), kind, dtype=np.int64),
        part=np.zeros(len(key), dtype=np.int64),
        need=key // most,
        placements=placements,
        freed=freed,
        parts=parts,
        first=rows,
        last=rows + 1,
        products=key % most,
    )
