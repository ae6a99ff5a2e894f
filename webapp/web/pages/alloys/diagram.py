"""The tin-bismuth diagram with alloys and a product's hybrid joints on it, and what is read off at a point of it."""

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse

from webapp.desk.alloy_facts import AlloyFacts, facts_of
from webapp.desk.site import site_of
from webapp.desk.typed import typed_number, typed_temperature
from webapp.errors import InvalidInputError
from webapp.science.diagrams import BinaryDiagram, Reading, binary, read_binary
from webapp.science.melting import NotCovered
from webapp.store.product_reads import product_codes
from webapp.trade.alloys import Alloy
from webapp.trade.ranges import Span
from webapp.web.charts import value_at
from webapp.web.deps import Reads
from webapp.web.pages.alloys.common import alloys_asked
from webapp.web.pages.alloys.drawing import DIAGRAM_C, Cross, Projected, binary_chart
from webapp.web.pages.alloys.joint_points import bismuth_share, joints_of_product
from webapp.web.paging import UnknownViewError
from webapp.web.rendering import render
from webapp.web.wording import number

router = APIRouter(prefix="/alloys")

STEP_WT_PCT = 1.0
MOST = 8
_BI, _T_C = "30", "150"
_LEAST_WT_PCT, _WHOLE_WT_PCT = 50.0, 99.99


@dataclass(frozen=True, slots=True)
class OnDiagram:
    """An alloy beside what the diagram says of its tin and bismuth alone."""

    facts: AlloyFacts
    projected: Projected
    solidus_c: float
    liquidus_c: float


@router.get("/diagram", response_class=HTMLResponse)
def diagram_page(
    request: Request,
    reads: Reads,
    alloy: Annotated[list[str] | None, Query(max_length=50)] = None,
    bi: str = _BI,
    t: str = _T_C,
    product: str = "",
) -> HTMLResponse:
    """The diagram with alloys and the joints of a product; at ``bi`` (wt%) and ``t`` (°C) it is read off."""
    with reads() as session:
        site = site_of(session)
        joints = joints_of_product(session, product) if product.strip() else None
        products = [("", "none"), *((code, code) for code, _ in product_codes(session))]
    offered = [one for one in site.materials.alloys.values() if is_shown(one)]
    chosen = alloys_asked(site, alloy or [one.designation for one in offered if not one.holds_lead][:MOST], MOST)
    for one in chosen:
        if not is_shown(one):
            raise UnknownViewError(f"{one.designation} is no alloy of tin and bismuth.")
    diagram = tin_bismuth()
    reading, errors = _reading(bi, t)
    shown = [_on_diagram(facts, diagram) for facts in facts_of(chosen, site)]
    chart = binary_chart(diagram, [one.projected for one in shown], joints.spots if joints else [])
    context = {
        "chart": chart,
        "cross": Cross.of(chart, reading) if reading else None,
        "reading": reading,
        "typed": {"bi": bi, "t": t},
        "errors": errors,
        "offered": [(one.designation, one in chosen) for one in offered],
        "shown": shown,
        "joints": joints,
        "products": products,
        "product": joints.code if joints else "",
        "lines": json.dumps(_lines(diagram)),
        "spans": {"bi": (0, 100), "t": DIAGRAM_C},
    }
    return render(request, "alloys/diagram.html", context, status=422 if errors else 200)


def is_shown(alloy: Alloy) -> bool:
    """Whether an alloy has a place on the diagram: tin and bismuth are most of it."""
    shares = alloy.composition_wt_pct
    return "Sn" in shares and "Bi" in shares and shares["Sn"] + shares["Bi"] >= _LEAST_WT_PCT


def tin_bismuth() -> BinaryDiagram:
    """The diagram, which the data cover whole."""
    found = binary("Sn", "Bi", STEP_WT_PCT)
    if isinstance(found, NotCovered):
        raise LookupError(found.reason)
    return found


def _on_diagram(facts: AlloyFacts, diagram: BinaryDiagram) -> OnDiagram:
    shares, bi = facts.alloy.composition_wt_pct, bismuth_share(facts.composition) or 0.0
    held = shares["Sn"] + shares["Bi"]
    name = facts.alloy.designation if held > _WHOLE_WT_PCT else f"{facts.alloy.designation} at {number(bi, places=1)}"
    above, below = value_at(diagram.liquidus, bi), value_at(diagram.solidus, bi)
    return OnDiagram(facts, Projected(name, bi, 100 - held), below or math.nan, above or math.nan)


def _reading(bi: str, t: str) -> tuple[Reading | None, dict[str, str]]:
    errors: dict[str, str] = {}
    try:
        bi_wt_pct = typed_number(bi, Span(0, 100), field="bi", unit="wt%")
    except InvalidInputError as error:
        errors["bi"] = error.message
    try:
        t_c = typed_temperature(t, Span(*DIAGRAM_C), field="t")
    except InvalidInputError as error:
        errors["t"] = error.message
    if errors:
        return None, errors
    found = read_binary("Sn", "Bi", bi_wt_pct, t_c)
    return (found if isinstance(found, Reading) else None), {}


def _lines(diagram: BinaryDiagram) -> dict[str, object]:
    """What static/js/diagram.js reads off from."""
    eutectic = diagram.eutectic
    return {
        "liquidus": _rounded(diagram.liquidus),
        "solidus": _rounded(diagram.solidus),
        "solvus": _rounded(diagram.solvus),
        "eutectic": [eutectic.liquid_wt_pct["Bi"], eutectic.t_c] if eutectic else None,
    }


def _rounded(points: Sequence[tuple[float, ...]]) -> list[list[float]]:
    return [[round(value, 3) for value in point] for point in points]
