"""What a check's ``evaluate`` sees: every need at one corner of what is possible."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from webapp.checks.columns import Case, Columns, Masks, RouteArrays
from webapp.checks.declare import Check, Worse
from webapp.checks.verdicts import Values
from webapp.trade.ranges import ANYTHING, NOT_NEGATIVE, Span
from webapp.trade.route import Step


class Inputs:
    """What a check's ``evaluate`` sees: every need at one corner.

    ``number(name)`` and ``mask(name)`` give arrays over lines; ``setup(name)`` a number of board or environment;
    ``made`` for every line the step that makes its joints; ``figure(key)`` a figure of the site that the check names.
    """

    def __init__(
        self,
        columns: Columns,
        route: RouteArrays,
        check: Check,
        worst: Callable[[str], bool],
        made: NDArray[np.int64],
    ) -> None:
        self.columns = columns
        self.route = route
        self.made = made
        self._needs = {need.name: need for need in check.needs}
        self._figures = check.figures_of(columns.case.site.figures)
        self._worst = worst

    def __len__(self) -> int:
        return len(self.columns)

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps of the route."""
        return self.route.steps

    def figure(self, key: str) -> float:
        """A figure of the site; KeyError for one that the check does not name."""
        return self._figures[key]

    def number(self, name: str) -> Values:
        """The numbers of a need at this corner."""
        low, high = self.columns.ranges[name]
        return low if self._takes_low(name) else high

    def mask(self, name: str) -> Masks:
        """The bits of a need at this corner: at the worst only the bad ones where any is possible, at the best
        only the others."""
        bits, bad = self.columns.masks[name], int(self._needs[name].bad)
        wanted = bits & bad if self._worst(name) else bits & ~bad
        return np.where(wanted != 0, wanted, bits)

    def is_worst(self, name: str) -> bool:
        """Whether a need is taken at its worse end, for checks that find the worse end themselves."""
        return self._worst(name)

    def setup(self, name: str) -> float:
        """A number of board or environment at this corner; ±inf where it is not known."""
        span = setup_span(self.columns.case, name)
        return span.low if self._takes_low(name) else span.high

    def setup_mask(self, name: str) -> int:
        """A mask of the board at this corner."""
        bits, bad = int(getattr(self.columns.case.board, name)), int(self._needs[name].bad)
        wanted = bits & bad if self._worst(name) else bits & ~bad
        return wanted or bits

    def _takes_low(self, name: str) -> bool:
        return (self._needs[name].worse is Worse.LOW) == self._worst(name)


def setup_span(case: Case, name: str) -> Span:
    """What is known of a number of the board or the environment."""
    holder = case.environment if hasattr(case.environment, name) else case.board
    value = getattr(holder, name)
    if value is None:
        return NOT_NEGATIVE if name in _NOT_NEGATIVE else ANYTHING
    return Span.exactly(float(value))


_NOT_NEGATIVE = frozenset({"board_heating_k", "cycles_per_day", "years", "thickness_mm"})
