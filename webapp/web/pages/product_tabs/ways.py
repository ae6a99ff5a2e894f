"""What single change would clear a finding: a part of its page, loaded when it is asked for, or a page of its own."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.checks.declare import registry
from webapp.checks.findings import Finding
from webapp.checks.verdicts import Verdict
from webapp.desk import cases
from webapp.desk.ways import FindingWays, finding_ways
from webapp.errors import NotFoundError
from webapp.planning.changes import Change, Place
from webapp.planning.compare import COUNTED, Way
from webapp.planning.ways import Ways
from webapp.trade.people import Role
from webapp.web.deps import CurrentPerson, Reads
from webapp.web.numbers import RowId
from webapp.web.pages.product_tabs.common import Shown, load_product
from webapp.web.pages.product_tabs.finding_view import FindingEntry, finding_entries
from webapp.web.pages.product_tabs.route_edit import edit_address
from webapp.web.product_tabs import Tab
from webapp.web.rendering import render, wants_fragment

router = APIRouter(prefix="/products")


@dataclass(frozen=True, slots=True)
class Named:
    """A finding that a change opens or clears besides, with its verdict; ``was_gain``: a gain is lost by it."""

    verdict: str
    check: str
    about: str
    sentence: str
    was_gain: bool = False


@dataclass(frozen=True, slots=True)
class WayRow:
    """A change as a row. ``left``: the gravest verdict left, "" where the finding is cleared; ``counts``: verdict,
    before, after; ``readiness``: share before and after; ``link``: words and address of where it is made."""

    words: str
    left: str
    counts: Sequence[tuple[str, int, int]]
    readiness: tuple[float | None, float | None]
    opens: Sequence[Named]
    more_opens: int
    clears: Sequence[Named]
    clear_count: int
    link: tuple[str, str] | None


@router.get("/{code:path}/findings/{finding_id}/ways", response_class=HTMLResponse)
def ways_page(request: Request, person: CurrentPerson, reads: Reads, code: str, finding_id: RowId) -> HTMLResponse:
    """The ways for one finding."""
    with reads() as session:
        shown = load_product(session, code)
        row = cases.finding_by_id(session, finding_id)
        case = next((entry for entry in shown.cases if entry.id == row.case_id), None)
        if case is None:
            raise NotFoundError("The product has no such finding: another revision or route may have taken its place.")
        found = finding_ways(session, finding_id)
        (entry,) = finding_entries(session, shown, case, [row])
    links = _Links(shown, entry, found, may_edit=person.has(Role.ENGINEER))
    context: dict[str, Any] = {
        **shown.context(Tab.FINDINGS, case),
        "case": case,
        "entry": entry,
        "row": row,
        "is_there": found.ways is not None,
        "is_current": found.is_current,
        "is_fragment": wants_fragment(request),
        **_rows(found.ways, links),
    }
    template = "findings/_ways.html" if context["is_fragment"] else "findings/ways.html"
    return render(request, template, context)


def _rows(ways: Ways | None, links: "_Links") -> dict[str, Any]:
    if ways is None:
        return {"clearing": [], "others": [], "today": None}
    return {
        "clearing": [_row(way, links) for way in ways.clearing],
        "others": [_row(way, links) for way in ways.others],
        "today": _row(ways.today, links) if ways.today else None,
    }


def _row(way: Way, links: "_Links") -> WayRow:
    return WayRow(
        words=way.change.words,
        left="" if way.is_clear else way.left.key,
        counts=[(verdict.key, way.before.counts[verdict], way.after.counts[verdict]) for verdict in COUNTED],
        readiness=(way.before.readiness, way.after.readiness),
        opens=[_named(opened.finding, was_gain=opened.was_gain) for opened in way.opens],
        more_opens=way.open_count - len(way.opens),
        clears=[_named(finding) for finding in way.clears],
        clear_count=way.clear_count,
        link=links.of(way.change),
    )


def _named(finding: Finding, *, was_gain: bool = False) -> Named:
    title = registry()[finding.check].title
    return Named(Verdict(finding.verdict).key, title, finding.title, finding.sentence, was_gain)


@dataclass(frozen=True, slots=True)
class _Links:
    """Where a change is made."""

    shown: Shown
    entry: FindingEntry
    found: FindingWays
    may_edit: bool

    def of(self, change: Change) -> tuple[str, str] | None:
        """Words and address; None where nobody makes it, or not this person."""
        address = self.shown.address
        if change.place is Place.TODAY:
            return "Compare the routes", f"{address}/route"
        if change.place is Place.DATUM and self.entry.enter:
            return self.entry.enter
        if not self.may_edit:
            return None
        if change.place in (Place.ROUTE, Place.DATUM):
            return self._route(change)
        if change.place is Place.SETUP:
            return "Change the setup", f"{address}/setup#f-{change.field}"
        if change.place is Place.OTHER_PART:
            return "Upload a BOM with the other part", f"/uploads/new?product={quote(self.shown.product.code)}"
        if change.place is Place.APPROVALS:
            return "Approve parts on the BOM", f"{address}?q={quote(self.entry.parts[0].label)}"
        return self._part(change)

    def _route(self, change: Change) -> tuple[str, str] | None:
        """The form of the route with the change in it; nothing for a change that the route does not hold."""
        if change.case.route.steps == self.found.route.route.steps:
            return None
        return "Change the route", edit_address(self.shown.address, self.found.route, change.case.route)

    def _part(self, change: Change) -> tuple[str, str] | None:
        parts = self.entry.parts
        if len(parts) != 1:
            return "Change it part by part", f"{self.entry.href}#parts"
        return "Change it at the part", f"/parts/{parts[0].id}" + (f"?field={change.field}" if change.field else "")
