"""Sizes and pitches written in names."""

import pytest

from webapp.trade.package_sizes import Body, body_of, pitch_of
from webapp.trade.packages import outline_in_words


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
    [
        ("_P1.27MM", 1.27),
        ("PITCH0.8MM", 0.8),
        ("PITCH: 0,8 MM", 0.8),
        ("RM7.62", 7.62),
        ("0.5MM PITCH", 0.5),
        ("0.65 MM BALL PITCH", 0.65),
        ("P0.1MM", None),
        ("SOP8", None),
    ],
)
def test_pitches(text: str, pitch: float | None) -> None:
    assert pitch_of(text) == pitch


@pytest.mark.parametrize(
    ("text", "pitch"),
    [  # basis: the length printed in the name, one of the pitches of IPC-7095
        ("FBGA-153 11.5x13 0.5mm", 0.5),
        ("FBGA-153 11.5x13x1.0 0.5mm", 0.5),
        ("WLCSP-36 0.4mm", 0.4),
        ("BGA-324, 0,8 mm", 0.8),
        ("0.8mm BGA-324", 0.8),
        ("BGA-324 P0.8", 0.8),
        ("BGA-256 17x17 1mm", 1.0),
        ("784-ball FCBGA 0.8 mm", 0.8),
        ("BGA, 324-ball 0.8 mm", 0.8),
        ("BGA-324 balls, 0.8 mm", 0.8),
        ("FCBGA-784 23x23 0.8mm SAC305 balls", 0.8),
        ("LQFP-64 10x10 0.5mm", 0.5),  # thinner than any such package: no height
    ],
)
def test_a_usual_length_alone_is_the_pitch(text: str, pitch: float) -> None:
    outline = outline_in_words(text)
    assert outline is not None
    assert outline.pitch_mm.low == outline.pitch_mm.high == pitch


@pytest.mark.parametrize(
    "text",
    [
        "BGA-100 9x9x0.8mm",  # a height in the body
        "BGA-100 9 x 9 x 0.8 mm",
        "BGA-100 9x9 0.8mm height",
        "BGA-100 9x9 height 0.8 mm",
        "BGA-100, Dicke 0,8 mm",
        "BGA-100 ball 0.5mm",
        "BGA-100 0.5mm balls",
        "BGA-100 0.5 mm, 0.8 mm",  # two: which one is not said
        "BGA-100 0.5 mm - 0.8 mm",
        "BGA-256 9x9 0.8mm",  # 256 balls at 0.8 mm need more than 12 mm
        "BGA-100 1.2mm",  # no usual pitch
        "BGA-100 12,1 mm",
        "QFN-32 5x5 0.5mm",  # may as well be the height
        "LQFP-64 1.0mm",
    ],
)
def test_other_lengths_are_no_pitch(text: str) -> None:
    outline = outline_in_words(text)
    assert outline is not None
    assert outline.pitch_mm.low < outline.pitch_mm.high
