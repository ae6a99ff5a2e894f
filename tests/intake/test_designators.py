"""Designators: expected lists are what a person reads in the cell (common practice, no source)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.intake.designators import looks_like_designator, parse_designators, prefix_of
from webapp.intake.ranges import MAX_RANGE


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("R1", "R1"),
        ("R1, R2", "R1 R2"),
        ("VIN-", "VIN-"),
        ("R[1..4]", "R1 R2 R3 R4"),
        ("R(1,2,5), C1", "R1 R2 R5 C1"),
        ("R1(2)", "R1"),
        ("C  4", "C4"),
        ("C  2,C  3", "C2 C3"),
        ("R2¹, R3②", "R2 R3"),
        ("R2 1), R3", "R2 R3"),
        ("R1 DNP: R2", "R1 R2"),
        ("R2#", "R2"),
        ("Reset", "Reset"),
        ("R1,R2;R3|R4", "R1 R2 R3 R4"),
        ("C11 C1 C4", "C11 C1 C4"),
        ("R1\nR2", "R1 R2"),
        ("R4,\nR5", "R4 R5"),
        ("R1、R2，R3", "R1 R2 R3"),
        ("Ｒ１，Ｒ２", "R1 R2"),
        ("R1;R2;", "R1 R2"),
        ("R1 and R2 & R3", "R1 R2 R3"),
        ("J1+J2", "J1 J2"),
        ("R 1, R 2", "R1 R2"),
        ("R1-R4", "R1 R2 R3 R4"),
        ("R1 - R4", "R1 R2 R3 R4"),
        ("C1- C4", "C1 C2 C3 C4"),
        ("R1–R3", "R1 R2 R3"),
        ("R1~R3", "R1 R2 R3"),
        ("R1..4", "R1 R2 R3 R4"),
        ("R1...R3", "R1 R2 R3"),
        ("D1:D4", "D1 D2 D3 D4"),
        ("R1 to R3", "R1 R2 R3"),
        ("R1 bis R3", "R1 R2 R3"),
        ("R1 à R3", "R1 R2 R3"),
        ("C14-17", "C14 C15 C16 C17"),
        ("R1,2,5-7", "R1 R2 R5 R6 R7"),
        ("R73-R75,R114", "R73 R74 R75 R114"),
        ("R01-R03", "R01 R02 R03"),
        ("C1_1-C1_3", "C1_1 C1_2 C1_3"),
        ("C70_1, C70_2", "C70_1 C70_2"),
        ("R1/R2/R3", "R1 R2 R3"),
        ("PC3/PB8", "PC3/PB8"),
        ("GPIO-4", "GPIO-4"),
        ("J3-1, J3-2", "J3-1 J3-2"),
        ("P2-P1", "P2-P1"),
        ("POWER", "POWER"),
        ("USR0,USR1,PWR", "USR0 USR1 PWR"),
        ("SW_RESET", "SW_RESET"),
        ("G***", "G***"),
        ("R5*, R6", "R5 R6"),
        ("1PIN,1PIN", "1PIN 1PIN"),
        ("U1A,U1B", "U1A U1B"),
        ("C5(DNP), C6", "C5 C6"),
        ("", ""),
        (" , ;", ""),
    ],
)
def test_names_in_a_cell(text: str, names: str) -> None:
    found = parse_designators(text)
    assert list(found.names) == names.split()
    assert not found.is_phrase


@pytest.mark.parametrize(
    "text", ["White Wire", "Enclosure", "spare fuses", "2P latch", "USB A-B cable", "screws", "M3 screw"]
)
def test_words_are_no_designators(text: str) -> None:
    assert parse_designators(text).is_phrase


@pytest.mark.parametrize(
    ("text", "qty", "count"),
    [("X1-2", 2, 2), ("X1-2", 1, 1), ("D1/E2", 2, 2), ("D1/E2", 1, 1), ("BOOT RESET", 2, 2), ("C1 - C2 - C3", 3, 3)],
)
def test_the_quantity_settles_what_can_be_read_in_two_ways(text: str, qty: float, count: int) -> None:
    assert len(parse_designators(text, qty).names) == count


def test_several_words_in_capitals_are_a_phrase_unless_the_quantity_counts_them() -> None:
    assert parse_designators("POWER RESET", 5).is_phrase


@given(st.integers(0, 5000), st.integers(0, 5000))
def test_a_range_holds_every_number_between_its_ends(low: int, high: int) -> None:
    names = parse_designators(f"C{low}-C{high}").names
    if low < high and high - low < MAX_RANGE:
        assert names == tuple(f"C{n}" for n in range(low, high + 1))
    elif low == high:
        assert names == (f"C{low}",)
    else:
        assert names == (f"C{low}-C{high}",)


@given(st.text(max_size=60), st.none() | st.floats(0, 50))
def test_any_text_gives_names_without_separators(text: str, qty: float | None) -> None:
    names = parse_designators(text, qty).names
    assert all(name and "," not in name and ";" not in name for name in names)


@given(st.lists(st.from_regex(r"[A-Z]{1,3}[1-9][0-9]{0,3}", fullmatch=True), min_size=1, max_size=30))
def test_a_plain_list_comes_back_in_order_whatever_the_separator(names: list[str]) -> None:
    for separator in (",", ", ", ";", " ", "\n", "，"):
        assert list(parse_designators(separator.join(names)).names) == names


def test_shapes() -> None:
    assert all(map(looks_like_designator, ["R1", "IC12", "C70_1", "U1A", "TP-1", "led1"]))
    assert not any(map(looks_like_designator, ["100nF", "10k", "", "R", "2N3904X", "0603"]))
    assert (prefix_of("R12"), prefix_of("LOGO"), prefix_of("1PIN")) == ("R", "LOGO", "")
