"""Data wanted: the few data that would settle most. A view of the open findings that lack one, nothing kept twice."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import Session, col, select

from webapp.desk.sheets import Cell
from webapp.store import part_reads
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.products import ProductRow
from webapp.store.setups import RouteRow
from webapp.trade.facts import PartField
from webapp.trade.part_fields import RULES
from webapp.trade.part_keys import folded

POSITION = "position"
_PART_FIELDS = frozenset(PartField)
SHEET_HEAD = ("Maker", "Part number", "Field", "Datum", "Unit", "How to answer", "Where used", "Answer", "Source")
_ANSWERS = {
    PartField.OVEN: "yes or no",
    PartField.FINISH: "J-STD-609 categories: e3, e4 ...",
    PartField.BALLS: "sac_high_silver, sac_low_silver, tin_copper_or_silver, tin_bismuth, tin_lead, high_lead",
    PartField.MSL: "1, 2, 2a, 3 ...",
}


@dataclass(frozen=True, slots=True)
class Wanted:
    """One datum that is missing.

    ``part_id`` None: a datum of a product (board, environment, or the sides of the parts). ``field`` is set where it
    can be stated of the part. ``placements``: on how many it is open; ``freed``: on how many nothing else is open, so
    that this datum alone would settle them. ``products``: codes, sorted.
    """

    part_id: int | None
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


def data_wanted(session: Session, product_id: int | None = None) -> list[Wanted]:
    """What is missing in the candidate cases of one product, or of all; what frees most placements first.

    What is just as open today is left out: it does not stand between the product and its conversion.
    """
    found = _Collected()
    for code, finding in _open_findings(session, product_id):
        found.add(code, finding)
    parts = part_reads.parts_by_id(session, (key[0] for key in found.placements if key[0]))
    wanted = []
    for (part_id, need, code), datum in found.datum.items():
        row = parts.get(part_id)
        field = PartField(need) if row is not None and need in _PART_FIELDS else None
        counts = found.placements[part_id, need, code]
        wanted.append(
            Wanted(
                part_id=part_id or None,
                label=row.label if row else code,
                maker=(row.maker or "") if row else "",
                mpn=(row.mpn or "") if row else "",
                need=need,
                field=field,
                datum=datum,
                unit=RULES[field].unit if field else "",
                placements=sum(concerned for concerned, _ in counts.values()),
                freed=sum(freed for _, freed in counts.values()),
                products=tuple(sorted(counts)),
            )
        )
    wanted.sort(key=lambda item: (-item.freed, -item.placements, item.label.casefold(), item.need))
    return wanted


def makers_to_ask(wanted: Sequence[Wanted]) -> list[tuple[str, int]]:
    """Makers of numbered parts for which something is missing, with how many data; the most first."""
    names: dict[str, str] = {}
    counts: dict[str, int] = {}
    for item in wanted:
        if item.field and item.mpn and (key := folded(item.maker)):
            names.setdefault(key, item.maker)
            counts[key] = counts.get(key, 0) + 1
    return sorted(((names[key], count) for key, count in counts.items()), key=lambda pair: (-pair[1], pair[0]))


def question_sheet(wanted: Sequence[Wanted], maker: str) -> list[tuple[Cell, ...]]:
    """The rows to send to one maker, under ``SHEET_HEAD``; the columns Answer and Source are for them to fill in.

    ``sheets.to_csv`` and ``sheets.to_xlsx`` make a file of them; ``answers.read_answers`` reads the CSV back.
    """
    key = folded(maker)
    return [
        (
            item.maker,
            item.mpn,
            item.field.value,
            item.datum,
            item.unit,
            _ANSWERS.get(item.field, "a number, a range (3...4) or a bound (at least 3)"),
            ", ".join(item.products),
            "",
            "",
        )
        for item in wanted
        if item.field and item.mpn and folded(item.maker) == key
    ]


def _open_findings(session: Session, product_id: int | None) -> list[tuple[str, FindingRow]]:
    query = (
        select(ProductRow.code, FindingRow)
        .join(AssessmentCaseRow, col(AssessmentCaseRow.id) == col(FindingRow.case_id))
        .join(ProductRow, col(ProductRow.id) == col(AssessmentCaseRow.product_id))
        .join(RouteRow, col(RouteRow.id) == col(AssessmentCaseRow.route_id))
        .where(
            FindingRow.need != "",
            FindingRow.verdict == "prove",
            ~col(FindingRow.same_as_today),
            ~col(RouteRow.is_today),
            col(AssessmentCaseRow.retired_at).is_(None),
            col(ProductRow.archived_at).is_(None),
        )
    )
    if product_id is not None:
        query = query.where(AssessmentCaseRow.product_id == product_id)
    return list(session.exec(query))


class _Collected:
    """Counts by (part or 0, datum, product for data of a product), then by product; of several cases the highest."""

    def __init__(self) -> None:
        self.placements: dict[tuple[int, str, str], dict[str, tuple[int, int]]] = {}
        self.datum: dict[tuple[int, str, str], str] = {}

    def add(self, code: str, finding: FindingRow) -> None:
        """Count one finding of the product ``code``."""
        if finding.need in _PART_FIELDS and finding.parts:
            for part_id, concerned, freed in finding.parts:
                self._count((part_id, finding.need, ""), code, finding.missing, concerned, freed)
        else:
            freed = sum(free for _, _, free in finding.parts)
            self._count((0, finding.need, code), code, finding.missing, finding.placements, freed)

    def _count(self, key: tuple[int, str, str], code: str, datum: str, concerned: int, freed: int) -> None:
        counts = self.placements.setdefault(key, {})
        before = counts.get(code, (0, 0))
        counts[code] = (max(before[0], concerned), max(before[1], freed))
        self.datum.setdefault(key, datum)
