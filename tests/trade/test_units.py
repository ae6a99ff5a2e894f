"""Multiples of units by the SI (ISO 80000): exact."""

import pytest

from webapp.errors import InvalidInputError
from webapp.trade.facts import PartField
from webapp.trade.part_fields import parse_value
from webapp.trade.ranges import Span
from webapp.trade.units import factor_of, is_degrees, name_and_unit


@pytest.mark.parametrize(
    ("written", "unit", "factor"),
    [
        ("", "V", 1),
        ("V", "V", 1),
        ("mV", "V", 0.001),
        (" min", "s", 60),
        ("h", "s", 3600),
        ("days", "h", 24),
        ("kg", "g", 1000),
        ("years", "years", 1),
        ("per  day", "/day", 1),
        ("/day", "/day", 1),
        ("ppm/°C", "ppm/K", 1),
        ("kg", "V", None),
        ("min", "years", None),
    ],
)
def test_factors(written, unit, factor):
    assert factor_of(written, unit) == factor


def test_degrees_are_told_from_differences():
    assert [is_degrees(unit) for unit in ("°C", " °F", "C", "K", "")] == [True, True, True, False, False]


@pytest.mark.parametrize(
    ("field", "text", "value"),
    [
        (PartField.MASS_G, "1 kg", Span(1000, 1000)),
        (PartField.LIMIT_S, "1 min", Span(60, 60)),
        (PartField.LIMIT_S, "20…40 s", Span(20, 40)),
        (PartField.CURRENT_A, "500 mA", Span(0.5, 0.5)),
        (PartField.PASSES, "3x", Span(3, 3)),
        (PartField.SELF_HEATING_K, "12 K", Span(12, 12)),
    ],
)
def test_fields_of_parts_take_them(field, text, value):
    assert parse_value(field, text).value == value


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        (PartField.SELF_HEATING_K, "40 °C", "a difference in K is wanted: write 40 K"),
        (PartField.MASS_G, "1 m", "is no mass"),
        (PartField.PASSES, "2.5", "is whole, not 2.5"),
    ],
)
def test_another_kind_of_unit_is_refused(field, text, words):
    with pytest.raises(InvalidInputError, match=words):
        parse_value(field, text)


@pytest.mark.parametrize(
    ("name", "parts"),
    [
        ("limit_c", ("limit", "°C")),
        ("halide_wt_pct", ("halide", "wt%")),
        ("volume_mm3", ("volume", "mm³")),
        ("passes", ("passes", "")),
        ("finish", ("finish", "")),
    ],
)
def test_the_unit_at_the_end_of_a_name(name, parts):
    assert name_and_unit(name) == parts
