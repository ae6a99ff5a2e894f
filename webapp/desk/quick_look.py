"""A quick look at part numbers or packages with one alloy and peak: verdicts without creating anything."""

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.checks.assess import assess
from webapp.checks.columns import Case, CaseLine
from webapp.checks.findings import Finding
from webapp.checks.verdicts import Verdict
from webapp.desk.routes import paste_alloy
from webapp.errors import InvalidInputError
from webapp.trade.facts import Claim, Declaration, PartFacts, Scope, facts_of
from webapp.trade.parts import PartTexts, guess_part
from webapp.trade.route import Route, Step, StepKind
from webapp.trade.route_templates import ABOVE_MELTING_S, EVERYDAY, SAC, SAC_PEAK_C, SPREAD_K
from webapp.trade.setup import Board
from webapp.trade.temperatures import PEAK, parse_difference_k, parse_temperature

MOST_PARTS = 50
_LONGEST = 200


@dataclass(frozen=True, slots=True)
class Glance:
    """What one text was taken for, and what the checks say of it: ``verdict`` is the gravest of ``findings``, FINE
    without one; what is the same today at 245 °C with tin-silver-copper is left out."""

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
    texts: Sequence[str], alloy: str, peak: str, spread: str = "8 K", *, lead_free: bool = True
) -> list[Glance]:
    """Check each of 1 to 50 part numbers or packages in one reflow pass with this paste, in use up to 60 °C.

    ``alloy``: designation or composition; ``peak``: as typed, °C or °F; ``spread``: hottest body less coldest joint, K;
    ``lead_free``: take the terminations for declared lead-free. InvalidInputError names paste, peak, spread or parts.
    """
    designation = paste_alloy(alloy).designation
    peak_c = parse_temperature(peak, plausible=PEAK, field="peak").span_c
    spread_k = parse_difference_k(spread, field="spread")
    if not 1 <= len(texts) <= MOST_PARTS:
        raise InvalidInputError(f"Give 1 to {MOST_PARTS} part numbers or packages.", field="parts")
    candidate = Step(StepKind.REFLOW, "", None, designation, peak_c.high, spread_k, ABOVE_MELTING_S)
    today = Step(StepKind.REFLOW, "", None, SAC, SAC_PEAK_C, SPREAD_K, ABOVE_MELTING_S)
    routes = Route("quick look", (candidate,)), Route("today", (today,))
    return [_glance(text, routes, lead_free=lead_free) for text in texts]


def _glance(text: str, routes: tuple[Route, Route], *, lead_free: bool) -> Glance:
    guess = guess_part(PartTexts(package=text, description=text, value=text, mpn=text))
    declared = [Declaration(Claim.LEAD_FREE, Scope.PART, "taken for lead-free", scope_key=text)] if lead_free else []
    facts = facts_of(key=text, label=text, maker="", guess=guess, stated={}, declarations=declared)
    case = Case([CaseLine(0, (text,))], [facts], Board(), EVERYDAY, *routes)
    # What speaks of the board or of the pass itself is the same for every part.
    found = tuple(f for f in assess(case).findings if f.lines and not f.same_as_today)
    return Glance(text, facts, guess.why, max((f.verdict for f in found), default=Verdict.FINE), found)
