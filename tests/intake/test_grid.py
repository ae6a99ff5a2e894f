import dataclasses
import datetime

import pytest

from webapp.intake.grid import Book, Sheet


def test_numbers_are_what_the_workbook_stores_as_such() -> None:
    day = datetime.date(2026, 3, 1)
    sheet = Sheet("S", [["1", "x", "TRUE", "2026-03-01"], ["2"]], [[1.0, "x", True, day], [2]])
    assert sheet.numbers(0) == {0, 1}
    assert not any(sheet.numbers(column) for column in (1, 2, 3, 9))


def test_text_sheets_have_no_numbers() -> None:
    assert not Sheet("", [["1"]]).numbers(0)


def test_sheet_by_name() -> None:
    sheet = Sheet("Parts", [])
    book = Book("a.xlsx", "workbook", (Sheet("Other", []), sheet))
    assert book.sheet("Parts") is sheet
    assert book.sheet("parts") is None


def test_a_book_does_not_change() -> None:
    book = Book("a.csv", "csv", ())
    with pytest.raises(dataclasses.FrozenInstanceError):
        book.kind = "fixed"  # type: ignore[misc]
