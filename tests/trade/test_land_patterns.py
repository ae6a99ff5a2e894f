"""Names of land patterns after IPC-7351: figures are hundredths of a millimetre (chips: tenths for the sides)."""

import pytest

from webapp.trade.classes import PartClass
from webapp.trade.land_patterns import land_pattern
from webapp.trade.masks import Joints
from webapp.trade.ranges import Span


def test_a_body_between_its_leads_is_narrower_than_the_span_over_them() -> None:
    found = land_pattern("SOP65P640X120-20N")
    assert found is not None
    assert found.width_mm.contains(4.4)  # the usual body of this outline
    assert found.length_mm.contains(6.5)
    assert found.height_mm == Span.exactly(1.2)
    assert found.pitch_mm == Span.exactly(0.65)


def test_an_odd_count_is_a_thermal_pad() -> None:
    odd, even = land_pattern("SOIC127P600X170-9N"), land_pattern("SOIC127P600X175-8N")
    assert odd is not None
    assert even is not None
    assert odd.joints & Joints.THERMAL_PAD
    assert not even.joints & Joints.THERMAL_PAD


@pytest.mark.parametrize(
    ("text", "classes", "length", "height"),
    [
        ("RESC1608X55N", "chip_resistor", 1.6, 0.55),
        ("CAPC2012X140N", "chip_capacitor", 2.0, 1.4),
        ("INDC1608X95N", "chip_inductor power_inductor", 1.6, 0.95),
        ("LEDC2012X110N", "led", 2.0, 1.1),
        ("CAPMP3528X210N", "tantalum can_polymer film_smd", 3.5, 2.1),
        ("CAPAE830X1050N", "can_small can_8x10 can_10 can_large can_polymer", 8.3, 10.5),
    ],
)
def test_two_ended_parts(text: str, classes: str, length: float, height: float) -> None:
    found = land_pattern(text)
    assert found is not None
    assert found.classes == PartClass.from_keys(classes)
    assert found.length_mm.contains(length)
    assert found.height_mm == Span.exactly(height)


@pytest.mark.parametrize("text", ["SOT95P280X145-5N", "TO228P990X240-3N", "SOT65P210X110-6N"])
def test_few_leads_leave_the_side_along_them_open(text: str) -> None:
    found = land_pattern(text)
    assert found is not None
    assert found.length_mm.high > found.length_mm.low + 1


@pytest.mark.parametrize("text", ["", "SOIC-8", "RESISTOR", "CAP0402"])
def test_other_names(text: str) -> None:
    assert land_pattern(text) is None
