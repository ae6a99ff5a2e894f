"""Routes to start from: today's, and the candidate beside it. Temperatures are common practice, no source; a product's
own profile replaces them."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from webapp.errors import NotFoundError
from webapp.trade.route import Route, Side, Step, StepKind
from webapp.trade.setup import Environment

SAC = "Sn96.5Ag3.0Cu0.5"
LOW = "Sn42Bi57Ag1"
SAC_PEAK_C, LOW_PEAK_C, SPREAD_K, ABOVE_MELTING_S = 245.0, 180.0, 8.0, 60.0

EVERYDAY = Environment(t_min_c=0.0, t_max_c=60.0, board_heating_k=10.0)


@dataclass(frozen=True, slots=True)
class RouteTemplate:
    """A pair of routes by name; ``candidate(alloy)`` gives the candidate with that low-temperature paste."""

    name: str
    words: str
    today: Route
    candidate: Callable[[str], Route]
    environment: Environment = EVERYDAY


def _reflow(side: Side, alloy: str, peak_c: float) -> Step:
    return Step(StepKind.REFLOW, "", side, alloy, peak_c, SPREAD_K, ABOVE_MELTING_S)


def _both(alloy: str, peak_c: float) -> tuple[Step, ...]:
    return _reflow(Side.BOTTOM, alloy, peak_c), _reflow(Side.TOP, alloy, peak_c)


_SELECTIVE = Step(StepKind.SELECTIVE, "", Side.BOTTOM, SAC, 290.0)
_BOTH_TODAY = Route("today", _both(SAC, SAC_PEAK_C))
_ONE_TODAY = Route("today", (_reflow(Side.TOP, SAC, SAC_PEAK_C),))

_TEMPLATES = (
    RouteTemplate(
        "two-sided-low-temperature",
        "Two reflow passes; both with the low-temperature paste.",
        _BOTH_TODAY,
        lambda alloy: Route("low temperature", _both(alloy, LOW_PEAK_C)),
    ),
    RouteTemplate(
        "two-sided-low-temperature-last",
        "Two reflow passes; the first side stays tin-silver-copper, the last goes low-temperature.",
        _BOTH_TODAY,
        lambda alloy: Route(
            "low temperature last", (_reflow(Side.BOTTOM, SAC, SAC_PEAK_C), _reflow(Side.TOP, alloy, LOW_PEAK_C))
        ),
    ),
    RouteTemplate(
        "two-sided-low-temperature-selective",
        "Two reflow passes with the low-temperature paste, then through-hole parts by selective soldering.",
        replace(_BOTH_TODAY, steps=(*_BOTH_TODAY.steps, _SELECTIVE)),
        lambda alloy: Route("low temperature, selective", (*_both(alloy, LOW_PEAK_C), _SELECTIVE)),
    ),
    RouteTemplate(
        "one-sided-low-temperature",
        "One reflow pass with the low-temperature paste.",
        _ONE_TODAY,
        lambda alloy: Route("low temperature", (_reflow(Side.TOP, alloy, LOW_PEAK_C),)),
    ),
)


def route_templates() -> tuple[RouteTemplate, ...]:
    """All templates."""
    return _TEMPLATES


def route_template(name: str) -> RouteTemplate:
    """The template of that name; NotFoundError names those there are."""
    for template in _TEMPLATES:
        if template.name == name:
            return template
    names = ", ".join(template.name for template in _TEMPLATES)
    raise NotFoundError(f'There is no route template "{name}"; there are: {names}.', field="route")
