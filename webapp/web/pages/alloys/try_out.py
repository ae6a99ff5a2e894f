"""What if: a composition typed or changed step by step, its melting at once.

The address holds the composition. With a script the form asks anew on every change; what takes longer (freezing,
slopes) follows as a second piece. Without one it is a form like any other.
"""

from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from webapp.desk.alloy_facts import trial_facts
from webapp.desk.site import site_of
from webapp.science.melting import EXPOSURES_C, MeltingRange, PhaseFractions, drawn_curve, melting_range
from webapp.trade.alloys import find_alloy
from webapp.trade.composition import Composition, read_composition
from webapp.trade.people import Role
from webapp.trade.site import Site
from webapp.web.charts import Chart
from webapp.web.deps import CurrentPerson, Reads
from webapp.web.pages.alloys.behaviour import behaviour_of
from webapp.web.pages.alloys.common import alloy_of
from webapp.web.pages.alloys.drawing import liquid_chart
from webapp.web.pages.alloys.trial import FIRST_STEP, SHARE, STEPS, Trial, trial_from_shares, trial_of, trial_typed
from webapp.web.rendering import render, wants_fragment

router = APIRouter(prefix="/alloys/try")

_START = "Sn42Bi57Ag1"
_SAME_WT_PCT = 0.005
_QUICK_ELEMENTS = 3  # up to so many all of it takes less than a tenth of a second


@router.get("", response_class=HTMLResponse)
def try_page(
    request: Request,
    person: CurrentPerson,
    reads: Reads,
    composition: str = "",
    alloy: str = "",
    step: str = FIRST_STEP,
    balance: str = "Sn",
    change: str = "",
) -> Response:
    """The composition of the address or the form, and how it melts."""
    with reads() as session:
        site = site_of(session)
    typed = {name.removeprefix(SHARE): value for name, value in request.query_params.items() if name.startswith(SHARE)}
    if typed:
        trial = trial_from_shares(typed, balance, step, change)
    elif composition.strip():
        trial = trial_typed(composition, step, site.materials)
    else:
        chosen = alloy_of(site, alloy or _START)
        trial = trial_of(Composition.of(chosen.composition_wt_pct), step)
    as_fragment = wants_fragment(request)
    if typed and trial.composition and not as_fragment:
        return RedirectResponse(trial.address, status_code=303)
    is_quick = trial.composition is not None and len(trial.composition.elements) <= _QUICK_ELEMENTS
    context = _context(trial, site, whole=is_quick or not as_fragment)
    context |= {"is_fragment": as_fragment, "may_save": person.has(Role.ENGINEER)}
    template = "alloys/_trial.html" if as_fragment else "alloys/try.html"
    answer = render(request, template, context, status=422 if trial.errors else 200)
    if as_fragment and trial.composition:
        answer.headers["HX-Replace-Url"] = trial.address
    return answer


@router.get("/more", response_class=HTMLResponse)
def more_of_it(request: Request, composition: str) -> Response:
    """What takes longer of a composition: freezing, slopes; only as a piece of the page."""
    if not wants_fragment(request):
        return RedirectResponse(f"/alloys/try?composition={quote(composition)}", status_code=303)
    span = melting_range(read_composition(composition))
    behaviour = behaviour_of(span) if isinstance(span, MeltingRange) else None
    return render(request, "alloys/_more.html", {"behaviour": behaviour})


def _context(trial: Trial, site: Site, *, whole: bool) -> dict[str, object]:
    """``whole``: with what takes longer; otherwise that is asked for once the rest is there."""
    facts = trial_facts(trial.composition, site.figures) if trial.composition else None
    span = facts.span if facts else None
    behaviour = behaviour_of(span) if span and whole else None
    known = None
    if trial.composition:
        known = find_alloy(trial.composition.wt_pct, _SAME_WT_PCT, among=site.materials.alloys.values())
    return {
        "trial": trial,
        "steps": STEPS,
        "facts": facts,
        "known": known,
        "designations": list(site.materials.alloys),
        "behaviour": behaviour,
        "chart": behaviour.chart if behaviour else _first_chart(span),
        "is_whole": whole,
    }


def _first_chart(span: MeltingRange | None) -> Chart | None:
    """The liquid in equilibrium, which is quick; at the temperatures at which what follows asks for it again."""
    curve = drawn_curve(span.composition, EXPOSURES_C) if span else None
    return liquid_chart(span, curve, None) if span and isinstance(curve, PhaseFractions) else None
