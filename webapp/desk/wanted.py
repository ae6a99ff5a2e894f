"""Data wanted: the few data that would settle most. A view of the open findings that lack one, nothing kept twice."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import sqlalchemy as sa
from sqlmodel import Session, col

from webapp.desk.kept import Kept
from webapp.desk.sheets import Cell
from webapp.desk.wanted_table import CLAIMS, Kind, WantedTable, read_table
from webapp.store import part_library
from webapp.store.cases import AssessmentCaseRow
from webapp.store.part_library import PartName
from webapp.store.products import ProductRow
from webapp.trade.facts import Claim, PartField
from webapp.trade.part_fields import RULES
from webapp.trade.part_keys import folded

_PART_FIELDS = frozenset(PartField)
_NOT_FOR_MAKERS = frozenset({PartField.SELF_HEATING_K, PartField.CURRENT_A, PartField.CLASSES, PartField.MOUNTING})
"""What follows from the circuit, or is to be looked up in the data sheet."""
SHEET_HEAD = ("Maker", "Part number", "Field", "Datum", "Unit", "How to answer", "Answer", "Source")
_ANSWERS = {
    PartField.OVEN: "yes or no",
    PartField.WASH: "yes or no",
    PartField.VACUUM: "yes or no",
    PartField.FINISH: "category of J-STD-609 (e3, e4 ...) or the metals (matte Sn, NiPdAu)",
    PartField.BALLS: "the alloy: SAC305, SAC105, SnPb, SnBi ...",
    PartField.MSL: "1, 2, 2a, 3 ...",
}


@dataclass(frozen=True, slots=True)
class Wanted:
    """One datum that is missing.

    ``part_id`` None: a datum of a product: of its board or environment, the sides of its parts, or (``claim`` set) one
    that a single declaration over its BOM would give for all ``parts``. ``field`` is set where it can be stated of the
    part. ``placements``: on how many it is open; ``freed``: on how many nothing else is open, so
    that this datum alone would settle them. ``products``: codes, sorted.
    """

    part_id: int | None
    claim: Claim | None
    parts: int
    label: str
    maker: str
    mpn: str
    need: str
    field: PartField | None
    datum: str
    unit: str
    placements: int
    freed: int
    products: tuple[str, ...]


def data_wanted(session: Session, product_id: int | None = None, *, same_today_too: bool = False) -> list[Wanted]:
    """What is missing in the candidate cases of one product, or of all; what frees most placements first.

    What is just as open today is left out unless ``same_today_too``: it does not stand between the product and its
    conversion, but a maker who is asked anyway may answer it as well. Over all products of a large site these are many:
    pages take the rows they show from ``wanted_table`` by ``read_wanted``.
    """
    return read_wanted(session, wanted_table(session, product_id, same_today_too=same_today_too))


def wanted_table(session: Session, product_id: int | None = None, *, same_today_too: bool = False) -> WantedTable:
    """The same as arrays. That over all products is kept until something is assessed."""
    if product_id is not None:
        return read_table(session, product_id, same_today_too=same_today_too)
    state = same_today_too, *_state(session)
    return _TABLES.get(session, state, lambda: read_table(session, None, same_today_too=same_today_too))


def read_wanted(session: Session, table: WantedTable, first: int = 0, last: int | None = None) -> list[Wanted]:
    """The rows from ``first`` up to but not ``last``."""
    rows = range(len(table))[first:last]
    names = part_library.names_of(session, {int(table.part[i]) for i in rows if table.kind[i] == Kind.PART})
    return [_wanted(table, i, names) for i in rows]


def _wanted(table: WantedTable, i: int, names: dict[int, PartName]) -> Wanted:
    kind, need = Kind(int(table.kind[i])), table.needs[table.need[i]]
    products = tuple(table.codes[place] for place in table.products[table.first[i] : table.last[i]])
    part = (
        names[int(table.part[i])] if kind is Kind.PART else PartName(products[0] if len(products) == 1 else "", "", "")
    )
    field = PartField(need) if kind is Kind.PART and need in _PART_FIELDS else None
    return Wanted(
        part_id=int(table.part[i]) if kind is Kind.PART else None,
        claim=CLAIMS[need] if kind is Kind.DECLARATION else None,
        parts=int(table.parts[i]),
        label=part.label,
        maker=part.maker,
        mpn=part.mpn,
        need=need,
        field=field,
        datum=table.words[kind is not Kind.PRODUCT, int(table.need[i])],
        unit=RULES[field].unit if field else "",
        placements=int(table.placements[i]),
        freed=int(table.freed[i]),
        products=products,
    )


@dataclass(frozen=True)
class Overview:
    """What a page of data wanted shows: all rows, the few that settle most, makers to ask with how many data."""

    table: WantedTable
    few: WantedTable
    makers: list[tuple[str, int]]


def wanted_overview(session: Session, product_id: int | None = None) -> Overview:
    """The overview of one product, or of all; the latter is kept until something is assessed."""
    if product_id is not None:
        return _overview(session, read_table(session, product_id, same_today_too=False))
    return _OVERVIEWS.get(session, _state(session), lambda: _overview(session, wanted_table(session)))


def _overview(session: Session, table: WantedTable) -> Overview:
    return Overview(table, table.few(), makers_in(session, table))


_TABLES: Kept[WantedTable] = Kept(2)
_OVERVIEWS: Kept[Overview] = Kept(1)


def _state(session: Session) -> tuple[object, ...]:
    """What changes with every assessment: as long as it is the same, so are the findings."""
    row = AssessmentCaseRow
    query = (
        sa.select(sa.func.count(), sa.func.sum(col(row.assessed_seq)), sa.func.max(col(row.assessed_at)))
        .join(ProductRow, col(ProductRow.id) == col(row.product_id))
        .where(col(row.retired_at).is_(None), col(ProductRow.archived_at).is_(None))
    )
    return tuple(session.connection().execute(query).one())


def makers_in(session: Session, table: WantedTable) -> list[tuple[str, int]]:
    """Makers of numbered parts for which something is missing, with how many data; the most first."""
    ids, counts = np.unique(_for_makers(table).part, return_counts=True)
    asked = dict(zip(ids.tolist(), counts.tolist(), strict=True))
    totals: dict[int, int] = {}
    for part_ids in part_library.part_ids_by_maker(session, asked):
        if its := [part_id for part_id in part_ids if part_id in asked]:
            totals[min(its)] = sum(asked[part_id] for part_id in its)
    names = part_library.names_of(session, totals)
    found = [(names[first].maker, count) for first, count in totals.items()]
    return sorted(found, key=lambda pair: (-pair[1], pair[0]))


def questions_to(session: Session, table: WantedTable, maker: str) -> list[Wanted]:
    """What is missing of one maker's parts."""
    ids = part_library.part_ids_of(session, maker_key=folded(maker))
    asked = _for_makers(table)
    return read_wanted(session, asked.where(np.isin(asked.part, ids)))


def _for_makers(table: WantedTable) -> WantedTable:
    suits = np.array([need not in _NOT_FOR_MAKERS for need in table.needs], dtype=np.bool_)
    singles = table.of(Kind.PART)
    return singles.where(suits[singles.need] if len(singles) else np.zeros(0, dtype=np.bool_))


def question_sheet(wanted: Sequence[Wanted], maker: str) -> list[tuple[Cell, ...]]:
    """The rows to send to one maker, under ``SHEET_HEAD``; the columns Answer and Source are for them to fill in.

    ``sheets.to_csv`` and ``sheets.to_xlsx`` make a file of them; ``answers.store_answers`` reads the CSV back. Which
    products use a part is nobody's business outside.
    """
    key = folded(maker)
    return [
        (
            item.maker,
            item.mpn,
            item.field.value,
            item.datum,
            item.unit,
            _ANSWERS.get(item.field, "a number, a range (240...245) or a bound (at least 240)"),
            "",
            "",
        )
        for item in wanted
        if _is_for_makers(item) and item.field and folded(item.maker) == key
    ]


def _is_for_makers(item: Wanted) -> bool:
    return item.field is not None and item.field not in _NOT_FOR_MAKERS and bool(item.mpn)
