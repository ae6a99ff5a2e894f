"""Margins: how much room is left between a value and its limit."""

from webapp.checks.declare import registry


def margin_of(check_id: str, value: float | None, limit: float | None) -> float | None:
    """Room left, negative where the limit is passed or not reached, in the unit of both; None without a number.

    For a check that is no longer there the value is taken to have to stay below.
    """
    if value is None or limit is None:
        return None
    check = registry().get(check_id)
    margin = value - limit if check is not None and check.reaches else limit - value
    # 0.1 has no exact form: what is left of it is not shown.
    return round(margin, 6)
