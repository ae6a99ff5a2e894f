"""Energy of reflow ovens: the power of a convection oven against its peak, for comparing pastes.

P / P_ref = (1 - f) + f (T - T_room) / (T_ref - T_room): of the power at the reference peak the share f grows with the
peak above the room, the rest (belt, fans, losses) stays. f = 0.67 gives the 11 % that were printed for 240 to 205 °C
(trade report of a conference paper of 2023; trade/tables/practice.csv, ``oven_load_share``).
"""

from webapp.errors import InvalidInputError
from webapp.trade.ranges import Span

REFERENCE_PEAK_C, ROOM_C = 240.0, 25.0
COLDEST_PEAK_C, HOTTEST_PEAK_C = 100.0, 300.0


def oven_power_ratio(peak_c: Span, load_share: Span) -> Span:
    """Power at ``peak_c`` (100 to 300 °C) over that at 240 °C, from the least to the most; ``load_share`` 0 to 1.

    A screening band: recipe, belt speed and load matter as much. Raises :class:`InvalidInputError` outside the range.
    """
    if not Span(COLDEST_PEAK_C, HOTTEST_PEAK_C).contains(peak_c) or not Span(0, 1).contains(load_share):
        message = f"A peak is between {COLDEST_PEAK_C:g} and {HOTTEST_PEAK_C:g} °C here, a share between 0 and 1."
        raise InvalidInputError(message, field="peak_c")
    corners = [
        1 - share + share * (peak - ROOM_C) / (REFERENCE_PEAK_C - ROOM_C)
        for peak in (peak_c.low, peak_c.high)
        for share in (load_share.low, load_share.high)
    ]
    return Span(min(corners), max(corners))
