"""Quantities as printed: numbers with a decimal sign of the file's own and perhaps a unit."""

import re
from collections.abc import Iterable
from functools import lru_cache

_NUMBER = re.compile(
    r"[x×]?\s*(\d{1,9}(?:[.,]\d{1,6})?)\s*(?:x|×|pcs?|pieces?|ea|each|шт|pz|st|stk|stck|stück|nos?|个|只|個|本|枚|套|片|粒)?\.?",
    re.IGNORECASE,
)
_BRACKETS = re.compile(r"\s*[(\[（][^)\]）]*[)\]）]")
_COMMA_ZEROS = re.compile(r"\d{1,3},000")
_COMMA_DECIMAL = re.compile(r"\d+,(?:\d{1,2}|\d{4,6})")


@lru_cache(maxsize=4096)
def parse_quantity(text: str, decimal: str = ".") -> float | None:
    """The quantity in a cell ("4", "4 pcs", "x4", "0,5" where ``decimal`` is a comma); None if it is no number."""
    match = _NUMBER.fullmatch(_BRACKETS.sub("", text).strip())
    if match is None:
        return None
    number = match[1]
    number = number.replace(",", ".") if decimal == "," else number.replace(",", "")
    return float(number)


def decimal_sign(cells: Iterable[str], *, is_likely_comma: bool = False) -> str:
    """The decimal sign of a whole quantity column: a comma only where one stands as no thousands sign could.

    ``is_likely_comma``: the file is of a kind that writes decimals with a comma, so that "1,000" on every line is one.
    """
    filled = {cell.strip() for cell in cells if cell.strip()}
    if any(map(_COMMA_DECIMAL.fullmatch, filled)):
        return ","
    return "," if is_likely_comma and filled and all(map(_COMMA_ZEROS.fullmatch, filled)) else "."
