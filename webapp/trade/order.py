"""The order of designators in the trade: C2 before C10, whatever the case."""

import re
from collections.abc import Iterable

_DIGITS = re.compile(r"\d+")
_WIDTH = 10


def order_key(name: str) -> str:
    """Text that sorts as the designator does, also in a database: figures filled up with zeros."""
    return _DIGITS.sub(lambda found: found[0].zfill(_WIDTH), name.casefold())


def in_order(names: Iterable[str]) -> tuple[str, ...]:
    """The names, each once, in their order."""
    return tuple(sorted(set(names), key=lambda name: (order_key(name), name)))
