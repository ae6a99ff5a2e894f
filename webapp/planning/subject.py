"""The finding that is to be cleared, with what the makers of changes ask about it; rounding to the safe side."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.checks.columns import Case, RouteArrays
from webapp.checks.evaluate import Elements
from webapp.checks.findings import Finding
from webapp.checks.verdicts import Values
from webapp.planning.compare import Baseline
from webapp.trade.alloys import Alloy
from webapp.trade.facts import PartFacts
from webapp.trade.ranges import number_text
from webapp.trade.route import Step
from webapp.trade.words import capital

NAMED_PARTS = 3
_DIGITS = 6


def at_most(value: float) -> int:
    """The greatest whole number not above ``value``."""
    return math.floor(round(value, _DIGITS))


def at_least(value: float) -> int:
    """The smallest whole number not below ``value``."""
    return math.ceil(round(value, _DIGITS))


def below(value: float) -> int:
    """The greatest whole number below ``value``."""
    return math.ceil(round(value, _DIGITS)) - 1


@dataclass(frozen=True)
class Subject:
    """A finding of a case; ``elements``: its check on every line, step or the product."""

    case: Case
    finding: Finding
    route: RouteArrays
    elements: Elements

    @classmethod
    def of(cls, baseline: Baseline, finding: Finding) -> "Subject":
        """A finding of the baseline's case."""
        return cls(baseline.case, finding, baseline.route, baseline.elements[finding.check])

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps of the route."""
        return self.case.route.steps

    @property
    def step(self) -> tuple[int, Step] | None:
        """The step that decides: position and step."""
        position = self.finding.step
        return None if position is None else (position, self.steps[position])

    @property
    def lines(self) -> NDArray[np.int64]:
        """Positions of the lines concerned."""
        return np.array(self.finding.lines, dtype=np.int64)

    @property
    def parts(self) -> list[PartFacts]:
        """The parts concerned."""
        return [self.case.parts[position] for position in self.finding.parts]

    @property
    def who(self) -> str:
        """The parts concerned by name, or how many they are."""
        labels = [part.label for part in self.parts]
        return ", ".join(labels) if len(labels) <= NAMED_PARTS else f"{len(labels)} parts"

    @property
    def lowest_limit(self) -> float | None:
        """The lowest limit of the lines concerned, of the step or the product; None without a number."""
        return min(self._known(self.elements.limit), default=None)

    @property
    def highest_value(self) -> float | None:
        """The highest value of the same; None without a number."""
        return max(self._known(self.elements.value), default=None)

    def _known(self, values: Values) -> list[float]:
        of = values[self.lines] if len(self.lines) else values[[self.finding.step or 0]]
        found: list[float] = of[np.isfinite(of)].tolist()
        return found

    @property
    def first_made(self) -> int:
        """The earliest step that may make a joint of the lines concerned; the number of steps where none does."""
        return int(self.route.first_made[self.lines].min()) if len(self.lines) else len(self.steps)

    def figure(self, key: str) -> float:
        """A figure of the site."""
        return self.case.site.figures[key].value

    def alloy(self, position: int) -> Alloy | None:
        """The alloy of a step."""
        return self.route.alloy(position)

    @property
    def prints(self) -> list[int]:
        """Positions of the reflow steps."""
        return [position for position, _ in self.case.route.prints()]

    def title(self, position: int) -> str:
        """The step's title at the beginning of a sentence."""
        return capital(self.steps[position].title)


def joined(words: list[str]) -> str:
    """ "a, b and c"."""
    return " and ".join(filter(None, [", ".join(words[:-1]), *words[-1:]]))


def degrees(value: float | None) -> str:
    """ "180 °C"; "an unknown temperature" for None."""
    return "an unknown temperature" if value is None else f"{number_text(value)} °C"
