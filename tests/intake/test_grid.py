import dataclasses
import datetime

import pytest

from webapp.intake.grid import Book, Sheet


def test_number_is_what_the_workbook_stores_and_none_elsewhere() -> None:
    day = datetime.date(2026, 3, 1)
    sheet = Sheet("S", [["1", "x", "TRUE", "2026-03-01"], ["2"]], [[1.0, "x", True, day], [2]])
    assert sheet.number(0, 0) == 1.0
    assert sheet.number(1, 0) == 2.0
    assert [sheet.number(0, column) for column in (1, 2, 3, 9)] == [None] * 4
    assert sheet.number(7, 0) is None


def test_text_sheets_have_no_numbers() -> None:
    assert Sheet("", [["1"]]).number(0, 0) is None


def test_sheet_by_name() -> None:
    sheet = Sheet("Parts", [])
    book = Book("a.xlsx", "workbook", (Sheet("Other", []), sheet))
    assert book.sheet("Parts") is sheet
    assert book.sheet("parts") is None


def test_a_book_does_not_change() -> None:
    book = Book("a.csv", "csv", ())
    with pytest.raises(dataclasses.FrozenInstanceError):
        book.kind = "fixed"  # type: ignore[misc]
