"""Lists without a separator."""

import pytest

from webapp.intake.loose import read_pairs, read_words, told_in_full


def test_pairs_of_designators_and_a_word() -> None:
    assert read_pairs(["R1, R2: 10k", "", "C1 = 1u", "U1 ZX1"]) == [["R1, R2", "10k"], [], ["C1", "1u"], ["U1", "ZX1"]]
    assert read_pairs(["a: 1", "b: 2", "c: 3"]) is None
    assert read_pairs(["R1 N1 N2 10k", "C1 N2 0 1u", "Q1 N3 N2 0 NPN"]) is None


def test_lines_of_the_same_number_of_words() -> None:
    assert read_words(["QTY REFS VALUE", "2 R1,R2 10k", "1 C1 1u"]) == [
        ["QTY", "REFS", "VALUE"],
        ["2", "R1,R2", "10k"],
        ["1", "C1", "1u"],
    ]
    assert read_words(["a few words", "and then", "some more of them in a line"]) is None


@pytest.mark.parametrize(
    ("text", "row"),
    [
        ("2 x R1 R2 10k", ["2 x", "R1 R2", "10k", ""]),
        ("R1,R2 (2x) 10k 0603", ["2x", "R1,R2", "10k", "0603"]),
        ("U1 - ZX7001", ["", "U1", "ZX7001", ""]),
        ("R1 - R4: 10k 1%", ["", "R1-R4", "10k", "1%"]),
        ("R1,2 and R5 10k", ["", "R1,2, R5", "10k", ""]),
        ("- 2x 10k resistor (R1, R2)", ["2x", "R1, R2", "10k", "resistor"]),
        ("1x ZX7001 (U1)", ["1x", "U1", "ZX7001", ""]),
        ("100nF: C1, C2", ["", "C1, C2", "100nF", ""]),
    ],
)
def test_a_line_told_in_one_text(text: str, row: list[str]) -> None:
    assert told_in_full([text, "C8 1u", "C9 1u"]) == [row, ["", "C8", "1u", ""], ["", "C9", "1u", ""]]


@pytest.mark.parametrize("text", ["R1,10k", "R1 R2", "10k 0603", 'R1,"10k"'])
def test_a_text_that_tells_no_line_stays_whole(text: str) -> None:
    others = ["C6 1u", "C7 1u", "C8 1u", "C9 1u"]
    assert (told_in_full([*others[:2], text, *others[2:]]) or [])[2] == [text]


def test_other_texts_tell_no_bom() -> None:
    assert told_in_full(["The board has R1 and C1.", "See U1.", "Power it by J1."]) is None
