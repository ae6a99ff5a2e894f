import csv
import io

import pytest
from python_calamine import CalamineWorkbook

from webapp.desk.sheets import harmless, to_csv, to_xlsx

HEAD = ("MPN", "Quantity")
ROWS = [("00471", 2.5), ("=cmd|' /C calc'!A0", None), ('a,b\n"c"', 3)]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx"])
def test_text_that_would_be_run_gets_an_apostrophe(text):
    assert harmless(text) == f"'{text}"


@pytest.mark.parametrize("value", ["GR-104", "1=1", "", None, -3.5, 0])
def test_all_else_stays(value):
    assert harmless(value) == value


def test_csv_reads_back():
    content = to_csv(HEAD, ROWS)
    assert content.startswith(b"\xef\xbb\xbf")
    assert list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""))) == [
        ["MPN", "Quantity"],
        ["00471", "2.5"],
        ["'=cmd|' /C calc'!A0", ""],
        ['a,b\n"c"', "3"],
    ]


def test_xlsx_reads_back_and_keeps_the_zeros():
    book = CalamineWorkbook.from_filelike(
        io.BytesIO(to_xlsx("HL/2 [draft]: a name much longer than it may be", HEAD, ROWS))
    )
    (name,) = book.sheet_names
    assert name == "HL 2  draft   a name much longer"[:31].strip()
    assert book.get_sheet_by_name(name).to_python() == [
        ["MPN", "Quantity"],
        ["00471", 2.5],
        ["'=cmd|' /C calc'!A0", ""],
        ['a,b\n"c"', 3.0],
    ]


def test_a_name_of_nothing_but_forbidden_signs():
    assert CalamineWorkbook.from_filelike(io.BytesIO(to_xlsx("[]", HEAD, []))).sheet_names == ["Lines"]


def test_a_text_longer_than_a_cell_takes_is_cut():
    book = CalamineWorkbook.from_filelike(io.BytesIO(to_xlsx("x", ("A",), [("y" * 40_000,)])))
    assert len(book.get_sheet_by_name("x").to_python()[1][0]) == 32_767
