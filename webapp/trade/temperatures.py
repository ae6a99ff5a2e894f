"""Temperatures and temperature differences as people type them.

Temperatures are kept in °C and may be typed in °C or °F; differences are in K and are never read as temperatures.
"""

import re
from dataclasses import dataclass

from webapp.errors import InvalidInputError
from webapp.trade.ranges import Span, degrees_text, number_text

ANY_TEMPERATURE = Span(-273.15, 2000.0)
PEAK = Span(90.0, 320.0)
"""Peaks of soldering and curing steps, °C."""
BODY_LIMIT = Span(40.0, 420.0)
"""Limits of part bodies, °C."""
SERVICE = Span(-80.0, 200.0)
"""Ambient and service temperatures, °C."""
_MAX_DIFFERENCE_K = 500.0

_NUMBER = r"[+-]?\d{1,6}(?:[.,]\d{1,6})?"
_UNIT = r"(?:°|º|deg\.?|degrees?)?\s*(?P<{0}>[CFK]|celsius|fahrenheit|kelvin)?\.?"
_BETWEEN = r"\s*(?:…|\.{2,3}|–|—|/|~|\bto\b|\bbis\b|-)\s*"
_TEMPERATURE = re.compile(
    rf"(?P<low>{_NUMBER})\s*{_UNIT.format('unit_low')}(?:{_BETWEEN}(?P<high>{_NUMBER})\s*{_UNIT.format('unit_high')})?",
    re.IGNORECASE,
)
_DIFFERENCE = re.compile(rf"(?:±|\+/-)?\s*(?P<value>{_NUMBER})\s*(?P<unit>K|kelvin|°?\s*[CF])?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Typed:
    """What was understood of a typed temperature: the range in °C and the echo to show beside the field."""

    span_c: Span
    echo: str


def parse_temperature(
    text: str, *, plausible: Span = ANY_TEMPERATURE, field: str | None = None, is_range: bool = True
) -> Typed:
    """Read "245", "245 °C", "473 °F" or a range such as "-40…85 °C"; a bare number is in °C.

    ``plausible``: the values (°C) that make sense for the field; ``is_range``: whether it takes a range. Raises
    InvalidInputError, with ``field``, when the text is no temperature, is a difference (K), runs backwards or is not
    plausible; where the number would be plausible in °F, the message says so.
    """
    match = _TEMPERATURE.fullmatch(_plain(text))
    if match is None:
        examples = _examples(plausible, is_range=is_range)
        raise InvalidInputError(f"“{text.strip()}” is no temperature; write {examples}.", field=field)
    if match["high"] is not None and not is_range:
        raise InvalidInputError("One temperature, not a range.", field=field)
    unit_high = (match["unit_high"] or "").upper()[:1]
    unit_low = (match["unit_low"] or "").upper()[:1] or unit_high
    low = _number(match["low"])
    high = low if match["high"] is None else _number(match["high"])
    unit_high = unit_high or unit_low
    if "K" in (unit_low, unit_high):
        raise InvalidInputError("Temperatures are in °C (or °F); K is for differences.", field=field)
    ends = (_to_c(low, unit_low), _to_c(high, unit_high))
    if ends[0] > ends[1]:
        raise InvalidInputError(f"“{text.strip()}” runs from the higher to the lower temperature.", field=field)
    span = Span(*ends)
    if not plausible.contains(span):
        raise InvalidInputError(_implausible(low, high, unit_low, span, plausible), field=field)
    echo = temperature_text(span)
    if "F" in (unit_low, unit_high):
        echo = f"{text.strip()} = {echo}"
    return Typed(span, echo)


def parse_difference_k(text: str, *, field: str | None = None) -> float:
    """Read a temperature difference in K: "8" or "8 K", 0 to 500.

    Raises InvalidInputError for anything else; °C and °F are refused, because a difference is no temperature.
    """
    match = _DIFFERENCE.fullmatch(_plain(text))
    if match is None:
        raise InvalidInputError(f"“{text.strip()}” is no temperature difference; write 8 or 8 K.", field=field)
    unit = (match["unit"] or "K").strip("° ").upper()[:1]
    value = _number(match["value"])
    if unit != "K":
        kelvin = value if unit == "C" else value / 1.8
        raise InvalidInputError(
            f"A difference in K is wanted, not a temperature: write {degrees_text(kelvin)} K.", field=field
        )
    if not 0 <= value <= _MAX_DIFFERENCE_K:
        raise InvalidInputError("A temperature difference is from 0 to 500 K.", field=field)
    return value


def temperature_text(span_c: Span) -> str:
    """ "245 °C" or "−40 to 85 °C", to a tenth of a degree."""
    if not span_c.bounded:
        return span_c.text("°C")
    return Span(round(span_c.low, 1), round(span_c.high, 1)).text("°C")


def _examples(plausible: Span, *, is_range: bool) -> str:
    """What may be written, of the size that makes sense."""
    is_hot = plausible.contains(245.0)
    singles = "245 or 245 °C, 473 °F" if is_hot else "60 or 60 °C, 140 °F"
    between = "240…260" if is_hot else "-40…85"
    return f"{singles}, {between}" if is_range else singles


def _plain(text: str) -> str:
    return text.strip().replace("−", "-").replace("℃", "°C").replace("℉", "°F").replace("\u00a0", " ")


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _to_c(value: float, unit: str) -> float:
    return (value - 32.0) / 1.8 if unit == "F" else value


def _implausible(low: float, high: float, unit: str, span: Span, plausible: Span) -> str:
    message = f"{temperature_text(span)} is outside {temperature_text(plausible)}."
    if not unit and plausible.contains(as_f := Span(_to_c(low, "F"), _to_c(high, "F"))):
        typed = number_text(low) if low == high else f"{number_text(low)} to {number_text(high)}"
        message += f" If you mean °F, write {typed} °F ({temperature_text(as_f)})."
    return message
