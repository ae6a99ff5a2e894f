"""Data wanted: the few data that would settle most. A view of the open findings that lack one, nothing kept twice."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import Session, col, select

from webapp.desk.sheets import Cell
from webapp.store import part_reads
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.products import ProductRow
from webapp.store.setups import RouteRow
from webapp.trade.facts import Claim, PartField
from webapp.trade.part_fields import RULES
from webapp.trade.part_keys import folded

_OF_PRODUCT, _OF_BOM = 0, -1
"""In place of a part: a datum of the product, or one that a declaration over its BOM would give."""
_PART_FIELDS = frozenset(PartField)
_CLAIMS = {
    PartField.FINISH.value: Claim.LEAD_FREE,
    PartField.BALLS.value: Claim.LEAD_FREE,
    PartField.LIMIT_C.value: Claim.LIMIT_AT_LEAST,
    PartField.PASSES.value: Claim.PASSES_AT_LEAST,
    PartField.SELF_HEATING_K.value: Claim.SELF_HEATING_AT_MOST,
}
_NOT_FOR_MAKERS = frozenset({PartField.SELF_HEATING_K, PartField.CLASSES, PartField.MOUNTING})
"""What follows from the circuit, or is to be looked up in the data sheet."""
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
    conversion, but a maker who is asked anyway may answer it as well.
    """
    found = _Collected()
    for code, finding in _open_findings(session, product_id, same_today_too=same_today_too):
        found.add(code, finding)
    parts = part_reads.parts_by_id(session, (key[0] for key in found.placements if key[0] > 0))
    wanted = []
    for (part_id, need, code), datum in found.datum.items():
        row = parts.get(part_id)
        field = PartField(need) if row is not None and need in _PART_FIELDS else None
        counts = found.placements[part_id, need, code]
        wanted.append(
            Wanted(
                part_id=part_id if part_id > 0 else None,
                claim=_CLAIMS[need] if part_id == _OF_BOM else None,
                parts=found.parts[part_id, need, code],
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
        if _is_for_makers(item) and (key := folded(item.maker)):
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
        if _is_for_makers(item) and item.field and folded(item.maker) == key
    ]


def _is_for_makers(item: Wanted) -> bool:
    return item.field is not None and item.field not in _NOT_FOR_MAKERS and bool(item.mpn)


def _open_findings(session: Session, product_id: int | None, *, same_today_too: bool) -> list[tuple[str, FindingRow]]:
    query = (
        select(ProductRow.code, FindingRow)
        .join(AssessmentCaseRow, col(AssessmentCaseRow.id) == col(FindingRow.case_id))
        .join(ProductRow, col(ProductRow.id) == col(AssessmentCaseRow.product_id))
        .join(RouteRow, col(RouteRow.id) == col(AssessmentCaseRow.route_id))
        .where(
            FindingRow.need != "",
            FindingRow.verdict == "prove",
            ~col(RouteRow.is_today),
            col(AssessmentCaseRow.retired_at).is_(None),
            col(ProductRow.archived_at).is_(None),
        )
    )
    if not same_today_too:
        query = query.where(~col(FindingRow.same_as_today))
    if product_id is not None:
        query = query.where(AssessmentCaseRow.product_id == product_id)
    return list(session.exec(query))


class _Collected:
    """Counts by (part, datum, product where no single part is meant), then by product; of several cases the most."""

    def __init__(self) -> None:
        self.placements: dict[tuple[int, str, str], dict[str, tuple[int, int]]] = {}
        self.datum: dict[tuple[int, str, str], str] = {}
        self.parts: dict[tuple[int, str, str], int] = {}

    def add(self, code: str, finding: FindingRow) -> None:
        """Count one finding of the product ``code``."""
        freed = sum(free for _, _, free in finding.parts)
        total = (finding.placements, freed, len(finding.parts))
        if finding.need not in _PART_FIELDS or not finding.parts:
            self._count((_OF_PRODUCT, finding.need, code), code, finding.missing, *total)
            return
        for part_id, concerned, free in finding.parts:
            self._count((part_id, finding.need, ""), code, finding.missing, concerned, free, 1)
        if len(finding.parts) > 1 and finding.need in _CLAIMS:
            self._count((_OF_BOM, finding.need, code), code, finding.missing, *total)

    def _count(self, key: tuple[int, str, str], code: str, datum: str, concerned: int, freed: int, parts: int) -> None:
        counts = self.placements.setdefault(key, {})
        self.parts[key] = max(self.parts.get(key, 0), parts)
        before = counts.get(code, (0, 0))
        counts[code] = (max(before[0], concerned), max(before[1], freed))
        self.datum.setdefault(key, datum)
