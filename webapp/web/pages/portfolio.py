"""The portfolio: all products on one page, one line each, with what stands in the way of most of them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.checks.declare import registry
from webapp.desk import actions, sheets
from webapp.store import blockers, portfolio
from webapp.store.portfolio import PortfolioLine, PortfolioView, Sort, TrendDay
from webapp.trade.decisions import today
from webapp.trade.people import Person, Role
from webapp.trade.readiness import Gate
from webapp.web.deps import CurrentPerson, Reads
from webapp.web.downloads import Format
from webapp.web.lists import as_file, paged
from webapp.web.numbers import PageNumber
from webapp.web.pages.products import product_address
from webapp.web.paging import UnknownViewError, View, Window, chosen
from webapp.web.rendering import render

router = APIRouter(prefix="/portfolio")

TREND_DAYS = 90
HEAD = (
    "Product", "Name", "Label", "Customer", "Owner", "Route", "Gate", "Open blocks", "Open change", "Open prove",
    "Placements with nothing open, %", "Open on board, steps or product", "Next", "Whose turn",
)  # fmt: skip
_WIDTH, _HEIGHT = 160.0, 36.0


@dataclass(frozen=True, slots=True)
class Line:
    """A product's line with where its numbers lead to."""

    line: PortfolioLine

    @property
    def address(self) -> str:
        """The product's page."""
        return product_address(self.line.code)

    def findings(self, verdict: str = "") -> str:
        """Its findings on the route that stands for it."""
        query = {"case": self.line.route or "", "verdict": verdict, "same": "show" if verdict else ""}
        return f"{self.address}/findings?{urlencode({name: text for name, text in query.items() if text})}"

    @property
    def next_address(self) -> str:
        """Where what is next is done."""
        code = urlencode({"product": self.line.code})
        places = {
            "route": f"{self.address}/route",
            "data": f"{self.address}/wanted",
            "review": f"/review?{code}",
            "carry-out": f"/review?{code}&show=decided",
            "refused": f"/review?{code}&show=refused",
        }
        return places.get(self.line.counters.next_step.key, self.findings() if self.line.route else self.address)


@dataclass(frozen=True, slots=True)
class Curve:
    """A small curve over the days: ``points`` for an SVG polyline in a box of 160 x 36."""

    label: str
    first: str
    last: str
    points: str


@dataclass(frozen=True, slots=True)
class Asked:
    """What an address asks to see."""

    view: PortfolioView
    page: int

    def address(self) -> View:
        """The address again."""
        view = self.view
        query: dict[str, str | int] = {
            "q": view.search,
            "label": view.label,
            "customer": view.customer,
            "owner": view.owner,
            "gate": view.gate,
            "check": view.check,
            "part": view.part,
            "sort": view.sort,
            "page": self.page,
        }
        return View("/portfolio", query, {"sort": Sort.CODE.value, "page": 1})

    @property
    def is_filtered(self) -> bool:
        """Whether not all products are shown."""
        view = self.view
        return any((view.search, view.label, view.customer, view.owner, view.gate, view.check, view.part))

    def sentence(self) -> str:
        """The selection in words, "" for all."""
        view, check = self.view, registry().get(self.view.check)
        words = [f"with “{view.search}”"] if view.search else []
        words += [f"label “{view.label}”"] if view.label else []
        words += [f"customer “{view.customer}”"] if view.customer else []
        words += [f"owner {view.owner}"] if view.owner else []
        words += [Gate(view.gate).words] if view.gate else []
        words += [f"with something open on “{check.title}”"] if check else []
        words += [f"with something open on the part {view.part.rpartition('|')[2]}"] if view.part else []
        return ", ".join(words)


@router.get("", response_class=HTMLResponse)
def portfolio_page(
    request: Request,
    person: CurrentPerson,
    reads: Reads,
    q: str = "",
    label: str = "",
    customer: str = "",
    owner: str = "",
    gate: str = "",
    check: str = "",
    part: str = "",
    sort: str = Sort.CODE.value,
    page: PageNumber = 1,
    form: Annotated[str, Query(alias="format")] = "page",
) -> Response:
    """The products, filtered and in order, with sums, the most frequent blockers and the trend; or a file of them."""
    if check and check not in registry():
        raise UnknownViewError(f'"{check[:40]}" is no check.')
    if gate:
        chosen(Gate, gate, "gate")
    chosen(Sort, sort.removeprefix("-"), "order")
    shape = chosen(Format, form, "format")
    view = PortfolioView(" ".join(q.split()), label, customer, owner, gate, check, part, sort)
    Asked(view, page).address().refuse_others(request.query_params, "format")
    with reads() as session:
        if shape is not Format.PAGE:
            rows = [_cells(line) for line in portfolio.find_products(session, view)]
            return as_file(shape, "portfolio", HEAD, rows, sheet="Portfolio")
        return _page(request, session, person, Asked(view, page))


def _page(request: Request, session: Session, person: Person, asked: Asked) -> HTMLResponse:
    view = asked.view
    totals = portfolio.totals(session, view)
    window = Window.at(asked.page, totals.products)
    context: dict[str, Any] = {
        **paged(asked.address(), window),
        "lines": [Line(line) for line in portfolio.find_products(session, view, window.offset, window.size)],
        "totals": totals,
        "blockers": blockers.frequent_blockers(session, view),
        "parts": blockers.blocking_parts(session, view),
        "titles": {known.id: known.title for known in registry().values()},
        "curves": _curves(portfolio.trend(session, today() - timedelta(days=TREND_DAYS))),
        "actions": actions.counts(session, person),
        "asked": asked,
        "options": _options(session),
        "may_edit": person.has(Role.ENGINEER),
        "day": today(),
    }
    return render(request, "portfolio/page.html", context)


def _options(session: Session) -> dict[str, list[tuple[str, str]]]:
    found = {name: [("", "All"), *values] for name, values in portfolio.choices(session).items() if values}
    return {"gate": [("", "Any"), *((gate.value, gate.words) for gate in Gate)], **found}


_CURVES: Sequence[tuple[str, Callable[[TrendDay], float | None]]] = (
    ("Open blocks", lambda day: day.open_blocks),
    ("Open change", lambda day: day.open_change),
    ("Open prove", lambda day: day.open_prove),
    ("Placements clear, %", lambda day: None if day.readiness is None else day.readiness * 100),
)


def _curves(days: Sequence[TrendDay]) -> list[Curve]:
    """The trend; nothing before there are two days of it."""
    if len(days) < 2:
        return []
    return [_curve(label, days, of) for label, of in _CURVES]


def _curve(label: str, days: Sequence[TrendDay], of: Callable[[TrendDay], float | None]) -> Curve:
    known = [((day.day - days[0].day).days, value) for day in days if (value := of(day)) is not None]
    span = max((days[-1].day - days[0].day).days, 1)
    high = max((value for _, value in known), default=0) or 1
    points = [f"{_WIDTH * at / span:.1f},{2 + (_HEIGHT - 4) * (1 - value / high):.1f}" for at, value in known]
    first, last = (f"{known[at][1]:.0f}" if known else "not known" for at in (0, -1))
    return Curve(label, first, last, " ".join(points))


def _cells(line: PortfolioLine) -> list[sheets.Cell]:
    counters = line.counters
    return [
        line.code,
        line.name,
        line.label,
        line.customer,
        line.owner,
        line.route,
        line.gate.words,
        counters.open_blocks,
        counters.open_change,
        counters.open_prove,
        None if counters.readiness is None else round(counters.readiness * 100, 1),
        counters.open_board_step_product,
        line.next,
        line.who,
    ]
