"""The sentences about what a person should look at."""

from webapp.intake.columns import plan_columns
from webapp.intake.doubts import about_designators, about_notes, boards_counted
from webapp.intake.notes import Notes
from webapp.intake.reader import read_bom
from webapp.trade.bom import BomLine, BomReading

PLAN = plan_columns(["Ref", "Qty"], [["R1", "1"], ["C1", "1"], ["U1", "1"]])


def messages(*lines: BomLine) -> list[str]:
    reading = BomReading("list.csv", True, lines=lines)
    return [problem.message for problem in about_designators(reading, PLAN)]


def test_designators() -> None:
    assert messages(BomLine(2, ("R1", "R1")), BomLine(3, ("R1", "C1")), BomLine(4, ("C1",), ("C1",))) == [
        "R1 twice in the same cell; counted once",
        "R1 already on row 2; counted once",
    ]
    assert messages(BomLine(2, ("R1",)), BomLine(3, mpn="B", alternate_of=2), BomLine(4, mpn="C")) == [
        "no designator: taken as an alternate for row 2",
        "no designator: kept as a loose part, places nothing on the board",
    ]


def test_a_note_not_understood_names_the_designators() -> None:
    (problem,) = about_notes(Notes(unclear=((5, "R5 not fitted when R6 is"),)))
    assert (problem.row, problem.code) == (5, "note_unclear")
    assert problem.message == 'the text "R5 not fitted when R6 is" may mean that R5 are not fitted: it was not applied'


def test_a_word_in_the_place_of_a_part_number() -> None:
    text = b"Ref,MPN\nR1,see note\nC1,TBD\nU1,ZX-1\n"
    assert [(p.row, p.code) for p in read_bom(text, "list.csv").problems] == [
        (2, "part_number_is_word"),
        (3, "part_number_is_word"),
    ]


def test_part_numbers_that_became_dates() -> None:
    text = b"Ref,MPN\nR1,1-Feb\nC1,2/1/2012\nU1,2012-02-01 00:00:00\nJ1,12-FEBX\n"
    assert [(p.row, p.code) for p in read_bom(text, "list.csv").problems] == [
        (row, "part_number_is_date") for row in (2, 3, 4)
    ]


def test_a_row_passed_over_that_names_designators() -> None:
    text = b"Ref,Value,Qty\nR1,1k,1\nC1,1u,1\nMount R1 first,,\nR2 and C9 come with the kit X7R-2,,\n"
    (problem,) = read_bom(text, "list.csv").problems
    assert (problem.row, problem.code) == (5, "refdes_in_text")
    assert "names R2, C9, on no line" in problem.message


def test_a_word_that_says_neither_yes_nor_no() -> None:
    text = b"Ref,Value,Populate\nR1,1k,yes\nC1,1u,no\nU1,ZX,optional\nU2,ZX,optional\n"
    reading = read_bom(text, "list.csv")
    assert reading.fitted == {"R1", "U1", "U2"}
    (problem,) = reading.problems
    assert (problem.row, problem.column, problem.code) == (4, "Populate", "fitting_unclear")
    assert problem.message == '"optional" says neither yes nor no (rows 4, 5): it was taken as fitted'


def test_the_number_of_boards() -> None:
    assert boards_counted([BomLine(i, (f"R{i}", f"C{i}"), qty=10.0) for i in range(4)]) == 5
    assert boards_counted([BomLine(2, ("R1",), qty=2.0)]) == 1
