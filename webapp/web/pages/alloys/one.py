"""One alloy: how it melts, what it is to work with, where it is used."""

from dataclasses import dataclass, replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.desk.alloy_facts import AlloyFacts, facts_of
from webapp.desk.site import site_of
from webapp.desk.site_alloys import uses_of_alloy
from webapp.trade.composition import Composition
from webapp.trade.figures import Figures
from webapp.trade.people import Role
from webapp.trade.practice import practice_figure
from webapp.trade.sources import Source
from webapp.web.deps import CurrentPerson, Reads
from webapp.web.pages.alloys.behaviour import Behaviour, behaviour_of
from webapp.web.pages.alloys.common import alloy_of, oven_words, ratio_words
from webapp.web.pages.products import product_address
from webapp.web.rendering import render

router = APIRouter(prefix="/alloys")


@dataclass(frozen=True, slots=True)
class MeltingRow:
    """One temperature of melting: calculated, its range within the tolerance of composition, and as lists print it."""

    name: str
    t_c: float | None = None
    within: tuple[float, float] | None = None
    listed_c: float | None = None
    source: Source | None = None


@router.get("/{designation}", response_class=HTMLResponse)
def alloy_page(request: Request, person: CurrentPerson, reads: Reads, designation: str) -> HTMLResponse:
    """The alloy of that designation."""
    with reads() as session:
        site = site_of(session)
        alloy = alloy_of(site, designation)
        uses = uses_of_alloy(session, alloy.designation)
    (facts,) = facts_of([alloy], site)
    behaviour = behaviour_of(facts.span, with_tolerance=True) if facts.span else None
    context = {
        "facts": facts,
        "behaviour": behaviour,
        "melting_rows": _melting_rows(facts, behaviour),
        "cost": _cost(facts.composition, site.figures),
        "life": [(value, ratio_words(value)) for kind, value in facts.properties.items() if kind.is_life],
        "oven": oven_words(facts.oven_power),
        "uses": [(use, product_address(use.code)) for use in uses],
        "tolerance": practice_figure("composition_tolerance_wt_pct"),
        "oven_share": practice_figure("oven_load_share"),
        "rate_brittle": practice_figure("rate_brittle_bi_wt_pct"),
        "may_edit": alloy.own and person.has(Role.ENGINEER),
    }
    return render(request, "alloys/one.html", context)


def _melting_rows(facts: AlloyFacts, behaviour: Behaviour | None) -> list[MeltingRow]:
    span = facts.span
    solidus = MeltingRow("Melting begins: solidus", listed_c=facts.listed_solidus_c, source=facts.listed_source)
    liquidus = MeltingRow("All liquid: liquidus", listed_c=facts.listed_liquidus_c, source=facts.listed_source)
    if span is None:
        return [solidus, liquidus]
    name = f"Last solid gone, {span.first_solid}: liquidus"
    rows = [
        replace(solidus, t_c=span.solidus_c),
        MeltingRow("99 % of the mass liquid", span.mostly_liquid_c),
        MeltingRow(f"Matrix gone, {span.matrix_solid} last", span.matrix_gone_c),
        replace(liquidus, name=name, t_c=span.liquidus_c),
    ]
    if behaviour and (within := behaviour.tolerance):
        # As melting.MeltingRange.matrix_gone_c: not below the solidus.
        low, high = within.matrix_liquidus_c
        matrix = max(low, within.solidus_c[0]), max(high, within.solidus_c[1])
        ranges = (within.solidus_c, None, matrix, within.liquidus_c)
        rows = [replace(row, within=each) for row, each in zip(rows, ranges, strict=True)]
    if behaviour and behaviour.way:
        rows.append(MeltingRow("Melting begins again, as soldered", behaviour.way.end_c))
    return rows


def _cost(composition: Composition, figures: Figures) -> list[tuple[str, float, float | None]]:
    """Each element with its share in wt% and what it adds to the value of a kilogram."""
    return [
        (symbol, share, share / 100 * figures[key].value if (key := f"price_{symbol.lower()}") in figures else None)
        for symbol, share in composition.shares
    ]
