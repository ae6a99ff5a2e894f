import csv
import io

import pytest
from python_calamine import CalamineWorkbook

from webapp.web.downloads import Format
from webapp.web.lists import as_file, paged, windowed
from webapp.web.numbers import MOST_PAGES
from webapp.web.paging import View, Window

ROWS = [f"row {n}" for n in range(1, 251)]


def find(offset, size):
    """A page of ROWS, as a query gives it: a database takes no larger numbers."""
    assert offset < 2**63
    return ROWS[offset : offset + size], len(ROWS)


@pytest.mark.parametrize(
    ("page", "number", "first", "count"),
    [
        (1, 1, "row 1", 100),
        (3, 3, "row 201", 50),
        (4, 3, "row 201", 50),
        (MOST_PAGES, 3, "row 201", 50),
    ],
)
def test_a_page_of_rows_past_the_end_the_last(page, number, first, count):
    rows, window = windowed(page, find)
    assert (window.number, rows[0], len(rows), window.total) == (number, first, count, 250)


def test_nothing_is_an_empty_page():
    rows, window = windowed(5, lambda _offset, _size: ([], 0))
    assert (rows, window) == ([], Window(1, 0))


def test_the_way_to_the_pages_around():
    view = View("/parts", {"q": "x", "page": 2}, {"page": 1})
    shown = paged(view, Window.at(2, 250))
    assert (shown["previous"], shown["following"]) == ("/parts?q=x", "/parts?q=x&page=3")
    alone = paged(view, Window.at(1, 3))
    assert (alone["previous"], alone["following"]) == (None, None)


def test_as_csv_and_as_a_workbook():
    rows = [["MX-9", 3], ["=1+1", None]]
    answer = as_file(Format.CSV, "parts", ("Part", "Uses"), rows)
    assert 'filename="parts.csv"' in answer.headers["content-disposition"]
    assert list(csv.reader(io.StringIO(answer.body.decode("utf-8-sig")))) == [
        ["Part", "Uses"],
        ["MX-9", "3"],
        ["'=1+1", ""],
    ]
    answer = as_file(Format.XLSX, "parts", ("Part", "Uses"), rows, sheet="Parts")
    assert 'filename="parts.xlsx"' in answer.headers["content-disposition"]
    book = CalamineWorkbook.from_filelike(io.BytesIO(answer.body))
    assert book.sheet_names == ["Parts"]
    assert book.get_sheet_by_index(0).to_python() == [["Part", "Uses"], ["MX-9", 3.0], ["'=1+1", ""]]
