"""What the text around the tables says of their lines (common practice, no source)."""

import pytest

from webapp.intake.notes import Notes, is_about_single_parts, read_notes


def test_a_footnote_mark_and_a_list() -> None:
    notes = read_notes([(1, "* not fitted"), (2, "R9 DNP"), (3, "all caps X7R")])
    assert notes == Notes("*", frozenset({"R9"}))
    assert notes.out("C1, C2*", (), ["C1", "C2"]) == ("C2",)
    assert notes.out("C1, C2", ["100n*"], ["C1", "C2"]) == ("C1", "C2")
    assert notes.out("R8, R9", (), ["R8", "R9"]) == ("R9",)
    assert is_about_single_parts("* not fitted", [["C1*"]])
    assert not is_about_single_parts("* not fitted", [["C1"], ["* not fitted"]]), "a heading with a bullet"


def test_a_note_under_a_condition_is_kept_for_a_person() -> None:
    notes = read_notes([(7, "R5 not fitted when R6 is")])
    assert not notes
    assert notes.unclear == ((7, "R5 not fitted when R6 is"),)


@pytest.mark.parametrize("text", ["*** DNP ***", "Not fitted", "* place close to U1"])
def test_texts_that_explain_no_mark(text: str) -> None:
    assert read_notes([(1, text)]) == Notes()
