"""Numbers as people type them into forms."""

import math
import re

from webapp.errors import InvalidInputError
from webapp.store.parts import REFERENCE_LENGTH
from webapp.trade.lengths import IN_MM, parse_length
from webapp.trade.ranges import Span, number_text
from webapp.trade.temperatures import parse_temperature
from webapp.trade.typed_text import tidy_line
from webapp.trade.units import factor_of

_PER_CENT = re.compile(r"\s*(?:(?:wt|mass|m|vol|v)\.?[\s-]*)?%$", re.IGNORECASE)
_NUMBER_AND_UNIT = re.compile(r"(?P<number>[+-]?[\d.,]+)\s*(?P<unit>[^\d\s].*)")
_RANGE = re.compile(r"(?P<low>[\d.,]+)\s*(?:…|\.{2,3}|–|—|-|\bto\b)\s*(?P<high>[\d.,]+)")


def typed_number(text: str, plausible: Span, *, field: str, unit: str = "") -> float:
    """A number with a decimal point or comma, the unit behind it or not; InvalidInputError names ``field``.

    A length (``unit`` mm or µm) may be typed in mm, µm, mil or inch; per cent as "85.8 %" or "85.8 wt%"; others in
    the multiples and spellings of ``trade.units``: "5 min" for 300 s.
    """
    if unit in IN_MM:
        return _typed_length(text, plausible, field=field, unit=unit)
    bare, factor = _without_unit(text.strip(), unit)
    try:
        value = float(bare.replace(",", ".")) * factor
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InvalidInputError(f"“{text.strip()}” is no number.", field=field)
    if not plausible.contains(value):
        raise InvalidInputError(f"{number_text(value)} is outside {plausible.text(unit)}.", field=field)
    return value


def _without_unit(text: str, unit: str) -> tuple[str, float]:
    """The number of the text, and the factor of the unit behind it."""
    if unit.endswith("%"):
        text = _PER_CENT.sub("", text)
    bare = text.removesuffix(unit).strip()
    match = _NUMBER_AND_UNIT.fullmatch(bare)
    factor = factor_of(match["unit"], unit) if match else None
    return (match["number"], factor) if match and factor is not None else (bare, 1.0)


def typed_count(text: str, plausible: Span, *, field: str, unit: str = "") -> int:
    """A whole number; InvalidInputError names ``field`` and what was read."""
    value = typed_number(text, plausible, field=field, unit=unit)
    if not value.is_integer():
        raise InvalidInputError(f"“{text.strip()}” is no whole number.", field=field)
    return int(value)


def _typed_length(text: str, plausible: Span, *, field: str, unit: str) -> float:
    span = parse_length(text, unit=unit, plausible=plausible, field=field).span
    if not span.known:
        raise InvalidInputError("One length, not a range.", field=field)
    return span.low


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
    return parse_temperature(text, plausible=plausible, field=field, is_range=False).span_c.low


def typed_reference(text: str, *, needed: str = "") -> str:
    """The name of a document, tidied; InvalidInputError (``reference``) saying ``needed`` where there has to be one."""
    reference = tidy_line(text, field="reference")
    if needed and not reference:
        raise InvalidInputError(needed, field="reference")
    if len(reference) > REFERENCE_LENGTH:
        raise InvalidInputError(f"A reference has at most {REFERENCE_LENGTH} characters.", field="reference")
    return reference
