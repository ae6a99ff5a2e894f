"""Sizes and pitches written in names."""

import pytest

from webapp.trade.package_sizes import Body, body_of, pitch_of


@pytest.mark.parametrize(
    ("text", "bare", "body"),
    [
        ("QFN_3X3MM", False, Body(3, 3, None)),
        ("(3X3)", True, Body(3, 3, None)),
        ("(3X3)", False, None),
        ("3.2X2.5X0.6MM", False, Body(3.2, 2.5, 0.6)),
        ("2.5 X 3,2 MM", False, Body(3.2, 2.5, None)),
        ("PINHEADER_2X05", True, None),  # rows and pins, not sides
        ("0X5MM", True, None),
        ("200X300MM", False, None),
    ],
)
def test_bodies(text: str, bare: bool, body: Body | None) -> None:
    assert body_of(text, bare=bare) == body


@pytest.mark.parametrize(
    ("text", "pitch"),
    [("_P1.27MM", 1.27), ("PITCH0.8MM", 0.8), ("RM7.62", 7.62), ("0.5MM PITCH", 0.5), ("P0.1MM", None), ("SOP8", None)],
)
def test_pitches(text: str, pitch: float | None) -> None:
    assert pitch_of(text) == pitch
