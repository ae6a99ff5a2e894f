"""Sheets with their tables and columns planned."""

from webapp.intake.drafts import continued_draft, draft_of
from webapp.intake.grid import Sheet
from webapp.trade.bom import Field, ReadChoices

HEADER = ["Designator", "Qty", "Value"]
FIRST = Sheet("1", [HEADER, ["R1, R2", "2", "10k"], ["C1", "1", "1u"], ["U1", "1", "ZX"]])


def test_the_designators_of_a_sheet() -> None:
    sheet = Sheet("S", [*FIRST.rows, ["Total", "4", ""], ["white wire", "1", ""]])
    assert draft_of(sheet, ReadChoices(), is_text=False).names() == {"R1", "R2", "C1", "U1"}


def test_in_text_lists_are_mended_and_marks_that_keep_text_dropped() -> None:
    sheet = Sheet("", [HEADER, ["R1", "R2", "2", "10k"], ['="C1"', "1", "'007"], ["'U1'", "1", "5'"]])
    rows = draft_of(sheet, ReadChoices(), is_text=True).sheet.rows
    assert rows[1:] == [["R1, R2", "2", "10k"], ["C1", "1", "007"], ["'U1'", "1", "5'"]]
    assert draft_of(sheet, ReadChoices(), is_text=False).sheet.rows == sheet.rows


def test_a_sheet_may_go_on_under_the_header_of_the_one_before() -> None:
    first = draft_of(FIRST, ReadChoices(), is_text=False)
    going_on = continued_draft(Sheet("2", [["R3", "1", "1k"], ["C3", "1", "2u"]]), first, ReadChoices())
    assert going_on is not None
    assert (going_on.names(), going_on.plans[0].position(Field.VALUE)) == ({"R3", "C3"}, 2)
    assert continued_draft(Sheet("3", [["Notes", "1"], ["see", "2"]]), first, ReadChoices()) is None


def test_a_list_of_places_promises_nothing() -> None:
    sheet = Sheet("S", [["Designator", "X", "Y", "Rotation"], ["R1", "1", "2", "90"]])
    assert draft_of(sheet, ReadChoices(), is_text=False).promise == 0.0
