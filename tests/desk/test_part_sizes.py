"""Sizes of a part against each other: geometry, no source needed."""

import pytest

from webapp.desk.part_sizes import size_contradiction
from webapp.trade.facts import PartField, facts_of
from webapp.trade.parts import PartTexts, guess_part
from webapp.trade.ranges import Span


def facts(package):
    guess = guess_part(PartTexts(package=package, description=package))
    return facts_of(key=package, label=package, maker="", guess=guess, stated={}, declarations=[])


def spans(**sizes):
    return {
        PartField(name): Span(*size) if isinstance(size, tuple) else Span(size, size) for name, size in sizes.items()
    }


@pytest.mark.parametrize(
    ("package", "sizes", "blamed"),
    [
        # With the body typed in the same form, and with that of the package (QFN 5 x 5 mm).
        ("BGA", {"length_mm": 10, "width_mm": 8, "pitch_mm": 12}, PartField.PITCH_MM),
        ("QFN-32 5x5 mm", {"pitch_mm": 6.5}, PartField.PITCH_MM),
        ("BGA", {"pitch_mm": 0.5, "ball_diameter_mm": 0.6}, PartField.BALL_DIAMETER_MM),
    ],
)
def test_what_cannot_be_true_together(package, sizes, blamed):
    found = size_contradiction(facts(package), spans(**sizes))
    assert found is not None
    assert found[0] is blamed
    assert found[1].endswith("correct one of them.")


@pytest.mark.parametrize(
    ("package", "sizes"),
    [
        ("BGA", {"length_mm": 10, "width_mm": 8, "pitch_mm": 0.8, "ball_diameter_mm": 0.45}),
        ("QFN-32 5x5 mm", {"pitch_mm": 0.5}),
        # A range may still fit, and nothing is known of this body.
        ("BGA", {"length_mm": (1, 10), "width_mm": 1, "pitch_mm": 2}),
        ("BGA", {"pitch_mm": 12}),
        # The leads of an axial part are bent outwards.
        ("axial resistor, through hole", {"length_mm": 6.3, "width_mm": 2.5, "pitch_mm": 10}),
        ("BGA", {"height_mm": 900}),
    ],
)
def test_what_can(package, sizes):
    assert size_contradiction(facts(package), spans(**sizes)) is None
