"""Margins: how much room is left between a value and its limit."""

_TO_REACH = frozenset({"joint-forms", "ball-mixing"})
"""Checks whose value has to reach the limit; of all others it has to stay below."""


def margin_of(check_id: str, value: float | None, limit: float | None) -> float | None:
    """Room left, negative where the limit is passed or not reached, in the unit of both; None without a number."""
    if value is None or limit is None:
        return None
    return value - limit if check_id in _TO_REACH else limit - value
