"""One check on one route: evaluated at both corners, merged, and for lines reduced to the worst exposure."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.checks.columns import Columns, Inputs, RouteArrays, setup_span
from webapp.checks.declare import Check, Outcome, Scope
from webapp.checks.verdicts import Codes, Flags, Values, Verdict, Why, merge_corners

NO_STEP = -1
NOTHING_MISSING = -1


@dataclass(frozen=True)
class Elements:
    """A check's result, one entry an element of its scope (line, step, or the product).

    ``why`` are positions in list(Why); ``step`` the step that decides (NO_STEP for none); ``missing`` the position of
    the need whose datum would settle it (NOTHING_MISSING for none). ``detail``: Outcome's, at the corner that decides.
    """

    verdict: Codes
    why: NDArray[np.int8]
    value: Values
    limit: Values
    step: NDArray[np.int64]
    missing: NDArray[np.int64]
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
    certain = np.isin(why, [list(Why).index(Why.CERTAIN)])
    told = _either(certain, best, worst)
    missing = _missing(check, columns, route, verdict, why)
    step = _steps(check, verdict.shape)
    if check.scope is Scope.LINE_STEP:
        return _worst_exposure(Elements(verdict, why, told.value, told.limit, step, missing, told.detail))
    return Elements(verdict, why, told.value, told.limit, step, missing, told.detail)


def _at(check: Check, columns: Columns, route: RouteArrays, worst: tuple[str, ...] | list[str]) -> Outcome:
    names = frozenset(worst)
    return check.evaluate(Inputs(columns, route, check, names.__contains__))


def _either(choose: Flags, one: Outcome, other: Outcome) -> Outcome:
    """Element by element ``one`` where ``choose``, else ``other``."""
    return Outcome(
        np.where(choose, one.verdict, other.verdict),
        np.where(choose, one.value, other.value),
        np.where(choose, one.limit, other.limit),
        {name: np.where(choose, one.detail[name], values) for name, values in other.detail.items()},
    )


def _evidence(check: Check, columns: Columns, shape: tuple[int, ...]) -> tuple[Flags, Flags]:
    """Whether what was used may decide, and whether any of it was known."""
    if check.scope not in (Scope.LINE, Scope.LINE_STEP):
        return np.ones(shape, dtype=np.bool_), np.ones(shape, dtype=np.bool_)
    names = [need.name for need in check.needs if need.name in columns.ranges or need.name in columns.masks]
    firm, known = np.ones(len(columns), dtype=np.bool_), np.zeros(len(columns), dtype=np.bool_)
    for name in names:
        firm &= columns.firm(name)
        known |= columns.firm(name)
    if not names:
        known = ~known
    if len(shape) == 2:
        return np.broadcast_to(firm[:, None], shape), np.broadcast_to(known[:, None], shape)
    return firm, known


def _missing(
    check: Check, columns: Columns, route: RouteArrays, verdict: Codes, why: NDArray[np.int8]
) -> NDArray[np.int64]:
    """For elements that are open for want of data: the first need that alone would settle them, else the first."""
    missing = np.full(verdict.shape, NOTHING_MISSING, dtype=np.int64)
    wanting = np.isin(why, [list(Why).index(Why.UNKNOWN), list(Why).index(Why.NOTHING_KNOWN)])
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


def _steps(check: Check, shape: tuple[int, ...]) -> NDArray[np.int64]:
    if check.scope is Scope.STEP:
        return np.arange(shape[0], dtype=np.int64)
    if check.scope is Scope.LINE_STEP:
        return np.broadcast_to(np.arange(shape[1], dtype=np.int64), shape).copy()
    return np.full(shape, NO_STEP, dtype=np.int64)


def _worst_exposure(found: Elements) -> Elements:
    """For every line the step with the gravest verdict, among equals the one with the least margin."""
    if found.verdict.shape[1] == 0:
        none = np.full(found.verdict.shape[0], NO_STEP, dtype=np.int64)
        blank = np.full(none.shape, np.nan)
        details = dict.fromkeys(found.detail, blank)
        return Elements(none.astype(np.int8), none.astype(np.int8) * 0, blank, blank, none, none, details)
    excess = np.nan_to_num(found.value - found.limit, nan=-1e5, posinf=1e5, neginf=-1e5).clip(-1e5, 1e5)
    worst = np.argmax(found.verdict.astype(np.float64) * 1e6 + excess, axis=1)
    rows = np.arange(len(worst))
    return Elements(
        found.verdict[rows, worst],
        found.why[rows, worst],
        found.value[rows, worst],
        found.limit[rows, worst],
        found.step[rows, worst],
        found.missing[rows, worst],
        {name: values[rows, worst] for name, values in found.detail.items()},
    )
