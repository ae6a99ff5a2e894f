"""Several parts for one line: told apart within a cell, across columns, and in rows of their own."""

import re

from rapidfuzz import fuzz

from webapp.trade.bom import Alternate, BomLine

_BETWEEN = re.compile(r"\s*(?:\r?\n|;|\||,\s+|\s/\s|\s+or\s+|\s+oder\s+|\s+ou\s+|\s+или\s+|、|；)\s*", re.IGNORECASE)
_SEVERAL = re.compile(r"[\s;|、；]")  # nothing is told apart without one of these
_ALTERNATE = re.compile(
    r"or|oder|ou|или|second(?:ary)? source|2nd(?: source)?|substitutes?|ersatz|替代|замена"
    r"|(?:alt|altern|alternates?|alternatives?|alternativ|alternativa|alternativo)\.?(?: (?:\d|part|source))?",
    re.IGNORECASE,
)
_ALIKE = 85  # per cent, rapidfuzz ratio of two descriptions


def _is_number_like(text: str) -> bool:
    return len(text) >= 4 and any(c.isdigit() for c in text)


def says_alternate(refdes: str) -> bool:
    """Whether words in the place of designators say that the row names another part for the line above."""
    return bool(refdes) and _ALTERNATE.fullmatch(refdes.strip(" .:()[]")) is not None


def is_several(mpn: str) -> bool:
    """Whether a cell could hold more than one part number."""
    return _SEVERAL.search(mpn) is not None


def parts_of(mpn: str, manufacturer: str, *, both: bool) -> tuple[Alternate, ...]:
    """The parts a line names, first the one to use; one entry when the cells name one part.

    ``both``: the MPN cell holds maker and number ("Maker X-100, Other Y-200").
    """
    if not both and not is_several(mpn):
        return (Alternate(manufacturer or None, mpn or None),)
    numbers = [part for part in _BETWEEN.split(mpn) if part]
    if len(numbers) < 2 or not all(_is_number_like(part) for part in numbers):
        numbers = [_in_one_line(mpn)]
    if both:
        return tuple(_maker_and_number(part) for part in numbers)
    makers = [part for part in _BETWEEN.split(manufacturer) if part]
    if len(makers) != len(numbers):
        makers = [_in_one_line(manufacturer)] * len(numbers)
    return tuple(Alternate(maker or None, number or None) for maker, number in zip(makers, numbers, strict=True))


def _in_one_line(text: str) -> str:
    return " ".join(text.split("\n")).strip()


def _maker_and_number(text: str) -> Alternate:
    """Words without a digit are the maker, before or behind the number."""
    words = text.split()
    digits = [any(c.isdigit() for c in word) for word in words]
    if not any(digits) or all(digits):
        return Alternate(None, text or None)
    if digits[0]:
        at = digits.index(False)
        return Alternate(" ".join(words[at:]), " ".join(words[:at]))
    at = digits.index(True)
    return Alternate(" ".join(words[:at]), " ".join(words[at:]))


def is_alternate_row(line: BomLine, before: BomLine | None) -> bool:
    """Whether a row without designators names another part for the line before it.

    It does when it gives a part number and either no quantity, or the description of the line before.
    """
    if before is None or line.refdes or not line.mpn or not before.refdes:
        return False
    if line.qty is None:
        return True
    return bool(line.description and before.description) and (
        fuzz.ratio(line.description or "", before.description or "") >= _ALIKE
    )
