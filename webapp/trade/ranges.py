"""A number that may not be known exactly: the lowest and the highest it can be."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import reduce

from webapp.errors import InvalidInputError


@dataclass(frozen=True, slots=True)
class Span:
    """All values from ``low`` to ``high``, both included; equal when known, ±inf where nothing bounds the value.

    Raises InvalidInputError when ``low`` is above ``high`` or either is not a number.
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        if math.isnan(self.low) or math.isnan(self.high):
            raise InvalidInputError("A limit of the range is not a number.")
        if self.low > self.high:
            raise InvalidInputError(f"The lower value {self.low:g} is above the higher value {self.high:g}.")

    @classmethod
    def exactly(cls, value: float) -> "Span":
        """The range of a known value."""
        return cls(value, value)

    @property
    def known(self) -> bool:
        """Whether only one value is possible."""
        return self.low == self.high

    @property
    def bounded(self) -> bool:
        """Whether both ends are finite."""
        return math.isfinite(self.low) and math.isfinite(self.high)

    def contains(self, other: "Span | float") -> bool:
        """Whether a value, or every value of a range, lies inside."""
        if isinstance(other, Span):
            return self.low <= other.low and other.high <= self.high
        return self.low <= other <= self.high

    def overlaps(self, other: "Span") -> bool:
        """Whether some value lies in both."""
        return self.low <= other.high and other.low <= self.high

    def narrowed_by(self, other: "Span") -> "Span":
        """The values in both; InvalidInputError when there is none: the two statements contradict each other."""
        if not self.overlaps(other):
            raise InvalidInputError(f"{self.text()} and {other.text()} contradict each other.")
        return Span(max(self.low, other.low), min(self.high, other.high))

    def union(self, other: "Span") -> "Span":
        """The narrowest range that holds both."""
        return Span(min(self.low, other.low), max(self.high, other.high))

    def scaled(self, factor: float) -> "Span":
        """All values times a finite ``factor``; a negative one swaps the ends, zero gives zero."""
        if factor == 0:
            return Span(0.0, 0.0)
        ends = (self.low * factor, self.high * factor)
        return Span(min(ends), max(ends))

    def shifted(self, by: float) -> "Span":
        """All values plus a finite ``by``."""
        return Span(self.low + by, self.high + by)

    def times(self, other: "Span") -> "Span":
        """Products of two ranges of values that are not negative (lengths, masses)."""
        if self.low < 0 or other.low < 0:
            raise ValueError("times() is for values that are not negative")
        high = 0.0 if 0.0 in (self.high, other.high) else self.high * other.high
        low = 0.0 if 0.0 in (self.low, other.low) else self.low * other.low
        return Span(low, high)

    def text(self, unit: str = "") -> str:
        """ "245 °C", "240 to 260 °C", "at most 260 °C", "not known"."""
        if self.known:
            words = number_text(self.low)
        elif self.bounded:
            words = f"{number_text(self.low)} to {number_text(self.high)}"
        elif math.isfinite(self.high):
            words = f"at most {number_text(self.high)}"
        elif math.isfinite(self.low):
            words = f"at least {number_text(self.low)}"
        else:
            return "not known"
        return f"{words} {unit}" if unit else words


ANYTHING = Span(-math.inf, math.inf)
NOT_NEGATIVE = Span(0.0, math.inf)


def number_text(value: float) -> str:
    """A number with at most four significant decimals and no trailing zeros; a true minus sign."""
    words = f"{value:.4f}".rstrip("0").rstrip(".") if math.isfinite(value) else "∞"
    return words.replace("-", "−") if math.isfinite(value) else ("−∞" if value < 0 else "∞")


def degrees_text(value: float) -> str:
    """A temperature or difference in words: to a tenth, which is more than anybody measures."""
    return number_text(round(value, 1)) if math.isfinite(value) else number_text(value)


def spanning(spans: Iterable[Span]) -> Span:
    """The narrowest range that holds all of ``spans`` (at least one)."""
    return reduce(Span.union, spans)
