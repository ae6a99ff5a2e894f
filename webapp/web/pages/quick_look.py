"""A quick look: parts or packages, one paste, one pass; nothing is created, all of it is in the address."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.checks.findings import Finding
from webapp.desk.part_facts import facts_by_id
from webapp.desk.quick_look import MOST_PARTS, Glance, parts_in, pass_findings, quick_look
from webapp.desk.routes import ALLOY, PASTE
from webapp.desk.site import site_of
from webapp.errors import InvalidInputError
from webapp.store import part_library
from webapp.trade.facts import PartFacts, PartField
from webapp.trade.materials import Materials
from webapp.trade.route_templates import LOW, LOW_PEAK_C, SPREAD_K
from webapp.trade.site import Site
from webapp.trade.temperatures import parse_temperature, temperature_text
from webapp.web.deps import CurrentPerson, Reads
from webapp.web.pages.product_tabs.solder import Options, choice_of, paste_options
from webapp.web.rendering import render

router = APIRouter(prefix="/quick-look")

LONGEST = 4000
"""Characters of the pasted text: the address holds it, and servers on the way cut longer ones."""
COUNTED = ("blocks", "change", "prove", "gain", "fine")


@router.get("", response_class=HTMLResponse)
def quick_look_page(
    request: Request,
    _person: CurrentPerson,
    reads: Reads,
    parts: str = "",
    alloy: str = f"{ALLOY}{LOW}",
    peak: str = f"{LOW_PEAK_C:g}",
    spread: str = f"{SPREAD_K:g}",
    lead_free: str = "",
) -> HTMLResponse:
    """The form, and below it what the checks say."""
    asked = bool(parts.strip()) or "parts" in request.query_params
    is_lead_free = lead_free == "yes" or not asked
    with reads() as session:
        site = site_of(session)
    typed = {"parts": parts, "alloy": choice_of(site.materials, alloy), "peak": peak, "spread": spread}
    context: dict[str, Any] = {
        "typed": typed,
        "lead_free": is_lead_free,
        "alloy_options": _paste_options(site.materials, typed["alloy"]),
        "solder": typed["alloy"].removeprefix(PASTE).removeprefix(ALLOY),
        "most": MOST_PARTS,
        "errors": {},
        "glances": None,
    }
    if not asked:
        return render(request, "quick_look/page.html", context)
    try:
        context |= _looked(reads, typed, site, lead_free=is_lead_free)
    except InvalidInputError as error:
        name = "alloy" if error.field == "paste" else error.field or ""
        return render(request, "quick_look/page.html", {**context, "errors": {name: error.message}}, status=422)
    return render(request, "quick_look/page.html", context)


def _paste_options(materials: Materials, asked: str) -> Options:
    """What a candidate may be printed with, and what the address asks for where that is something else."""
    options = paste_options(materials)
    is_offered = any(value == asked for value, _ in options)
    return options if is_offered else [*options, (asked, asked.removeprefix(PASTE).removeprefix(ALLOY))]


def _looked(reads: Reads, typed: dict[str, str], site: Site, *, lead_free: bool) -> dict[str, Any]:
    if len(typed["parts"]) > LONGEST:
        raise InvalidInputError(f"That is more than {LONGEST} characters; give fewer lines at a time.", field="parts")
    texts = parts_in(typed["parts"])
    with reads() as session:
        ids, known = _in_library(session, texts)
    asked = (typed["alloy"], typed["peak"], typed["spread"])
    glances = quick_look(texts, *asked, lead_free=lead_free, known=known, site=site)
    return {
        "glances": [(glance, ids.get(glance.text)) for glance in glances],
        "peak_text": temperature_text(parse_temperature(typed["peak"]).span_c),
        "counts": _counts(glances),
        "runs_hot": _runs_hot(glances),
        "of_the_pass": _distinct(pass_findings(*asked, site=site)),
    }


def _in_library(session: Session, texts: list[str]) -> tuple[dict[str, int], dict[str, PartFacts]]:
    """Which texts are numbers of parts in the library, where only one maker has them: ids and what is known."""
    by_number = part_library.ids_by_number(session, texts)
    ids = {text: found[0] for text in texts if len(found := by_number.get(text.lower(), [])) == 1}
    facts = facts_by_id(session, ids.values())
    return ids, {text: facts[part_id] for text, part_id in ids.items()}


def _counts(glances: list[Glance]) -> list[tuple[str, int]]:
    keys = [glance.verdict.key for glance in glances]
    return [(name, keys.count(name)) for name in COUNTED if name in keys]


def _runs_hot(glances: list[Glance]) -> tuple[int, Finding] | None:
    """How many parts lack their self-heating, and what the check says of the first: one cause, told once."""
    found = [finding for glance in glances for finding in glance.findings if finding.need == PartField.SELF_HEATING_K]
    return (len(found), found[0]) if found else None


def _distinct(findings: tuple[Finding, ...]) -> list[Finding]:
    return list({finding.check: finding for finding in findings}.values())
