"""Ranges: the algebra of what is not known exactly."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from webapp.errors import InvalidInputError
from webapp.trade.ranges import ANYTHING, NOT_NEGATIVE, Span, number_text, spanning

numbers = st.floats(allow_nan=False, min_value=-1e6, max_value=1e6) | st.sampled_from([-math.inf, math.inf])
finite = st.floats(min_value=-1e6, max_value=1e6)


@st.composite
def spans(draw: st.DrawFn) -> Span:
    low, high = sorted((draw(numbers), draw(numbers)))
    return Span(low, high)


@given(spans(), spans())
def test_narrowing_never_widens(first: Span, second: Span) -> None:
    assume(first.overlaps(second))
    narrowed = first.narrowed_by(second)
    assert first.contains(narrowed)
    assert second.contains(narrowed)


@given(spans(), spans())
def test_union_contains_both_and_is_the_narrowest(first: Span, second: Span) -> None:
    union = first.union(second)
    assert union.contains(first)
    assert union.contains(second)
    assert union.low in (first.low, second.low)
    assert union.high in (first.high, second.high)


@given(spans(), finite, st.floats(min_value=-1e3, max_value=1e3))
def test_scaling_keeps_what_is_inside(span: Span, value: float, factor: float) -> None:
    assume(span.contains(value))
    assert span.scaled(factor).contains(value * factor)


@given(spans(), spans())
def test_overlap_is_mutual_and_decides_whether_ranges_contradict(first: Span, second: Span) -> None:
    assert first.overlaps(second) == second.overlaps(first)
    if not first.overlaps(second):
        with pytest.raises(InvalidInputError, match="contradict"):
            first.narrowed_by(second)


def test_products_of_lengths_hold_at_both_ends() -> None:
    assert Span(1, 2).times(Span(3, 4)) == Span(3, 8)
    assert Span(0, 2).times(NOT_NEGATIVE) == Span(0, math.inf)
    with pytest.raises(ValueError, match="not negative"):
        Span(-1, 2).times(Span(1, 1))


@pytest.mark.parametrize("ends", [(2.0, 1.0), (math.nan, 1.0), (1.0, math.nan)])
def test_a_backward_or_absent_limit_is_refused(ends: tuple[float, float]) -> None:
    with pytest.raises(InvalidInputError):
        Span(*ends)


@pytest.mark.parametrize(
    ("span", "words"),
    [
        (Span.exactly(245), "245 °C"),
        (Span(-40, 85), "−40 to 85 °C"),
        (Span(-math.inf, 260), "at most 260 °C"),
        (Span(217, math.inf), "at least 217 °C"),
        (ANYTHING, "not known"),
        (Span(0.00004, 0.5), "0 to 0.5 °C"),
    ],
)
def test_ranges_in_words(span: Span, words: str) -> None:
    assert span.text("°C") == words


def test_known_and_bounded() -> None:
    assert Span.exactly(3).known
    assert not Span(3, 4).known
    assert Span(3, 4).bounded
    assert not NOT_NEGATIVE.bounded
    assert Span(1, 2).shifted(3) == Span(4, 5)
    assert spanning([Span(1, 2), Span(5, 6)]) == Span(1, 6)
    assert number_text(-math.inf) == "−∞"
