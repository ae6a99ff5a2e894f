"""How the melting figures are calculated: equation, validity, accuracy, sources."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.science import alloy_points, gibbs, melting, scheil
from webapp.science.diagrams import invariants
from webapp.science.parameters import citations, data_version
from webapp.web.rendering import render

router = APIRouter(prefix="/alloys")


@router.get("/method", response_class=HTMLResponse)
def method_page(request: Request) -> HTMLResponse:
    """The method, with the eutectics it gives."""
    context = {
        "invariants": sorted(invariants(), key=lambda one: one.t_c),
        "citations": citations(),
        "data_version": data_version(),
        "gas_constant": gibbs.GAS_CONSTANT,
        "scheil_step_k": scheil.STEP_K,
        "window": {
            "silver": alloy_points.MOST_AG_WT_PCT,
            "copper": alloy_points.MOST_CU_WT_PCT,
            "tin": alloy_points.LEAST_SN_WITH_CU_WT_PCT,
            "copper_in_tin": alloy_points.MOST_CU_IN_SN_WT_PCT,
            "mostly_lead": alloy_points.MOSTLY_PB_WT_PCT,
            "silver_in_lead": alloy_points.MOST_AG_IN_PB_WT_PCT,
            "coldest": melting.COLDEST_C,
            "hottest": melting.HOTTEST_C,
        },
    }
    return render(request, "alloys/method.html", context)
