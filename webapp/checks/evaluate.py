"""One check on one route: evaluated at both corners, merged, and for lines reduced to the worst exposure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.checks.columns import Columns, RouteArrays
from webapp.checks.declare import Check, Outcome, Scope
from webapp.checks.inputs import Inputs, setup_span
from webapp.checks.verdicts import Codes, Flags, Values, Verdict, Why, code_of, merge_corners

NO_STEP = -1
NOTHING_MISSING = -1


@dataclass(frozen=True)
class Elements:
    """A check's result, one entry an element: a line (reduced to its worst step), a step, or the product.

    ``why`` are codes (verdicts.code_of); ``step`` the step that decides (NO_STEP for none); ``missing`` the position of
    the need whose datum would settle it (NOTHING_MISSING for none). ``detail``: Outcome's, at the corner that decides;
    ``made``: the step that makes the line's joints there.
    """

    verdict: Codes
    why: NDArray[np.int8]
    value: Values
    limit: Values
    step: NDArray[np.int64]
    missing: NDArray[np.int64]
    made: NDArray[np.int64]
    detail: Mapping[str, Values]


@dataclass(frozen=True)
class _Corner:
    """A check at one corner of what is possible, one entry an element."""

    verdict: Codes
    value: Values
    limit: Values
    step: NDArray[np.int64]
    made: NDArray[np.int64]
    detail: Mapping[str, Values]


def evaluate(check: Check, columns: Columns, route: RouteArrays) -> Elements:
    """Run ``check`` over all lines of ``columns`` on ``route``."""
    best = _at(check, columns, route, worst=())
    worst = _at(check, columns, route, worst=[need.name for need in check.needs])
    firm, known = _evidence(check, columns, best.verdict.shape)
    if (best.verdict[~firm] >= Verdict.PROVE).any():
        # Some of it is only assumed. What fails with that left open does not hang on it.
        bare = _at(check, columns.opened, route, worst=())
        fails = ~firm & (bare.verdict >= Verdict.PROVE)
        best = _either(fails, bare, best)
        firm = firm | fails
    verdict, why = merge_corners(
        best.verdict, worst.verdict, firm=firm, known=known, wrong_fine_hurts=check.wrong_fine_hurts
    )
    if not check.may_pass:
        verdict[verdict == Verdict.FINE] = Verdict.NONE
    told = _either(why == code_of(Why.CERTAIN), best, worst)
    missing = _missing(check, columns, route, verdict, why)
    return Elements(verdict, why, told.value, told.limit, told.step, missing, told.made, told.detail)


def _at(check: Check, columns: Columns, route: RouteArrays, worst: Sequence[str]) -> _Corner:
    """At every place where a line's joints may be made; of these the gravest, or where that suits best the mildest.

    Neither end need be an extreme one: earlier means more heat after it, but another pass may have another alloy.
    """
    names = frozenset(worst)
    hard, matters = "position" in names, any(need.name == "position" for need in check.needs)
    places = route.places if hard else route.places[::-1]
    corners = [
        _corner(check, check.evaluate(Inputs(columns, route, check, names.__contains__, made)), made)
        for made in (places if matters else places[:1])
    ]
    found = corners[0]
    for other in corners[1:]:
        better = other.verdict > found.verdict if hard else other.verdict < found.verdict
        found = _either(better, other, found)
    return found


def _corner(check: Check, outcome: Outcome, made: NDArray[np.int64]) -> _Corner:
    if check.scope is Scope.LINE_STEP:
        return _worst_exposure(check, outcome, made)
    count = outcome.verdict.shape[0]
    step = np.arange(count) if check.scope is Scope.STEP else np.full(count, NO_STEP)
    of_lines = made if check.scope is Scope.LINE else np.full(count, NO_STEP)
    return _Corner(outcome.verdict, outcome.value, outcome.limit, step, of_lines, outcome.detail)


def excess(check: Check, value: Values, limit: Values) -> Values:
    """How far each value is past its limit, in the check's unit: the greater, the less margin."""
    return limit - value if check.reaches else value - limit


def _worst_exposure(check: Check, found: Outcome, made: NDArray[np.int64]) -> _Corner:
    """For every line the step with the gravest verdict, among equals the one with the least margin."""
    lines, steps = found.verdict.shape
    if steps == 0:
        none, blank = np.full(lines, NO_STEP), np.full(lines, np.nan)
        return _Corner(none.astype(np.int8), blank, blank, none, made, dict.fromkeys(found.detail, blank))
    past = np.nan_to_num(excess(check, found.value, found.limit), nan=-1e5, posinf=1e5, neginf=-1e5).clip(-1e5, 1e5)
    worst = np.argmax(found.verdict.astype(np.float64) * 1e6 + past, axis=1)
    rows = np.arange(lines)
    return _Corner(
        found.verdict[rows, worst],
        found.value[rows, worst],
        found.limit[rows, worst],
        worst,
        made,
        {name: values[rows, worst] for name, values in found.detail.items()},
    )


def _either(choose: Flags, one: _Corner, other: _Corner) -> _Corner:
    """Element by element ``one`` where ``choose``, else ``other``."""
    return _Corner(
        np.where(choose, one.verdict, other.verdict),
        np.where(choose, one.value, other.value),
        np.where(choose, one.limit, other.limit),
        np.where(choose, one.step, other.step),
        np.where(choose, one.made, other.made),
        {name: np.where(choose, one.detail[name], values) for name, values in other.detail.items()},
    )


def _evidence(check: Check, columns: Columns, shape: tuple[int, ...]) -> tuple[Flags, Flags]:
    """Whether what was used may decide, and whether any of it was known."""
    if not check.scope.is_of_lines:
        return np.ones(shape, dtype=np.bool_), np.ones(shape, dtype=np.bool_)
    names = [need.name for need in check.needs if need.name in columns.ranges or need.name in columns.masks]
    firm, known = np.ones(len(columns), dtype=np.bool_), np.zeros(len(columns), dtype=np.bool_)
    for name in names:
        firm &= columns.firm(name)
        known |= columns.firm(name)
    return firm, known if names else ~known


def _missing(
    check: Check, columns: Columns, route: RouteArrays, verdict: Codes, why: NDArray[np.int8]
) -> NDArray[np.int64]:
    """For elements that are open for want of data: the first need that alone would settle them, else the first."""
    missing = np.full(verdict.shape, NOTHING_MISSING, dtype=np.int64)
    wanting = np.isin(why, [code_of(Why.UNKNOWN), code_of(Why.NOTHING_KNOWN)])
    wanting &= verdict >= Verdict.PROVE
    if not wanting.any() or not check.needs:
        return missing
    missing[wanting] = next((i for i, need in enumerate(check.needs) if _is_open(need.name, columns)), 0)
    everything = [need.name for need in check.needs]
    for i in reversed(range(len(check.needs))):
        others = [name for name in everything if name != check.needs[i].name]
        settled = _at(check, columns, route, worst=others).verdict < Verdict.PROVE
        missing[wanting & settled] = i
    return missing


def _is_open(name: str, columns: Columns) -> bool:
    """Whether a datum of board or environment is not known, so that it is missing for every line alike."""
    has_it = hasattr(columns.case.environment, name) or hasattr(columns.case.board, name)
    is_number = name not in columns.ranges and name not in columns.masks and name != "position"
    return has_it and is_number and not setup_span(columns.case, name).known
