"""Quantities as printed."""

import pytest

from webapp.intake.quantity import decimal_sign, parse_quantity


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [
        ("4", ".", 4),
        ("4.0", ".", 4),
        (" 4 pcs", ".", 4),
        ("x4", ".", 4),
        ("4x", ".", 4),
        ("4 шт.", ".", 4),
        ("4个", ".", 4),
        ("0,5", ",", 0.5),
        ("1,000", ".", 1000),
        ("0.012", ".", 0.012),
        ("3 (DNF)", ".", 3),
        ("0", ".", 0),
        ("", ".", None),
        ("many", ".", None),
        ("-1", ".", None),
        ("1e3", ".", None),
    ],
)
def test_parse(text: str, decimal: str, value: float | None) -> None:
    assert parse_quantity(text, decimal) == value


def test_the_decimal_sign_is_that_of_the_whole_column() -> None:
    assert decimal_sign(["1", "0,5", "12"]) == ","
    assert decimal_sign(["1", "1,000", "12"]) == "."
    assert decimal_sign([]) == "."
