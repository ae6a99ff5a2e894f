"""Lengths as people type them. The inch is 25.4 mm exactly and the mil a thousandth of it (ISO 80000-3)."""

import pytest

from webapp.errors import InvalidInputError
from webapp.trade.lengths import parse_length
from webapp.trade.ranges import NOT_NEGATIVE, Span

FOIL = Span(0.02, 0.5)


@pytest.mark.parametrize(
    ("text", "mm", "echo"),
    [
        ("0.12", (0.12, 0.12), "0.12 mm"),
        ("0,12 mm", (0.12, 0.12), "0.12 mm"),
        ("120 µm", (0.12, 0.12), "120 µm = 0.12 mm"),
        ("120 μm", (0.12, 0.12), "120 μm = 0.12 mm"),
        ("120um", (0.12, 0.12), "120um = 0.12 mm"),
        ("120 Microns", (0.12, 0.12), "120 Microns = 0.12 mm"),
        ("5 mil", (0.127, 0.127), "5 mil = 0.127 mm"),
        ("4 mils", (0.1016, 0.1016), "4 mils = 0.1016 mm"),
        ("5 thou", (0.127, 0.127), "5 thou = 0.127 mm"),
        ("0.005 inch", (0.127, 0.127), "0.005 inch = 0.127 mm"),
        ("0.005 in", (0.127, 0.127), "0.005 in = 0.127 mm"),
        ('0.005"', (0.127, 0.127), '0.005" = 0.127 mm'),
        ("100…150 µm", (0.1, 0.15), "100…150 µm = 0.1 to 0.15 mm"),
        ("4 to 5 mil", (0.1016, 0.127), "4 to 5 mil = 0.1016 to 0.127 mm"),
        ("0.1 mm - 5 mil", (0.1, 0.127), "0.1 mm - 5 mil = 0.1 to 0.127 mm"),
    ],
)
def test_each_way_of_writing(text, mm, echo):
    found = parse_length(text, plausible=FOIL)
    assert (found.span.low, found.span.high) == mm
    assert found.echo == echo


def test_what_is_kept_in_micrometres():
    """An ounce of copper on a square foot is 1.37 mil, about 35 µm."""
    found = parse_length("1.37 mil", unit="µm", plausible=Span(1, 500))
    assert found.span == Span.exactly(34.798)
    assert found.echo == "1.37 mil = 34.798 µm"
    assert parse_length("0.035 mm", unit="µm", plausible=Span(1, 500)).span == Span.exactly(35)
    assert parse_length("35", unit="µm", plausible=Span(1, 500)).echo == "35 µm"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("120", "120 mm is outside 0.02 to 0.5 mm. If you mean µm, write 120 µm (0.12 mm)."),
        ("5", "5 mm is outside 0.02 to 0.5 mm. If you mean mil, write 5 mil (0.127 mm)."),
        (
            "19.6",
            "19.6 mm is outside 0.02 to 0.5 mm. If you mean mil, write 19.6 mil (0.4978 mm).",
        ),
        (
            "0.005",
            "0.005 mm is outside 0.02 to 0.5 mm. If you mean inch, write 0.005 inch (0.127 mm).",
        ),
        (
            "100 to 150",
            "100 to 150 mm is outside 0.02 to 0.5 mm. If you mean µm, write 100 to 150 µm (0.1 to 0.15 mm).",
        ),
        ("9999", "9999 mm is outside 0.02 to 0.5 mm."),
        ("120 mm", "120 mm is outside 0.02 to 0.5 mm."),
        ("900 µm", "0.9 mm is outside 0.02 to 0.5 mm."),
        ("5…4 mil", "“5…4 mil” runs from the higher to the lower value."),
        ("thick", "“thick” is no length; write 0.12 mm, 120 µm or 5 mil."),
        ("0.12 kg", "“0.12 kg” is no length; write 0.12 mm, 120 µm or 5 mil."),
        ("", "“” is no length; write 0.12 mm, 120 µm or 5 mil."),
        ("-0.1", "“-0.1” is no length; write 0.12 mm, 120 µm or 5 mil."),
        ("nan", "“nan” is no length; write 0.12 mm, 120 µm or 5 mil."),
    ],
)
def test_what_makes_no_sense_says_so_and_names_the_unit_that_may_be_meant(text, message):
    with pytest.raises(InvalidInputError) as caught:
        parse_length(text, plausible=FOIL, field="foil_mm")
    assert (caught.value.message, caught.value.field) == (message, "foil_mm")


def test_two_units_may_be_meant():
    with pytest.raises(InvalidInputError) as caught:
        parse_length("60", plausible=Span(0.05, 2))
    assert caught.value.message.endswith("If you mean µm, write 60 µm (0.06 mm); if mil, write 60 mil (1.524 mm).")


def test_a_long_text_is_no_length():
    with pytest.raises(InvalidInputError, match="is no length"):
        parse_length("1" * 500, plausible=NOT_NEGATIVE)
