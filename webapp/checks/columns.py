"""A case as arrays: one entry a BOM line, made once; and the view of it at one corner of what is possible.

The best corner takes every value at the end that suits the check, the worst corner at the other. Where a line's joint
is made is one of the unknowns: without a side the joint may be made in any of the reflow passes, and the earlier it is
made, the more heat follows.
"""

from collections.abc import Callable, Collection, Sequence
from copy import copy
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from webapp.checks.verdicts import Flags, Values
from webapp.trade.alloys import Alloy
from webapp.trade.class_bounds import Oven
from webapp.trade.classes import PartClass
from webapp.trade.facts import PartFacts
from webapp.trade.masks import BallAlloy, Finish, Mounting
from webapp.trade.ranges import ANYTHING, NOT_NEGATIVE
from webapp.trade.route import Route, Side, Step, StepKind
from webapp.trade.setup import Board, Environment
from webapp.trade.site import Site

Masks = NDArray[np.int64]

NUMBERS = ("limit_c", "passes", "self_heating_k")
SIZES = ("ball_diameter_mm", "pitch_mm")
MASKS = ("classes", "mounting", "finish", "balls")
OVEN_GOOD, OVEN_BAD = 1, 2
_OPEN = {"limit_c": ANYTHING, "passes": NOT_NEGATIVE, "self_heating_k": NOT_NEGATIVE}
_ANY_KIND = {
    "classes": int(PartClass.everything()),
    "finish": int(Finish.everything()),
    "balls": int(BallAlloy.everything()),
    "oven": OVEN_GOOD | OVEN_BAD,
}


@dataclass(frozen=True, slots=True)
class CaseLine:
    """A line as the checks need it: its part (position in the case's parts), fitted designators, side if known.

    ``of``: the BOM line it stands for, by default its own position. A BOM line with alternates or on both sides is
    several of these; it is as good as the worst of them.
    """

    part: int
    refdes: tuple[str, ...]
    side: Side | None = None
    of: int | None = None


@dataclass(frozen=True)
class Case:
    """What is assessed: one revision's lines on one route, with the route of today beside it; ``site``: the materials
    and figures it is judged by."""

    lines: Sequence[CaseLine]
    parts: Sequence[PartFacts]
    board: Board
    environment: Environment
    route: Route
    today: Route
    site: Site = field(default_factory=Site)


class Columns:
    """The lines of a case as arrays; the same for every route and every check."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.part = np.array([line.part for line in case.lines], dtype=np.int64)
        self.placements = np.array([len(line.refdes) for line in case.lines], dtype=np.int64)
        self.of = np.array([i if line.of is None else line.of for i, line in enumerate(case.lines)], dtype=np.int64)
        self.side = [line.side for line in case.lines]
        self._firm: dict[str, Flags] = {}

    def __len__(self) -> int:
        return len(self.part)

    @cached_property
    def ranges(self) -> dict[str, tuple[Values, Values]]:
        """Field -> lowest and highest value of every line."""
        spans = {name: [getattr(part, name) for part in self.case.parts] for name in NUMBERS}
        return {
            name: (self._by_line([s.low for s in found]), self._by_line([s.high for s in found]))
            for name, found in spans.items()
        }

    @cached_property
    def sizes(self) -> dict[str, tuple[Values, Values]]:
        """Size -> smallest and greatest of every line, mm; 0 and inf where nothing is known of it."""
        spans = {name: [part.sizes.get(name, NOT_NEGATIVE) for part in self.case.parts] for name in SIZES}
        return {
            name: (self._by_line([s.low for s in found]), self._by_line([s.high for s in found]))
            for name, found in spans.items()
        }

    @cached_property
    def masks(self) -> dict[str, Masks]:
        """Field -> bits of what is possible for every line."""
        return {
            name: np.array([int(getattr(part, name)) for part in self.case.parts], dtype=np.int64)[self.part]
            for name in MASKS
        } | {"oven": np.array([_oven_bits(part) for part in self.case.parts], dtype=np.int64)[self.part]}

    @cached_property
    def opened(self) -> "Columns":
        """The same with every field wide open whose source may not decide: what fails even so, fails for certain."""
        other = copy(self)
        other.ranges = {
            name: (np.where(self.firm(name), low, _OPEN[name].low), np.where(self.firm(name), high, _OPEN[name].high))
            for name, (low, high) in self.ranges.items()
        }
        # Nothing possible means "does not apply", which is no assumption.
        other.masks = {
            name: np.where((bits == 0) | self.firm(name), bits, _ANY_KIND[name]) if name in _ANY_KIND else bits
            for name, bits in self.masks.items()
        }
        return other

    def firm(self, name: str) -> Flags:
        """For every line whether the field's source may decide that something is not possible."""
        if name not in self._firm:
            self._firm[name] = self.lines_where(lambda part: name in part.firm)
        return self._firm[name]

    def lines_where(self, test: Callable[[PartFacts], bool]) -> Flags:
        """For every line whether ``test`` holds for its part."""
        return np.array([test(part) for part in self.case.parts], dtype=np.bool_)[self.part]

    def _by_line(self, values: Sequence[float]) -> Values:
        return np.array(values, dtype=np.float64)[self.part]


def _oven_bits(part: PartFacts) -> int:
    """Whether the part suits the oven: good, bad, or both possible."""
    bits = 0
    for oven in part.ovens:
        bits |= _OVEN_BITS[oven]
    return bits


_OVEN_BITS = {
    Oven.YES: OVEN_GOOD,
    Oven.WITHOUT_CELL: OVEN_GOOD,
    Oven.NEVER: OVEN_BAD,
    Oven.AFTER: OVEN_BAD,
    Oven.DATASHEET: OVEN_GOOD | OVEN_BAD,
    Oven.UNLESS_RATED: OVEN_GOOD | OVEN_BAD,
    Oven.UNKNOWN: OVEN_GOOD | OVEN_BAD,
}


@dataclass(frozen=True)
class RouteArrays:
    """One route as arrays, one entry a step; and for every line the steps that may make its joints (the number of steps
    where it is fitted after all of them): ``places`` holds the earliest for all lines first, the latest last."""

    route: Route
    places: tuple[NDArray[np.int64], ...]
    site: Site

    @property
    def first_made(self) -> NDArray[np.int64]:
        """For every line the earliest step that may make its joints."""
        return self.places[0]

    @property
    def last_made(self) -> NDArray[np.int64]:
        """For every line the latest step that may make its joints."""
        return self.places[-1]

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps in order."""
        return self.route.steps

    def alloy(self, position: int) -> Alloy | None:
        """Alloy of the step at ``position``; None where it makes no joints."""
        return self.site.materials.alloy(self.steps[position].alloy) if position < len(self.steps) else None


def route_arrays(columns: Columns, route: Route) -> RouteArrays:
    """Where on ``route`` the joints of every line are made."""
    groups: dict[tuple[int, Side | None], int] = {}
    made: list[tuple[int, ...]] = []
    group = np.empty(len(columns), dtype=np.int64)
    for i, key in enumerate(zip(columns.masks["mounting"].tolist(), columns.side, strict=True)):
        if key not in groups:
            groups[key] = len(made)
            made.append(made_at(route, Mounting(key[0]), key[1]))
        group[i] = groups[key]
    count = max(map(len, made), default=1)
    places = tuple(
        np.array([steps[min(k, len(steps) - 1)] for steps in made], dtype=np.int64)[group] for k in range(count)
    )
    return RouteArrays(route, places, columns.case.site)


def made_at(route: Route, mounting: Mounting, side: Side | None) -> tuple[int, ...]:
    """The steps, in order, that may make the joints of a part so mounted on that side (None: not known); the number of
    steps where it is fitted after all of them."""
    after_all = len(route.steps)
    made: set[int] = set()
    if mounting & Mounting.SMD:
        printed = [i for i, step in route.prints() if side is None or step.side in (None, side)]
        # Glued parts on a side without print are soldered by the wave that meets it.
        waves = [i for i, step in route.numbered() if step.kind is StepKind.WAVE and side in (None, step.side_in_wave)]
        made |= set(printed or waves[:1] or [after_all])
    if mounting & Mounting.THROUGH_HOLE:
        made |= _first(route, _THROUGH_HOLE)
    if mounting & Mounting.PRESS_FIT:
        made |= _first(route, {StepKind.PRESS_FIT})
    if mounting & Mounting.HAND:
        made.add(after_all)
    return tuple(sorted(made or {after_all}))


def _first(route: Route, kinds: Collection[StepKind]) -> set[int]:
    return set([i for i, step in route.numbered() if step.kind in kinds][:1] or [len(route.steps)])


_THROUGH_HOLE = frozenset({StepKind.WAVE, StepKind.SELECTIVE, StepKind.HAND, StepKind.HOT_BAR})
