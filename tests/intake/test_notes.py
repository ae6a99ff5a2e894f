"""What the text around the tables says of their lines (common practice, no source)."""

import pytest

from webapp.intake.notes import Notes, is_about_single_parts, read_notes


def test_a_footnote_mark_and_a_list() -> None:
    notes = read_notes([(1, "* not fitted"), (2, "R9 DNP"), (3, "all caps X7R")])
    assert notes == Notes(frozenset("*"), frozenset({"R9"}))
    assert notes.out("C1, C2*", (), (), ["C1", "C2"]) == ("C2",)
    assert notes.out("C1, C2", ["100n*"], (), ["C1", "C2"]) == ("C1", "C2")
    assert notes.out("R8, R9", (), (), ["R8", "R9"]) == ("R9",)
    assert is_about_single_parts("* not fitted", [["C1*"]])
    assert not is_about_single_parts("* not fitted", [["C1"], ["* not fitted"]]), "a heading with a bullet"


@pytest.mark.parametrize(
    "text", ["2) not fitted", "(2) DNP", "[2]: do not populate", "Note 2 - not mounted", "注2：不贴"]
)
def test_a_numbered_footnote(text: str) -> None:
    notes = read_notes([(1, text), (2, "3) low noise")])
    assert notes.marks == {"2"}
    assert notes.out("R1 (2), R2 (3), R3²", (), (), ["R1", "R2", "R3"]) == ("R1", "R3")
    assert notes.out("R1", ["10k 2)"], (), ["R1"]) == ("R1",)
    assert notes.out("R1", ["10k"], ["1, 2"], ["R1"]) == ("R1",)
    assert notes.out("R1", ["10k"], ["see note 2"], ["R1"]) == ("R1",)
    assert notes.out("R2", ["22k", "2 W", "R(12)"], ["2 per board", "12", "3"], ["R2"]) == ()


def test_a_numbered_heading_opens_a_block_where_nothing_carries_its_number() -> None:
    assert not is_about_single_parts("2. Not fitted", [["R1", "10k", "3"]], [2])
    assert is_about_single_parts("2. Not fitted", [["R1", "10k", "2"]], [2])


@pytest.mark.parametrize("text", ["1) not fitted in variant B", "Grey rows are not fitted", "* do not fit if R2 is"])
def test_conditions_variants_and_colours_are_kept_for_a_person(text: str) -> None:
    notes = read_notes([(9, text)])
    assert not notes
    assert notes.unclear == ((9, text),)
    assert is_about_single_parts(text, [["R1 1)"]]), "it heads no block"


def test_a_note_under_a_condition_is_kept_for_a_person() -> None:
    notes = read_notes([(7, "R5 not fitted when R6 is")])
    assert not notes
    assert notes.unclear == ((7, "R5 not fitted when R6 is"),)


@pytest.mark.parametrize("text", ["*** DNP ***", "Not fitted", "* place close to U1"])
def test_texts_that_explain_no_mark(text: str) -> None:
    assert read_notes([(1, text)]) == Notes()
