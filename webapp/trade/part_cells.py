"""Cells and batteries called by their type alone: CR2032, ER14505, 18650.

The letters say chemistry and shape (IEC 60086-1 for primary, IEC 61960 for lithium-ion cells), the digits diameter and
height. Resistors and diodes have numbers that look the same (CR1206, LR2010): a type counts where the designator allows
a cell, or where no resistor has that size.
"""

import re
from functools import cache, lru_cache

from webapp.trade.masks import Mounting
from webapp.trade.tables import rows

_CACHED_TEXTS = 20_000
_SHAPES = {
    # diameter in mm, height in tenths of a mm
    "coin": r"(?:[4-79]|1[0-9]|2[0-57]|30)(?:0[89]|[1-7]\d)",
    # diameter in mm, length in tenths of a mm; 2/3 A in camera cells
    "cylinder": r"(?:1[0-9]|2[0-6]|3[2-4])(?:[2-9]\d)[05]|123A|P2",
    # the old numbers of usual sizes: LR6, LR03, SR44
    "short": r"0?[136]|14|20|4[1-8]|5[4-9]|6\d|[67]\d\d",
    "bare": r"10440|14250|14500|16340|17500|18350|18500|18650|20700|21700|26650|32650",
}
_OF_CHIPS = frozenset("1206 1210 1218 1225 1812 2010 2512".split())
"""Chip sizes that stand behind the same letters in numbers of resistors."""


@cache
def _patterns() -> tuple[re.Pattern[str], re.Pattern[str]]:
    """Types that are a cell whatever the designator, and all of them."""
    alone, every = [], []
    for row in rows("cell_types"):
        sizes = "|".join(_SHAPES[shape] for shape in row.text("shape").split())
        every.append(f"{row.text('letters')}[- ]?(?:{sizes})")
        if row.flag("alone"):
            alone.append(every[-1])
    return _whole(alone), _whole(every)


def _whole(types: list[str]) -> re.Pattern[str]:
    return re.compile(rf"(?<![A-Z0-9.])(?P<type>{'|'.join(types)})(?![0-9.])")


@lru_cache(maxsize=_CACHED_TEXTS)
def cell_type_in(text: str, *, for_cell: bool) -> str:
    """The type of a cell that ``text`` names, "CR2032"; "" without one.

    ``for_cell``: the designator or a word says that the line may be a cell; else only what nothing else is called.
    """
    alone, every = _patterns()
    for match in (every if for_cell else alone).finditer(text.upper()):
        if for_cell or match["type"][-4:] not in _OF_CHIPS:
            return match["type"]
    return ""


_HOLDERS = re.compile(
    r"(?<![^\W_])(?:(?:batter(?:y|ie)|batt?|cell|coin|coincell)?(?:holder|retainer|halter(?:ung)?|clip|cradle)s?"
    r"|socket|soporte|portapila[s]?|portabatterie|support|держатель|電池ホルダー?|电池座)(?![^\W_])",
    re.IGNORECASE,
)


@lru_cache(maxsize=_CACHED_TEXTS)
def cell_holder_word(text: str) -> str:
    """The word that makes a holder of what the text calls a cell: holder, clip, retainer, socket; "" without one."""
    match = _HOLDERS.search(text)
    return match[0] if match else ""


_TABS = re.compile(r"(?<![^\W_])(?:tab(?:s|bed)?|tag(?:s|ged)?|pins?|wires?|leads)(?![^\W_])", re.IGNORECASE)
_PLUGGED = re.compile(r"(?<![^\W_])(?:plug(?:ged)?|holder)(?![^\W_])", re.IGNORECASE)


@lru_cache(maxsize=_CACHED_TEXTS)
def cell_mounting(text: str) -> tuple[Mounting, str]:
    """How a cell gets onto the board by tabs and wires, or a holder, and the word; everything where none is named."""
    for pattern, mounting in ((_TABS, Mounting.THROUGH_HOLE), (_PLUGGED, Mounting.HAND)):
        if (match := pattern.search(text)) is not None:
            return mounting, match[0]
    return Mounting.everything(), ""
