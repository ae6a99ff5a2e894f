"""What the text around a table says of single designators (common practice, no source)."""

import pytest

from webapp.intake.notes import Notes, is_about_single_parts, listed_in, read_notes


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("DNP: R1, R2", "R1 R2"),
        ("2. Do not fit R9", "R9"),
        ("Note: not fitted R5-R7", "R5 R6 R7"),
        ("R5 and R6 are not fitted", "R5 R6"),
        ("nicht bestückt: C1 C2", "C1 C2"),
        ("R5 not fitted when R6 is", ""),
        ("Do not fit parts marked with a cross", ""),
        ("DNP", ""),
    ],
)
def test_designators_listed_in_a_note(text: str, names: str) -> None:
    assert list(listed_in(text)) == names.split()


def test_a_footnote_mark() -> None:
    notes = read_notes(["* not fitted", "R9 DNP", "all caps X7R"])
    assert notes == Notes("*", frozenset({"R9"}))
    assert notes.out("C1, C2*", (), ["C1", "C2"]) == ("C2",)
    assert notes.out("C1, C2", ["100n*"], ["C1", "C2"]) == ("C1", "C2")
    assert is_about_single_parts("* not fitted", [["C1*"]])
    assert not is_about_single_parts("* not fitted", [["C1"], ["* not fitted"]]), "a heading with a bullet"


@pytest.mark.parametrize("text", ["*** DNP ***", "Not fitted", "* place close to U1"])
def test_texts_that_explain_no_mark(text: str) -> None:
    assert read_notes([text]) == Notes()
