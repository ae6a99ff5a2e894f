"""What a site may call an alloy of its own, and the values that make sense for one."""

import re

from webapp.errors import InvalidInputError
from webapp.trade.alloys import alloys
from webapp.trade.composition import Composition, read_composition
from webapp.trade.ranges import Span

DESIGNATION_LENGTH = 40
NAME_LENGTH = 80
ALLOY_LIMITS: dict[str, Span] = {
    "solidus_c": Span(20, 450),
    "melted_c": Span(20, 450),
    "liquidus_c": Span(20, 450),
    "density_g_cm3": Span(4, 20),
}
"""Number of an alloy -> values that make sense, in its unit."""
# It is a piece of addresses, where words in small letters mean pages.
_DESIGNATION_WT_PCT, _EXACT = 0.05, 1e-9
_DESIGNATION = re.compile(r"[A-Z0-9][A-Za-z0-9.+-]*")


def tidy_designation(text: str) -> str:
    """The designation as it is kept; InvalidInputError (field ``designation``) for one that cannot be, or that an alloy
    of the tables is called by."""
    designation = "".join(text.split())
    if not _DESIGNATION.fullmatch(designation) or len(designation) > DESIGNATION_LENGTH:
        raise InvalidInputError(
            f"A designation has 1 to {DESIGNATION_LENGTH} letters A-Z, digits or . + -, first a capital or a digit: "
            "Sn43Bi57.",
            field="designation",
        )
    listed = {called.casefold() for known in alloys().values() for called in (known.designation, known.name)}
    if designation.casefold() in listed:
        raise InvalidInputError(
            f'"{designation}" is what an alloy of the tables is called; choose another one.', field="designation"
        )
    return designation


def check_designation(designation: str, composition: Composition) -> None:
    """InvalidInputError (field ``designation``) for one that reads as another composition, by more than 0.05 wt% of an
    element; one that reads as none says nothing false."""
    try:
        said = read_composition(designation)
    except InvalidInputError:
        return
    elements = said.elements | composition.elements
    apart = max(abs(said.wt_pct.get(one, 0.0) - composition.wt_pct.get(one, 0.0)) for one in elements)
    if apart > _DESIGNATION_WT_PCT + _EXACT:
        raise InvalidInputError(
            f'"{designation}" reads as {said.text}, and the composition is {composition.text}: they must agree.',
            field="designation",
        )
