"""The order of designators in the trade: C2 before C10, whatever the case."""

import re
from collections.abc import Iterable

_DIGITS = re.compile(r"\d+")
_FIGURES = "0123456789"
_WIDTH = 10


def order_key(name: str) -> str:
    """Text that sorts as the designator does, also in a database: figures filled up with zeros."""
    folded = name.casefold()
    letters = folded.rstrip(_FIGURES)
    if letters.isalpha() and letters != folded:
        # Nearly all are letters and a figure, and there may be tens of thousands.
        return letters + folded[len(letters) :].zfill(_WIDTH)
    return _DIGITS.sub(lambda found: found[0].zfill(_WIDTH), folded)


def ordered(names: Iterable[str]) -> list[str]:
    """The names in their order."""
    # The second sort keeps the first one's order among equals.
    return sorted(sorted(names), key=order_key)


def in_order(names: Iterable[str]) -> tuple[str, ...]:
    """The names, each once, in their order."""
    return tuple(ordered(set(names)))
