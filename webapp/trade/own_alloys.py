"""What a site may call an alloy of its own, and the values that make sense for one."""

import re

from webapp.errors import InvalidInputError
from webapp.trade.alloys import alloys
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
_DESIGNATION = re.compile(r"[A-Z0-9][A-Za-z0-9.+-]*")


def tidy_designation(text: str) -> str:
    """The designation as it is kept; InvalidInputError (field ``designation``) for one that cannot be, or that the
    tables have."""
    designation = "".join(text.split())
    if not _DESIGNATION.fullmatch(designation) or len(designation) > DESIGNATION_LENGTH:
        raise InvalidInputError(
            f"A designation has 1 to {DESIGNATION_LENGTH} letters A-Z, digits or . + -, first a capital or a digit: "
            "Sn43Bi57.",
            field="designation",
        )
    listed = {known.casefold() for known in alloys()}
    if designation.casefold() in listed:
        raise InvalidInputError(f'"{designation}" is an alloy of the tables; choose another one.', field="designation")
    return designation
