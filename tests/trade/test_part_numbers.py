"""Units of values and registered numbers."""

import pytest

from webapp.trade.part_numbers import capacitance_uf, kind_in_number, kind_in_value


@pytest.mark.parametrize(
    ("value", "kind"),
    [
        ("100nF", "capacitor"),
        ("4,7 µF 25V", "capacitor"),
        ("1F", "capacitor"),
        ("4.7uH", "inductor"),
        ("600R@100MHz", "ferrite"),
        ("120 @ 100 MHz", "ferrite"),
        ("32.768 kHz", "crystal"),
        ("10 kΩ", "resistor"),
        ("22ohm", "resistor"),
        ("4k7", None),  # the designator tells
        ("5V", None),
        ("", None),
    ],
)
def test_units(value: str, kind: str | None) -> None:
    found = kind_in_value(value)
    assert (found.key if found else None) == kind


@pytest.mark.parametrize(
    ("number", "kind"),
    [  # registered by JEDEC (1N, 2N, 4N), in Japan (1S, 2S) and in Europe (BAx, BCx, BZx); logic of the 74 series
        ("1N4148", "diode"),
        ("BZX84C5V6", "diode"),
        ("BAT54", "diode"),
        ("2N7002", "transistor"),
        ("2SC1815", "transistor"),
        ("bc847b", "transistor"),
        ("4N35", "opto"),
        ("74HC595", "ic"),
        ("BUF123", None),
        ("BD9123", None),
        ("XY-1", None),
    ],
)
def test_registered_numbers(number: str, kind: str | None) -> None:
    found = kind_in_number(number)
    assert (found.key if found else None) == kind


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12p", 12e-6),
        ("100nF", 0.1),
        ("4,7µ", 4.7),
        ("1mF", 1000.0),
        ("10k", None),
        ("4n7", 0.0047),
        ("4n7x", None),
        ("10M", None),
        ("2700pf", 0.0027),
    ],
)
def test_capacitance(text: str, value: float | None) -> None:
    found = capacitance_uf(text)
    assert found is None if value is None else found == pytest.approx(value)
