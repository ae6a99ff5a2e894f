"""Two-ended packages by name."""

import pytest

from webapp.trade.chips import SizeSystem, body_only, can_in, chip_in, metric_body_in, moulded_in, round_body
from webapp.trade.classes import PartClass
from webapp.trade.masks import Mounting
from webapp.trade.ranges import Span


def test_a_metric_code_counts_only_where_it_may() -> None:
    assert chip_in("TIMER 2012", None, metric_alone=False) is None
    assert chip_in("TIMER 2012", SizeSystem.METRIC, metric_alone=False) is not None
    assert chip_in("2012", None, metric_alone=True) is not None


@pytest.mark.parametrize(
    ("text", "classes"),
    [("C_DISC_D5.0MM", "ceramic_leaded resistor_leaded"), ("C_RECT_L7.2MM", "film_leaded ceramic_leaded")],
)
def test_leaded_bodies(text: str, classes: str) -> None:
    found = can_in(text)
    assert found is not None
    assert found.classes == PartClass.from_keys(classes)


def test_a_can_stands_on_a_wider_base() -> None:
    can = round_body("can", "8", PartClass.CAN_SMALL, Mounting.SMD, 8.0, Span(6, 7))
    assert can.length_mm.contains(Span(8.0, 8.3))
    assert can.height_mm == Span(6, 7)


def test_bodies_known_by_their_sides() -> None:
    crystal = metric_body_in("OSC_7050")
    assert crystal is not None
    assert crystal.length_mm.contains(7.0)
    assert metric_body_in("9999") is None
    sized = body_only("4-SMD (3.2X2.5MM)")
    assert sized is not None
    assert sized.terminals == Span.exactly(4)
    assert body_only("SMD") is None
    assert body_only("5.8 SMD") is None


@pytest.mark.parametrize(
    ("text", "name"), [("CASE-A", "case A"), ("TANTAL_CASE-B", "case B"), ("6032-28", "case C"), ("D CASE", "case D")]
)
def test_cases_by_letter_and_by_sides(text: str, name: str) -> None:
    found = moulded_in(text)
    assert found is not None
    assert found.name == name
    assert moulded_in("CASE") is None
