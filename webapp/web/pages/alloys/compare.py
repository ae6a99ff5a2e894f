"""Two to six alloys side by side: where they melt, what they hold, what they cost."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse

from webapp.desk.alloy_facts import AlloyFacts, facts_of
from webapp.desk.site import site_of
from webapp.science.melting import Freezing, PhaseFractions, drawn_curve, freezings
from webapp.trade.alloy_properties import Property
from webapp.trade.figures import CURRENCY
from webapp.trade.practice import practice_figure
from webapp.web.deps import Reads
from webapp.web.pages.alloys.common import alloys_asked, oven_words, ratio_words
from webapp.web.pages.alloys.drawing import melting_bar, temperature_axis, together_chart
from webapp.web.rendering import render
from webapp.web.wording import number, percent

router = APIRouter(prefix="/alloys")

MOST = 6
_LATER_C = 138.0


@dataclass(frozen=True, slots=True)
class Cell:
    """A value in words, None where it is not known, and what else to know of it."""

    text: str | None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One property of all alloys compared."""

    name: str
    unit: str
    cells: tuple[Cell, ...]

    @property
    def differs(self) -> tuple[bool, ...]:
        """For each alloy whether it is another than the first."""
        return tuple(cell.text != self.cells[0].text for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Group:
    """Rows that belong together."""

    name: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Compared:
    """One alloy with how it freezes."""

    facts: AlloyFacts
    way: Freezing | None


@router.get("/compare", response_class=HTMLResponse)
def compare_page(
    request: Request, reads: Reads, alloy: Annotated[list[str] | None, Query(max_length=50)] = None
) -> HTMLResponse:
    """The alloys asked for, side by side."""
    with reads() as session:
        site = site_of(session)
    chosen = alloys_asked(site, alloy or [], MOST)
    facts = facts_of(chosen, site)
    ways = [way if isinstance(way, Freezing) else None for way in freezings([one.composition for one in facts])]
    compared = [Compared(one, way) for one, way in zip(facts, ways, strict=True)]
    curves = [(one, curve) for one in facts if isinstance(curve := drawn_curve(one.composition), PhaseFractions)]
    axis = temperature_axis(facts) if facts else None
    names = [one.designation for one in chosen]
    context = {
        "facts": facts,
        "bars": [(one, melting_bar(one, axis)) for one in facts] if axis else [],
        "axis": axis,
        "chart": together_chart([c for _, c in curves], [one.alloy.designation for one, _ in curves])
        if curves
        else None,
        "groups": _groups(compared),
        "others": [name for name in site.materials.alloys if name not in names],
        "may_add": len(chosen) < MOST,
        "most": MOST,
        "oven_share": practice_figure("oven_load_share"),
    }
    return render(request, "alloys/compare.html", context)


def _groups(compared: Sequence[Compared]) -> list[Group]:
    return [
        Group(name, tuple(Row(label, unit, tuple(cell(one) for one in compared)) for label, unit, cell in rows))
        for name, rows in _ROWS.items()
    ]


def _degrees(value: float | None) -> Cell:
    return Cell(None if value is None else number(value, places=1))


def _property(kind: Property) -> Callable[[Compared], Cell]:
    def cell(one: Compared) -> Cell:
        value = one.facts.properties.get(kind)
        return Cell(None) if value is None else Cell(value.text, value.source.status)

    return cell


def _life(kind: Property) -> Callable[[Compared], Cell]:
    def cell(one: Compared) -> Cell:
        value = one.facts.properties.get(kind)
        return Cell(ratio_words(value), value.source.status if value else "")

    return cell


def _matrix(one: Compared) -> Cell:
    facts = one.facts
    return (
        Cell(number(facts.span.matrix_gone_c, places=1), f"{facts.span.matrix_solid} last")
        if facts.span
        else Cell(None)
    )


def _last(one: Compared) -> Cell:
    facts = one.facts
    return Cell(number(facts.liquidus_c, places=1), facts.span.first_solid if facts.span else "by the lists")


def _begins(one: Compared) -> Cell:
    return Cell(number(one.facts.solidus_c, places=1), "" if one.facts.span else "by the lists")


def _use(one: Compared) -> Cell:
    use = one.facts.use
    return Cell(number(use.fine_c, places=0), f"to be proved up to {number(use.prove_c, '°C', 0)}")


def _oven(one: Compared) -> Cell:
    peaks = one.facts.peak_c
    return Cell(
        oven_words(one.facts.oven_power), f"peaks of {peaks.text('°C')}" if peaks else "no paste names its peak"
    )


def _price(one: Compared) -> Cell:
    price = one.facts.price_per_kg
    return Cell(None if price is None else number(price, places=1))


def _price_by_volume(one: Compared) -> Cell:
    price = one.facts.price_per_kg
    return Cell(None if price is None else number(price * one.facts.alloy.density_g_cm3 / 1000, places=3))


def _again(one: Compared) -> Cell:
    return Cell(percent(one.way.left_at[_LATER_C], 1) if one.way else None)


_ROWS: dict[str, tuple[tuple[str, str, Callable[[Compared], Cell]], ...]] = {
    "Melting": (
        ("Solidus", "°C", _begins),
        ("99 % liquid", "°C", lambda one: _degrees(one.facts.melted_c)),
        ("Matrix gone", "°C", _matrix),
        ("Last solid gone", "°C", _last),
        ("Melts again, as soldered", "°C", lambda one: _degrees(one.way.end_c if one.way else None)),
        ("Liquid at 138 °C, as soldered", "of the mass", _again),
    ),
    "In use": (
        ("Highest joint temperature", "°C", _use),
        ("Strength", "", lambda one: Cell(one.facts.strength)),
        ("Tensile strength", "MPa", _property(Property.TENSILE)),
        ("Ductility", "", lambda one: Cell(one.facts.ductility)),
        ("Elongation at break", "%", _property(Property.ELONGATION)),
        ("Drop life", "", _life(Property.DROP_LIFE)),
        ("Thermal cycling life", "", _life(Property.CYCLING_LIFE)),
        ("Young's modulus", "GPa", _property(Property.MODULUS)),
        ("Thermal expansion", "ppm/K", _property(Property.EXPANSION)),
    ),
    "Cost and energy": (
        ("Metal value", f"{CURRENCY} per kg", _price),
        ("Density", "g/cm³", lambda one: Cell(number(one.facts.alloy.density_g_cm3, places=2))),
        ("Metal value", f"{CURRENCY} per cm³", _price_by_volume),
        ("Oven power", "", _oven),
    ),
}
