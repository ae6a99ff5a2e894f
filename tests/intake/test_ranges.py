"""Ranges of designators: expected names are what a person reads (common practice, no source)."""

import pytest

from webapp.intake.designators import parse_designators
from webapp.intake.ranges import expand_range, join_ranges


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("R101A-R101D", "R101A R101B R101C R101D"),
        ("R101A-D", "R101A R101B R101C R101D"),
        ("R1_A-R1_C", "R1_A R1_B R1_C"),
        ("R1A-R3A", "R1A R2A R3A"),
        ("R1 -R3", "R1 R2 R3"),
        ("R1 - 3", "R1 R2 R3"),
        ("R1,R2,R3-\nR5", "R1 R2 R3 R4 R5"),
        ("R1->R3", "R1 R2 R3"),
        ("R1→R3", "R1 R2 R3"),
        ("R1=>R3", "R1 R2 R3"),
        ("R1÷R3", "R1 R2 R3"),
        ("R1 to 3", "R1 R2 R3"),
        ("R1 t/m R3", "R1 R2 R3"),
        ("R1 до R3", "R1 R2 R3"),
        ("R100-04", "R100 R101 R102 R103 R104"),
        ("1R1-1R3", "1R1 1R2 1R3"),
        ("U$1-U$3", "U$1 U$2 U$3"),
        ("C1-C3/C5", "C1 C2 C3 C5"),
        ("R1/2/3", "R1 R2 R3"),
        ("P1-1,P1-2,P1-3", "P1-1 P1-2 P1-3"),
        ("R1 - R3, R7", "R1 R2 R3 R7"),
    ],
)
def test_ranges_in_a_cell(text: str, names: str) -> None:
    assert list(parse_designators(text).names) == names.split()


@pytest.mark.parametrize(
    ("text", "qty", "names"),
    [
        ("R3-R1", 3, "R1 R2 R3"),
        ("R3-R1", 1, "R3-R1"),
        ("U1A,U1B", 1, "U1"),
        ("RN1A-RN1D", 1, "RN1"),
        ("U1A/U1B", 2, "U1A U1B"),
        ("R1R2R3", 3, "R1 R2 R3"),
        ("R1 3 5", 3, "R1 R3 R5"),
    ],
)
def test_the_quantity_chooses_the_reading(text: str, qty: float, names: str) -> None:
    assert list(parse_designators(text, qty).names) == names.split()


def test_what_is_no_range_gives_nothing() -> None:
    assert expand_range("R1", "-", "C3", eager=True) == ()
    assert expand_range("R3", "-", "R1", eager=True) == ()
    assert expand_range("R1", "-", "R9999", eager=True) == ()
    assert join_ranges("R5 not fitted - see R7") == "R5 not fitted - see R7"
