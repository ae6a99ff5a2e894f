"""All alloys of the site on one axis of temperature, and the same as a file."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse

from webapp.desk import sheets
from webapp.desk.alloy_facts import AlloyFacts, facts_of
from webapp.desk.site import site_of
from webapp.trade.alloys import Alloy
from webapp.trade.elements import ELEMENTS
from webapp.trade.figures import CURRENCY
from webapp.trade.people import Role
from webapp.web.deps import CurrentPerson, Reads
from webapp.web.downloads import Format
from webapp.web.lists import as_file
from webapp.web.pages.alloys.drawing import melting_bar, temperature_axis
from webapp.web.paging import View, chosen, chosen_sort
from webapp.web.rendering import render

router = APIRouter(prefix="/alloys")

HEAD = (
    "Alloy", "Name", "Composition wt%", "Solidus °C", "99 % liquid °C", "Matrix liquidus °C", "Last solid gone °C",
    "Last solid", "Listed solidus °C", "Listed liquidus °C", "Density g/cm3", f"Metal value {CURRENCY} per kg",
    "Melting from", "Source of the listed solidus", "Source of the listed liquidus",
)  # fmt: skip


class Show(StrEnum):
    """Which alloys are shown."""

    ALL = "all"
    LOW = "low"
    LEAD_FREE = "lead-free"
    OWN = "own"
    LISTED = "listed"


SHOW_NAMES = {
    Show.ALL: "All alloys",
    Show.LOW: "Low-temperature",
    Show.LEAD_FREE: "Without lead",
    Show.OWN: "The site's own",
    Show.LISTED: "Not calculated",
}
_SHOWS: dict[Show, Callable[[AlloyFacts], bool]] = {
    Show.ALL: lambda _: True,
    Show.LOW: lambda facts: facts.alloy.low_temperature,
    Show.LEAD_FREE: lambda facts: not facts.alloy.holds_lead,
    Show.OWN: lambda facts: facts.alloy.own,
    Show.LISTED: lambda facts: facts.span is None,
}
SORTS: dict[str, Callable[[AlloyFacts], float | str]] = {
    "alloy": lambda facts: facts.alloy.designation.casefold(),
    "solidus": lambda facts: facts.solidus_c,
    "melted": lambda facts: facts.melted_c,
    "matrix": lambda facts: facts.span.matrix_gone_c if facts.span else facts.alloy.liquidus_c,
    "last": lambda facts: facts.liquidus_c,
    "density": lambda facts: facts.alloy.density_g_cm3,
    "price": lambda facts: float("inf") if facts.price_per_kg is None else facts.price_per_kg,
}
_FIRST_SORT = "solidus"


@dataclass(frozen=True, slots=True)
class Asked:
    """What an address asks to see: alloys with ``search`` in designation or name, or of that element; of a kind; in an
    order."""

    search: str
    show: Show
    sort: str

    def view(self) -> View:
        """The address again."""
        return View(
            "/alloys", {"q": self.search, "show": self.show, "sort": self.sort}, {"show": Show.ALL, "sort": _FIRST_SORT}
        )

    @property
    def is_filtered(self) -> bool:
        """Whether not all alloys are shown."""
        return bool(self.search) or self.show is not Show.ALL

    def sentence(self) -> str:
        """The filter in words."""
        return SHOW_NAMES[self.show] + (f", with “{self.search}”" if self.search else "")

    def of(self, facts: Sequence[AlloyFacts]) -> list[AlloyFacts]:
        """Those asked for, in order; equal ones by designation."""
        found = [one for one in facts if _SHOWS[self.show](one) and _holds(one.alloy, self.search)]
        found.sort(key=SORTS["alloy"])
        found.sort(key=SORTS[self.sort.removeprefix("-")], reverse=self.sort.startswith("-"))
        return found


@router.get("", response_class=HTMLResponse)
def alloys_page(
    request: Request,
    person: CurrentPerson,
    reads: Reads,
    q: str = "",
    show: str = Show.ALL,
    sort: str = _FIRST_SORT,
    form: Annotated[str, Query(alias="format")] = Format.PAGE,
) -> Response:
    """The alloys, filtered and in order, with what is calculated beside what lists print."""
    asked = Asked(" ".join(q.split()), chosen(Show, show, "filter"), chosen_sort(sort, SORTS) or _FIRST_SORT)
    asked.view().refuse_others(request.query_params, "format")
    shape = chosen(Format, form, "format")
    with reads() as session:
        site = site_of(session)
    every = facts_of(list(site.materials.alloys.values()), site)
    shown = asked.of(every)
    if shape is not Format.PAGE:
        return as_file(shape, "alloys", HEAD, [_cells(facts) for facts in shown], sheet="Alloys")
    axis = temperature_axis(every)
    context = {
        "rows": [(facts, melting_bar(facts, axis)) for facts in shown],
        "axis": axis,
        "asked": asked,
        "view": asked.view(),
        "shows": [(str(key), name) for key, name in SHOW_NAMES.items()],
        "may_add": person.has(Role.ENGINEER),
    }
    return render(request, "alloys/list.html", context)


def _holds(alloy: Alloy, search: str) -> bool:
    if search in ELEMENTS:
        return search in alloy.composition_wt_pct
    return all(word in f"{alloy.designation} {alloy.name}".casefold() for word in search.casefold().split())


def _cells(facts: AlloyFacts) -> list[sheets.Cell]:
    alloy, span = facts.alloy, facts.span
    calculated: list[sheets.Cell] = [None, None, None, None, None]
    if span is not None:
        temperatures = (span.solidus_c, span.mostly_liquid_c, span.matrix_gone_c, span.liquidus_c)
        calculated = [*(round(t_c, 1) for t_c in temperatures), span.first_solid]
    return [
        alloy.designation,
        alloy.name,
        " ".join(f"{symbol} {share:g}" for symbol, share in alloy.composition_wt_pct.items()),
        *calculated,
        facts.listed_solidus_c,
        facts.listed_liquidus_c,
        round(alloy.density_g_cm3, 2),
        None if facts.price_per_kg is None else round(facts.price_per_kg, 2),
        "calculated" if span else f"listed; {facts.not_covered}",
        "" if facts.listed_solidus_c is None else facts.listed_source.words,
        "" if facts.listed_liquidus_c is None else facts.listed_source.words,
    ]
