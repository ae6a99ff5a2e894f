"""A quick look at part numbers or packages with one alloy and peak: verdicts without creating anything."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from webapp.checks.assess import assess
from webapp.checks.columns import Case, CaseLine
from webapp.checks.findings import Finding
from webapp.checks.verdicts import Verdict
from webapp.desk.routes import low_paste
from webapp.errors import InvalidInputError
from webapp.trade.facts import Claim, Declaration, PartFacts, Scope, facts_of
from webapp.trade.part_evidence import PartTexts
from webapp.trade.parts import guess_part
from webapp.trade.route import Route, Step, StepKind
from webapp.trade.route_templates import ABOVE_MELTING_S, EVERYDAY, SAC, SAC_PEAK_C, SPREAD_K
from webapp.trade.setup import Board
from webapp.trade.site import Site
from webapp.trade.temperatures import PEAK, parse_difference_k, parse_temperature

MOST_PARTS = 50
_LONGEST = 200


@dataclass(frozen=True, slots=True)
class Glance:
    """What one text was taken for, and what the checks say of it: ``verdict`` is the gravest of ``findings``, FINE
    without one, NONE for a part that is not soldered in this pass. What is the same today with tin-silver-copper at
    245 °C is marked so."""

    text: str
    facts: PartFacts
    why: str
    verdict: Verdict
    findings: tuple[Finding, ...]


def parts_in(text: str) -> list[str]:
    """The part numbers or packages of a pasted text, one a line; InvalidInputError (``parts``) unless 1 to 50."""
    parts = [" ".join(line.split())[:_LONGEST] for line in text.splitlines()]
    parts = [part for part in parts if part]
    if not 1 <= len(parts) <= MOST_PARTS:
        raise InvalidInputError(f"Give 1 to {MOST_PARTS} part numbers or packages, one a line.", field="parts")
    return parts


def quick_look(
    texts: Sequence[str],
    alloy: str,
    peak: str,
    spread: str = "8 K",
    *,
    lead_free: bool = True,
    known: Mapping[str, PartFacts] | None = None,
    site: Site | None = None,
) -> list[Glance]:
    """Check each of 1 to 50 part numbers or packages in one reflow pass with this paste, in use up to 60 °C.

    ``alloy``: what ``routes.low_paste`` reads; ``peak``: as typed, °C or °F; ``spread``: hottest body less
    coldest joint, K; ``lead_free``: take the terminations for declared lead-free. ``known``: text -> what the library
    knows of the part of that number; others are judged by their words. ``site``: by default the tables alone.
    InvalidInputError names paste, peak, spread or parts.
    """
    judged_by = site or Site()
    routes = _routes(judged_by, alloy, peak, spread)
    if not 1 <= len(texts) <= MOST_PARTS:
        raise InvalidInputError(f"Give 1 to {MOST_PARTS} part numbers or packages.", field="parts")
    library = known or {}
    return [_glance(text, library.get(text) or _judged(text, lead_free=lead_free), routes, judged_by) for text in texts]


def pass_findings(alloy: str, peak: str, spread: str = "8 K", *, site: Site | None = None) -> tuple[Finding, ...]:
    """What the checks say of the pass itself, whatever the parts: above all whether joints form."""
    part, judged_by = _judged("0402", lead_free=True), site or Site()
    routes = _routes(judged_by, alloy, peak, spread)
    case = Case([CaseLine(0, ("R1",))], [part], Board(), EVERYDAY, *routes, judged_by)
    return tuple(found for found in assess(case).findings if found.step is not None and not found.lines)


def _routes(site: Site, alloy: str, peak: str, spread: str) -> tuple[Route, Route]:
    low = low_paste(site.materials, alloy)
    peak_c = parse_temperature(peak, plausible=PEAK, field="peak").span_c
    spread_k = parse_difference_k(spread, field="spread")
    candidate = Step(StepKind.REFLOW, "", None, low.alloy, peak_c.high, spread_k, ABOVE_MELTING_S, paste=low.paste)
    today = Step(StepKind.REFLOW, "", None, SAC, SAC_PEAK_C, SPREAD_K, ABOVE_MELTING_S)
    return Route("quick look", (candidate,)), Route("today", (today,))


def _judged(text: str, *, lead_free: bool) -> PartFacts:
    guess = guess_part(PartTexts(package=text, description=text, value=text, mpn=text))
    # What calls itself tin-lead is not taken for anything else.
    taken = lead_free and not guess.said.holds_lead
    declared = [Declaration(Claim.LEAD_FREE, Scope.PART, "taken for lead-free", scope_key=text)] if taken else []
    return facts_of(key=text, label=text, maker="", guess=guess, stated={}, declarations=declared)


def _glance(text: str, facts: PartFacts, routes: tuple[Route, Route], site: Site) -> Glance:
    why = facts.source("classes").reference
    # There is one pass and no step for pins, press-fits or hand work: nothing can be said of them here.
    if not facts.mounting.may_see_reflow:
        return Glance(text, facts, why, Verdict.NONE, ())
    case = Case([CaseLine(0, (text,))], [facts], Board(), EVERYDAY, *routes, site)
    # What speaks of the board or of the pass itself is the same for every part: see ``pass_findings``.
    found = tuple(f for f in assess(case).findings if f.lines)
    return Glance(text, facts, why, max((f.verdict for f in found), default=Verdict.FINE), found)
