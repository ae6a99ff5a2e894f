"""A case against the same case with one change: what is cleared, what is opened, counts before and after."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.checks.assess import readiness
from webapp.checks.columns import Case, Columns, RouteArrays, route_arrays
from webapp.checks.declare import Check, Scope, registry
from webapp.checks.evaluate import Elements, evaluate
from webapp.checks.findings import Finding, Groups
from webapp.checks.verdicts import Codes, Verdict
from webapp.planning.changes import Change, Place

MOST_NAMED = 5
"""At most so many findings that a change opens, or clears besides, are told one by one; the rest are counted."""
COUNTED = (Verdict.BLOCKS, Verdict.CHANGE, Verdict.PROVE, Verdict.GAIN)


@dataclass(frozen=True, slots=True)
class Standing:
    """How a case stands: findings by verdict (those of COUNTED), share (0-1) of placements with nothing open."""

    counts: Mapping[Verdict, int]
    readiness: float | None


@dataclass(frozen=True, slots=True)
class Opened:
    """A finding that a change opens or makes graver; ``was_gain``: the conversion's gain is lost by it."""

    finding: Finding
    was_gain: bool


@dataclass(frozen=True, slots=True)
class Way:
    """What one change does to a finding and to all others.

    ``left``: the gravest verdict left on what the finding is about, FINE where it is cleared. ``opens`` and ``clears``
    (besides the finding): the gravest ``MOST_NAMED`` of ``open_count`` and ``clear_count``; ``opened``: how many of
    each verdict.
    """

    change: Change
    left: Verdict
    before: Standing
    after: Standing
    opens: tuple[Opened, ...]
    opened: Mapping[Verdict, int]
    clears: tuple[Finding, ...]
    clear_count: int

    @property
    def is_clear(self) -> bool:
        """Whether the finding is cleared."""
        return not self.left.is_open

    @property
    def open_count(self) -> int:
        """How many findings it opens or makes graver."""
        return sum(self.opened.values())


@dataclass(frozen=True)
class _State:
    """A case on its route: check id -> its groups of findings, and how it stands."""

    groups: Mapping[str, Groups]
    standing: Standing


class Baseline:
    """A case as it is, against which changes are tried. What does not change is worked out once."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.columns = Columns(case)
        self.route = route_arrays(self.columns, case.route)
        self.elements = _evaluated(self.columns, self.route)
        self._today = _evaluated(self.columns, route_arrays(self.columns, case.today))
        self._state = _state(self.columns, self.route, self.elements, self._today)

    def finding(self, key: str) -> Finding | None:
        """The finding of that key; None where there is none (any more)."""
        groups = self._state.groups.get(key.split("|")[0])
        return next((found for found in groups.findings() if found.key == key), None) if groups else None

    def with_change(self, change: Change, finding: Finding) -> Way:
        """What ``change`` does to ``finding`` (of this case) and to the rest."""
        after = self._changed(change)
        left, opened, cleared = Verdict.FINE, list[tuple[Verdict, Groups, int, bool]](), list[tuple[Groups, int]]()
        for check in registry().values():
            old, new = self._state.groups[check.id], after.groups[check.id]
            known, worn = _as_after(check, old.verdict, change), _as_before(check, new.verdict, old.verdict, change)
            worse = (new.verdict >= Verdict.PROVE) & (new.verdict > known)
            for group, members in enumerate(new.members):
                if worse[members].any():
                    verdict = Verdict(int(new.verdict[members[0]]))
                    opened.append((verdict, new, group, bool((known[members] == Verdict.GAIN).any())))
            for group, members in enumerate(old.members):
                gravest = Verdict(int(worn[members].max()))
                is_it = check.id == finding.check and _is_of(check, finding, members)
                if is_it:
                    left = max(left, gravest)
                elif old.verdict[members[0]] >= Verdict.PROVE and not gravest.is_open:
                    cleared.append((old, group))
        opened.sort(key=lambda entry: -entry[0])
        return Way(
            change=change,
            left=left if left.is_open else Verdict.FINE,
            before=self._state.standing,
            after=after.standing,
            opens=tuple(Opened(groups.finding(i), gain) for _, groups, i, gain in opened[:MOST_NAMED]),
            opened={verdict: sum(1 for entry in opened if entry[0] is verdict) for verdict in COUNTED[:3]},
            clears=tuple(groups.finding(i) for groups, i in cleared[:MOST_NAMED]),
            clear_count=len(cleared),
        )

    def _changed(self, change: Change) -> _State:
        case, columns, today = change.case, self.columns, self._today
        if _inputs(case) != _inputs(self.case):
            columns = Columns(case)
        if change.place is Place.DATUM:
            # What is shown of a part holds today as well; what is changed of it is changed for the conversion.
            today = _evaluated(columns, route_arrays(columns, case.today))
        elif change.lines is not None:
            today = {check_id: _of_lines_left(check_id, found, change.lines) for check_id, found in today.items()}
        route = route_arrays(columns, case.route)
        return _state(columns, route, _evaluated(columns, route), today)


def _inputs(case: Case) -> tuple[object, ...]:
    """What columns are made of; lists by identity, for a change makes new ones."""
    return id(case.lines), id(case.parts), case.board, case.environment


def _of_lines_left(check_id: str, found: Elements, lines: tuple[int, ...]) -> Elements:
    if not _of_lines(registry()[check_id]):
        return found
    left = np.array(lines, dtype=np.int64)
    names = ("verdict", "why", "value", "limit", "step", "missing", "made")
    arrays = {name: getattr(found, name)[left] for name in names}
    return Elements(**arrays, detail={name: values[left] for name, values in found.detail.items()})


def _evaluated(columns: Columns, route: RouteArrays) -> dict[str, Elements]:
    return {check.id: evaluate(check, columns, route) for check in registry().values()}


def _state(
    columns: Columns, route: RouteArrays, elements: Mapping[str, Elements], today: Mapping[str, Elements]
) -> _State:
    groups: dict[str, Groups] = {}
    counts = dict.fromkeys(COUNTED, 0)
    is_open = np.zeros(len(columns), dtype=np.bool_)
    for check in registry().values():
        found = groups[check.id] = Groups(check, columns, route, elements[check.id], today[check.id])
        for verdict in found.verdicts():
            counts[verdict] += 1
        if _of_lines(check):
            is_open |= found.verdict >= Verdict.PROVE
    return _State(groups, Standing(counts, readiness(columns, is_open)))


def _of_lines(check: Check) -> bool:
    return check.scope.is_of_lines


def _is_of(check: Check, finding: Finding, members: NDArray[np.int64]) -> bool:
    """Whether a group of the check is the finding's own."""
    if _of_lines(check):
        return tuple(members.tolist()) == finding.lines
    return check.scope is Scope.PRODUCT or bool(members[0] == finding.step)


def _as_after(check: Check, before: Codes, change: Change) -> Codes:
    """The verdicts before, element by element of the changed case."""
    if _of_lines(check):
        return before if change.lines is None else before[list(change.lines)]
    if check.scope is Scope.STEP:
        return np.array([Verdict.NONE if j is None else before[j] for j in change.steps], dtype=np.int8)
    return before


def _as_before(check: Check, after: Codes, before: Codes, change: Change) -> Codes:
    """The verdicts after, element by element of the case before; NONE for what is left out."""
    positions = change.lines if _of_lines(check) else change.steps if check.scope is Scope.STEP else None
    if positions is None:
        return after
    aligned = np.full(before.shape, Verdict.NONE, dtype=np.int8)
    for element, position in enumerate(positions):
        if position is not None:
            aligned[position] = after[element]
    return aligned
