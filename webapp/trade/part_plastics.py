"""Plastics that a line names: of connectors and of the film in capacitors. They decide between 220 and 260 °C."""

import re
from dataclasses import dataclass
from functools import cache, lru_cache

from webapp.trade.classes import PartClass
from webapp.trade.ranges import Span
from webapp.trade.sources import Source
from webapp.trade.tables import Row, rows

_CACHED_TEXTS = 20_000
_CONNECTORS = PartClass.CONNECTOR | PartClass.CONNECTOR_HOT | PartClass.HEADER


@dataclass(frozen=True, slots=True)
class Plastic:
    """A plastic by name: what a body of it stands, °C, at best and at worst, and whether it is made for reflow."""

    name: str
    limit_c: Span
    for_reflow: bool
    source: Source


@lru_cache(maxsize=_CACHED_TEXTS)
def plastic_in(text: str, classes: PartClass) -> Plastic | None:
    """The plastic that ``text`` names for a connector or a surface-mount film capacitor; ``None`` for other parts.

    Two that contradict each other (a housing and its cap) are none.
    """
    if classes == PartClass.FILM_SMD:
        patterns = _patterns()["film"]
    elif not classes & ~_CONNECTORS:
        patterns = _patterns()["connector"]
    else:
        return None
    found = [plastic for pattern, plastic in patterns if pattern.search(text)]
    return found[0] if found and len({plastic.for_reflow for plastic in found}) == 1 else None


@cache
def _patterns() -> dict[str, list[tuple[re.Pattern[str], Plastic]]]:
    found: dict[str, list[tuple[re.Pattern[str], Plastic]]] = {}
    for row in rows("plastics"):
        source = row.source()
        plastic = Plastic(row.text("name"), row.span("limit_c"), row.flag("for_reflow"), source)
        found.setdefault(row.text("of"), []).append((_pattern(row), plastic))
    return found


def _pattern(row: Row) -> re.Pattern[str]:
    """Abbreviations in capitals only ("5 pct" is no plastic), words however written."""
    short = "|".join(map(re.escape, filter(None, row.text("spellings").split("|"))))
    words = "|".join(map(re.escape, filter(None, row.text("words").split("|"))))
    ways = [f"(?:{short})" if short else "", f"(?i:{words})" if words else ""]
    return re.compile(rf"(?<![A-Za-z0-9])(?:{'|'.join(filter(None, ways))})(?![A-Za-z0-9]|[/.]\d)")
