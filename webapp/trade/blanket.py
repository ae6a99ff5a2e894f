"""What a statement over a site, a maker or a BOM can tell of a kind of part, and what it leaves as it is.

"All bodies stand 260 °C" is not meant of the cell or the display in its scope: no kind is lifted above what the best of
its parts stand, and kinds that need caution or never go through an oven are left to a statement over the part itself.
"""

from functools import cache

from webapp.trade.class_bounds import ClassBounds, Oven, bounds_of
from webapp.trade.classes import PartClass

_NOT_IN_THE_OVEN = frozenset({Oven.NEVER, Oven.AFTER})


@cache
def settles_limit(classes: PartClass, limit_c: float) -> bool:
    """Whether such a statement of a body limit, °C, tells something of a part that may be any of these."""
    return all(_is_meant(bounds) and bounds.limit_c.high >= limit_c for bounds in map(bounds_of, classes))


@cache
def settles_passes(classes: PartClass, passes: float) -> bool:
    """The same of reflow passes."""
    return all(_is_meant(bounds) and bounds.passes.high >= passes for bounds in map(bounds_of, classes))


def _is_meant(bounds: ClassBounds) -> bool:
    return not bounds.caution and not bounds.ovens <= _NOT_IN_THE_OVEN
