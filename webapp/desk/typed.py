"""Numbers as people type them into forms."""

import math
import re

from webapp.errors import InvalidInputError
from webapp.store.parts import REFERENCE_LENGTH
from webapp.trade.ranges import Span, number_text
from webapp.trade.temperatures import parse_temperature

_RANGE = re.compile(r"(?P<low>[\d.,]+)\s*(?:…|\.{2,3}|–|—|-|\bto\b)\s*(?P<high>[\d.,]+)")


def typed_number(text: str, plausible: Span, *, field: str, unit: str = "") -> float:
    """A number with a decimal point or comma, the unit behind it or not; InvalidInputError names ``field``."""
    bare = text.strip()
    if unit:
        bare = bare.removesuffix(unit).strip()
    try:
        value = float(bare.replace(",", "."))
    except ValueError:
        raise InvalidInputError(f"“{text.strip()}” is no number.", field=field) from None
    if not math.isfinite(value) or not plausible.contains(value):
        raise InvalidInputError(f"{number_text(value)} is outside {plausible.text(unit)}.", field=field)
    return value


def typed_range(text: str, plausible: Span, *, field: str, unit: str = "") -> Span:
    """ "30…90", "30 to 90 s"; one number for both ends. InvalidInputError names ``field``."""
    bare = text.strip().removesuffix(unit).strip()
    match = _RANGE.fullmatch(bare)
    low, high = (match["low"], match["high"]) if match else (bare, bare)
    ends = [typed_number(end, plausible, field=field, unit=unit) for end in (low, high)]
    if ends[0] > ends[1]:
        raise InvalidInputError(f"“{text.strip()}” runs from the higher to the lower value.", field=field)
    return Span(*ends)


def typed_temperature(text: str, plausible: Span, *, field: str) -> float:
    """One temperature in °C, typed in °C or °F; InvalidInputError names ``field``."""
    span = parse_temperature(text, plausible=plausible, field=field).span_c
    if not span.known:
        raise InvalidInputError("One temperature, not a range.", field=field)
    return span.low


def typed_reference(text: str, *, needed: str = "") -> str:
    """The name of a document, tidied; InvalidInputError (``reference``) saying ``needed`` where there has to be one."""
    reference = " ".join(text.split())
    if needed and not reference:
        raise InvalidInputError(needed, field="reference")
    if len(reference) > REFERENCE_LENGTH:
        raise InvalidInputError(f"A reference has at most {REFERENCE_LENGTH} characters.", field="reference")
    return reference
