import datetime

import pytest

from tests.intake import files
from tests.intake.files import PARTS, PARTS_TEXT
from webapp.errors import UnreadableFileError
from webapp.intake.limits import Limits
from webapp.intake.signatures import Container
from webapp.intake.workbook import Workbook, read_workbook, text_of


def refusal(content: bytes, container: Container, limits: Limits | None = None) -> str:
    with pytest.raises(UnreadableFileError) as refused:
        read_workbook(content, container, limits or Limits())
    return refused.value.code


def read(content: bytes, container: Container = "zip", only: str | None = None) -> Workbook:
    return read_workbook(content, container, Limits(), only)


@pytest.mark.parametrize(
    ("content", "container", "kind"),
    [(files.xlsx(), "zip", "xlsx"), (files.xls(), "ole", "xls"), (files.ods(), "zip", "ods")],
)
def test_every_kind_gives_the_same_text_and_numbers(content: bytes, container: Container, kind: str) -> None:
    book = read(content, container)
    (sheet,) = book.sheets
    assert (book.kind, sheet.name, sheet.rows) == (kind, "Parts", PARTS_TEXT)
    assert (sheet.numbers(1), sheet.numbers(3), sheet.numbers(2)) == ({1, 2}, {2}, set())


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (1.0, "1"),
        (-3.0, "-3"),
        (0.1, "0.1"),
        (61302221021.0, "61302221021"),
        (1e20, "1e+20"),
        (7, "7"),
        (True, "TRUE"),
        (False, "FALSE"),
        (datetime.date(2026, 3, 1), "2026-03-01"),
        (datetime.datetime(2026, 3, 1, 12, 30), "2026-03-01 12:30:00"),
        (" kept ", " kept "),
    ],
)
def test_text_of_one_cell(value: float | str | datetime.date, text: str) -> None:
    assert text_of(value) == text


def test_rows_are_where_the_spreadsheet_has_them() -> None:
    (sheet,) = read(files.xlsx({"S": [[], ["", "x"], [], [1]]})).sheets
    assert sheet.rows == [[], ["", "x"], [], ["1", ""]]


def test_all_sheets_empty_and_hidden_ones_too() -> None:
    sheets = read(files.xlsx({"Cover": [], "Parts": PARTS, "Old": PARTS}, hidden=("Old",))).sheets
    assert [(sheet.name, len(sheet.rows), sheet.hidden) for sheet in sheets] == [
        ("Cover", 0, False),
        ("Parts", 3, False),
        ("Old", 3, True),
    ]


def test_one_sheet_only() -> None:
    content = files.xlsx({"A": PARTS, "B": PARTS})
    assert [len(sheet.rows) for sheet in read(content, only="B").sheets] == [0, 3]
    with pytest.raises(UnreadableFileError) as refused:
        read(content, only="C")
    assert (refused.value.code, refused.value.field) == ("no_such_sheet", "sheet")


def test_stored_results_are_read_and_nothing_runs() -> None:
    cells = '<c r="A1"><f>1+1</f><v>2</v></c><c r="B1"><f>1+1</f></c><c r="C1" t="str"><v>=cmd|\' /C calc\'!A0</v></c>'
    (sheet,) = read(files.raw_xlsx(f'<row r="1">{cells}</row>')).sheets
    assert sheet.rows == [["2", "", "=cmd|' /C calc'!A0"]]


def test_protected() -> None:
    assert refusal(files.protected_xlsx(), "ole") == "protected"
    assert refusal(files.protected_xls(), "ole") == "protected"


def test_damaged() -> None:
    assert refusal(files.xls()[:1_500], "ole") == "damaged"
    assert refusal(files.xlsx()[:1_500], "zip") == "damaged"
    assert refusal(files.zipped({"xl/workbook.xml": "<workbook"}), "zip") == "damaged"
    assert refusal(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "ole") == "damaged"


def test_other_ole_files_are_refused_by_name() -> None:
    content = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(100) + "WordDocument".encode("utf-16-le") + bytes(600)
    assert refusal(content, "ole") == "not_a_table"


def test_limits() -> None:
    assert refusal(files.xlsx({str(at): [] for at in range(4)}), "zip", Limits(sheets=3)) == "too_many_sheets"
    assert refusal(files.xls(), "ole", Limits(rows=2)) == "too_many_rows"
    assert refusal(files.xls(), "ole", Limits(columns=3)) == "too_many_columns"
    assert refusal(files.xlsx({"A": PARTS, "B": PARTS}), "zip", Limits(cells=20)) == "too_many_cells"


def test_a_far_cell_in_an_old_workbook() -> None:
    rows: list[list[object]] = [["x"]] + [[]] * 64_999 + [["y"]]
    assert refusal(files.xls(rows), "ole", Limits(rows=60_000)) == "too_many_rows"
