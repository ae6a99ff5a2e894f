"""Temperatures as typed: °C, °F, ranges, and the refusals that keep a slip from passing."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.errors import InvalidInputError
from webapp.trade.ranges import Span
from webapp.trade.temperatures import BODY_LIMIT, PEAK, SERVICE, parse_difference_k, parse_temperature, temperature_text


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("245", 245, 245),
        ("245 °C", 245, 245),
        ("245℃", 245, 245),
        (" 245,5 ", 245.5, 245.5),
        ("473 °F", 245, 245),  # (473 - 32) / 1.8
        ("-40…85 °C", -40, 85),
        ("−40..+85", -40, 85),
        ("-40 to 185 °F", -40, 85),  # -40 is the same in both scales; (185 - 32) / 1.8 = 85
        ("-40-85", -40, 85),
        ("-40/+85 °C", -40, 85),
        ("-40--20", -40, -20),
        ("180 degC", 180, 180),
    ],
)
def test_what_people_type(text: str, low: float, high: float) -> None:
    span = parse_temperature(text).span_c
    assert span.low == pytest.approx(low)
    assert span.high == pytest.approx(high)


def test_fahrenheit_is_echoed_in_celsius() -> None:
    assert parse_temperature("473 °F").echo == "473 °F = 245 °C"
    assert parse_temperature("245").echo == "245 °C"


def test_an_absurd_bare_number_suggests_fahrenheit() -> None:
    with pytest.raises(InvalidInputError, match=r"If you mean °F, write 473 °F \(245 °C\)") as caught:
        parse_temperature("473", plausible=PEAK, field="peak_c")
    assert caught.value.field == "peak_c"


def test_no_suggestion_where_fahrenheit_would_be_absurd_too() -> None:
    with pytest.raises(InvalidInputError) as caught:
        parse_temperature("5000", plausible=BODY_LIMIT)
    assert "°F" not in caught.value.message


@pytest.mark.parametrize("text", ["", "warm", "85 - -40", "473 K", "245 °C ±", "1e3", "9999999"])
def test_what_is_no_temperature(text: str) -> None:
    with pytest.raises(InvalidInputError):
        parse_temperature(text, field="t")


@pytest.mark.parametrize(("text", "value"), [("8", 8), ("8 K", 8), ("±5K", 5), ("2,5", 2.5), ("0", 0)])
def test_differences_in_kelvin(text: str, value: float) -> None:
    assert parse_difference_k(text) == value


@pytest.mark.parametrize(("text", "said"), [("8 °C", "8 K"), ("9 °F", "5 K"), ("-3", "0 to 500"), ("501", "0 to 500")])
def test_a_difference_is_never_a_temperature(text: str, said: str) -> None:
    with pytest.raises(InvalidInputError, match=said):
        parse_difference_k(text, field="spread_k")


@given(st.floats(min_value=-80, max_value=200), st.floats(min_value=-80, max_value=200))
def test_what_is_written_out_is_read_back_to_a_tenth(first: float, second: float) -> None:
    span = Span(*sorted((first, second)))
    back = parse_temperature(temperature_text(span), plausible=SERVICE).span_c
    assert math.isclose(back.low, span.low, abs_tol=0.051)
    assert math.isclose(back.high, span.high, abs_tol=0.051)
