"""Lengths as people type them: kept in mm, thin layers in µm; typed in mm, µm, mil or inch."""

import re
from dataclasses import dataclass

from webapp.errors import InvalidInputError
from webapp.trade.ranges import Span

IN_MM = {"mm": 1.0, "µm": 0.001, "mil": 0.0254, "inch": 25.4}
"""Unit -> mm; the inch is 25.4 mm and the mil a thousandth of it (ISO 80000-3)."""
_SPELLINGS = {
    "mm": "mm",
    "µm": "µm",
    "um": "µm",
    "micron": "µm",
    "microns": "µm",
    "mil": "mil",
    "mils": "mil",
    "thou": "mil",
    "in": "inch",
    "inch": "inch",
    "inches": "inch",
    '"': "inch",
    "″": "inch",
}
# A nanometre is finer than anything that is typed, and takes off the last digits of a conversion.
_DIGITS = 6
_NUMBER = r"\d{1,7}(?:[.,]\d{1,6})?"
_UNIT = rf"(?:{'|'.join(sorted(map(re.escape, _SPELLINGS), key=len, reverse=True))})"
_LENGTH = re.compile(
    rf"(?P<low>{_NUMBER})\s*(?P<unit_low>{_UNIT})?"
    rf"(?:\s*(?:…|\.{{2,3}}|–|—|-|\bto\b)\s*(?P<high>{_NUMBER})\s*(?P<unit_high>{_UNIT})?)?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class TypedLength:
    """What was understood: the range in the unit it is kept in, and the echo to show beside the field."""

    span: Span
    echo: str


def parse_length(text: str, *, unit: str = "mm", plausible: Span, field: str | None = None) -> TypedLength:
    """Read "0.12", "120 µm", "120um", "5 mil", "0.02 inch" or a range of them; a bare number is in ``unit``.

    ``unit``: "mm" or "µm", in which it is kept and ``plausible`` given. InvalidInputError (``field``) for what is no
    length, runs backwards or makes no sense; where a bare number would make sense in another unit, it says so.
    """
    match = _LENGTH.fullmatch(text.strip().replace("μ", "µ").replace("\u00a0", " "))
    if match is None:
        raise InvalidInputError(f"“{text.strip()}” is no length; write 0.12 mm, 120 µm or 5 mil.", field=field)
    high_unit = match["unit_high"] or match["unit_low"] or ""
    units = [_SPELLINGS.get(one.lower(), "") for one in (match["unit_low"] or high_unit, high_unit)]
    numbers = [float(one.replace(",", ".")) for one in (match["low"], match["high"] or match["low"])]
    low, high = (_converted(value, typed or unit, unit) for value, typed in zip(numbers, units, strict=True))
    if low > high:
        raise InvalidInputError(f"“{text.strip()}” runs from the higher to the lower value.", field=field)
    span = Span(low, high)
    if not plausible.contains(span):
        message = f"{span.text(unit)} is outside {plausible.text(unit)}."
        raise InvalidInputError(message if any(units) else message + _meant(span, unit, plausible), field=field)
    is_other = any(typed not in ("", unit) for typed in units)
    return TypedLength(span, f"{text.strip()} = {span.text(unit)}" if is_other else span.text(unit))


def _converted(value: float, typed: str, unit: str) -> float:
    return value if typed == unit else round(value * IN_MM[typed] / IN_MM[unit], _DIGITS)


def _meant(span: Span, unit: str, plausible: Span) -> str:
    """The units in which a bare number would make sense."""
    found = []
    for other in IN_MM:
        read = Span(_converted(span.low, other, unit), _converted(span.high, other, unit))
        if other != unit and plausible.contains(read):
            found.append(f"{other}, write {span.text(other)} ({read.text(unit)})")
    return f" If you mean {'; if '.join(found)}." if found else ""
