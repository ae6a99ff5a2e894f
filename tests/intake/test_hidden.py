"""Rows and columns that a workbook hides, cells that it strikes through."""

import io

import xlsxwriter

from webapp.intake.reader import read_bom


def workbook() -> bytes:
    """Line 1 struck through, half of line 2 too, line 3 hidden, the quantities hidden."""
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer) as book:
        sheet = book.add_worksheet("A & B")
        struck = book.add_format({"font_strikeout": True})
        for at, row in enumerate([["Ref", "Qty", "Value"], ["R1", 1, "10k"], ["", 2, "1k"], ["R4", 1, "2k"]]):
            sheet.write_row(at, 0, row)
        sheet.write(1, 0, "R1", struck)
        sheet.write_rich_string(2, 0, "R2, ", struck, "R3")
        sheet.set_row(3, None, None, {"hidden": True})
        sheet.set_column("B:B", None, None, {"hidden": True})
    return buffer.getvalue()


def test_what_is_hidden_or_struck_through_is_read_and_put_to_the_person() -> None:
    reading = read_bom(workbook(), "list.xlsx")
    assert reading.fitted == {"R1", "R2", "R3", "R4"}
    assert [(p.row, p.column, p.code) for p in reading.problems] == [
        (None, "Qty", "hidden_column"),
        (2, "Ref", "struck_through"),
        (3, "Ref", "struck_through"),
        (4, None, "hidden_rows"),
    ]
