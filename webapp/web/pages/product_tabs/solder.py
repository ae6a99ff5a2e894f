"""What a step is soldered with, as forms offer it: a paste by name, from which the alloy follows, or an alloy alone."""

from webapp.desk.routes import ALLOY, PASTE, low_paste
from webapp.errors import InvalidInputError
from webapp.trade.alloys import Alloy
from webapp.trade.materials import Materials
from webapp.trade.route import Step, StepKind

# A bath is filled with bars.
_BATH = frozenset({StepKind.WAVE, StepKind.SELECTIVE})
PRINTED = frozenset({StepKind.REFLOW, StepKind.HOT_BAR, StepKind.REWORK})
"""Steps whose paste goes through a stencil."""

Options = list[tuple[str, str]]


def takes_paste(kind: StepKind) -> bool:
    """Whether a soldering step may be done with a paste."""
    return kind not in _BATH


def solder_of(step: Step) -> str:
    """The choice that a step stands for."""
    if step.paste:
        return f"{PASTE}{step.paste}"
    return f"{ALLOY}{step.alloy}" if step.alloy else ""


def read_solder(text: str) -> tuple[str | None, str | None]:
    """(paste, alloy) of a choice; one of them at most."""
    if text.startswith(PASTE):
        return text.removeprefix(PASTE), None
    return None, (text.removeprefix(ALLOY) or None)


def solder_groups(materials: Materials, kind: StepKind) -> list[tuple[str, Options]]:
    """(name of the group, choices): the site's pastes, the examples, the alloys."""
    alloys = [("", "none"), *((f"{ALLOY}{name}", text) for name, text in alloy_options(materials))]
    if not takes_paste(kind):
        return [("Alloys", alloys)]
    pastes = materials.pastes.values()
    own = [(f"{PASTE}{paste.name}", f"{paste.name}, {paste.alloy}") for paste in pastes if paste.own]
    examples = [(f"{PASTE}{paste.name}", f"{paste.name}, {paste.alloy}") for paste in pastes if not paste.own]
    groups = [("Pastes of the site", own), ("Examples of pastes", examples), ("An alloy, no paste named", alloys)]
    return [(name, options) for name, options in groups if options]


def paste_options(materials: Materials) -> Options:
    """What a candidate may be printed with: the site's pastes, then the alloys; of both those that melt low and hold no
    lead."""
    low = {name for name, alloy in materials.alloys.items() if _is_low(alloy)}
    pastes = [paste for paste in materials.pastes.values() if paste.own and paste.alloy in low]
    own = [(f"{PASTE}{paste.name}", f"{paste.name}, {paste.alloy}") for paste in pastes]
    return own + [(f"{ALLOY}{name}", text) for name, text in alloy_options(materials) if name in low]


def choice_of(materials: Materials, text: str) -> str:
    """The choice that plain text stands for; the text itself where that is none."""
    try:
        low = low_paste(materials, text)
    except InvalidInputError:
        return text
    return f"{PASTE}{low.paste}" if low.paste else f"{ALLOY}{low.alloy}"


def alloy_options(materials: Materials, *, low_first: bool = False) -> Options:
    """The alloys to choose from, each with where it melts."""
    every = list(materials.alloys.values())
    if low_first:
        every.sort(key=lambda alloy: not _is_low(alloy))
    return [(alloy.designation, f"{alloy.designation}, {_melting(alloy)}") for alloy in every]


def _is_low(alloy: Alloy) -> bool:
    return alloy.low_temperature and not alloy.holds_lead


def _melting(alloy: Alloy) -> str:
    """From the solidus to 99 % liquid: what a joint needs. A trace of Ag3Sn may melt far above that."""
    low, high = round(alloy.solidus_c), round(alloy.melted_c)
    return f"{low} °C" if low == high else f"{low} to {high} °C"
