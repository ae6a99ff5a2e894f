"""Whole part lists, one for each way in which a list may be laid out: the expectation is what a person reads in it.

All lists are invented.
"""

from collections.abc import Iterator

import pytest

from tests.intake import structures
from tests.intake.files import xlsx
from webapp.intake.reader import read_bom
from webapp.trade.bom import BomReading


def cases() -> Iterator[tuple[str, str, str, str]]:
    """Name, list, designators fitted, designators not fitted."""
    for block in structures.TEXTS.split("\n### ")[1:]:
        head, _, text = block.partition("\n")
        name, _, expected = head.partition(" => ")
        fitted, _, dnp = expected.partition(" ; ")
        yield name, text, fitted, dnp


def read(text: str, name: str = "list.csv") -> BomReading:
    return read_bom(text.encode(), name)


def not_fitted(reading: BomReading) -> set[str]:
    return {name for line in reading.lines for name in line.dnp_refdes} - reading.fitted


@pytest.mark.parametrize(("name", "text", "fitted", "dnp"), list(cases()), ids=[name for name, *_ in cases()])
def test_structures(name: str, text: str, fitted: str, dnp: str) -> None:
    reading = read(text)
    assert reading.is_board_bom, reading.why_not_bom
    assert reading.fitted == set(fitted.split())
    assert not_fitted(reading) == set(dnp.split())
    rows = sorted([line.row for line in reading.lines] + [skip.row for skip in reading.skipped])
    assert rows == list(range(1, reading.row_count + 1))


def test_a_header_far_below_the_top_is_found() -> None:
    assert read("a line of text,\n" * 200 + "Ref,Qty,Value\nR1,1,10k\nC1,1,1u\n").header_row == 201


def test_a_note_under_a_condition_is_put_to_the_person() -> None:
    reading = read("Ref,Value\nR5,10k\nR6,10k\nC1,1u\nR5 not fitted when R6 is,\n")
    assert reading.fitted == {"R5", "R6", "C1"}
    assert [(p.row, p.code) for p in reading.problems] == [(5, "note_unclear")]
    assert "may mean that R5" in reading.problems[0].message


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ('Ref,Qty,Value\n"R1,R2,C1",3 (2 DNP),10k\nR9,1,1k\n', "dnp_unnamed"),
        ("Ref,Value,Note\nR1,1k,1)\nR2,1k,\nC1,1u,\n1) not fitted in variant B,,\n", "note_unclear"),
        ("Ref,Value,Note\nR1,1k,\nR2,1k,DNP unless R1 is missing\nC1,1u,\n", "note_unclear"),
        ("Ref,Value\nYellow = not fitted,\nR1,1k\nR2,1k\nC1,1u\n", "note_unclear"),
    ],
)
def test_what_is_not_certain_is_kept_as_fitted_and_put_to_the_person(text: str, code: str) -> None:
    reading = read(text)
    assert len(reading.fitted) == len({name for line in reading.lines for name in line.refdes})
    assert [p.code for p in reading.problems] == [code]


def test_sides_come_from_columns_headings_and_names() -> None:
    columns = read('MPN,Top refs,Bottom refs\nAR-1,"R1,R2",\nAC-1,,C1\nZX,U1,\n')
    assert [line.side for line in columns.lines] == ["top", "bottom", "top"]
    headings = read("Ref,Value\nTop side,\nR1,10k\nBottom side,\nC1,1u\nR2,10k\n")
    assert [line.side for line in headings.lines] == ["top", "bottom", "bottom"]


def test_of_two_columns_of_numbers_the_one_that_counts_is_the_quantity() -> None:
    reading = read('Ref,Value,Price,Total,Count\n"R1,R2",10k,1,2,2\nC1,1u,2,2,1\n"C2,C3,C4",1u,3,9,3\n')
    assert reading.columns()["qty"] == "Count"


def test_decimals_with_three_noughts() -> None:
    reading = read("Ref;Value;Qty\nR1,R2;10k;2,000\nC1;1u;1,000\n")
    assert [line.qty for line in reading.lines] == [2.0, 1.0]


def test_a_table_beside_the_table_that_lists_no_parts_is_pointed_out() -> None:
    reading = read("Ref,Value,,Ref,Changed\nR1,10k,,C1,yesterday\nR2,10k,,C2,today\n")
    assert [(p.code, p.column) for p in reading.problems] == [("refdes_not_read", "Ref [D]")]


def test_merged_cells_hold_for_all_their_rows() -> None:
    rows = [
        ["Ref", "Value", "MPN", "Qty"],
        ["R1", "10k", "AR-1", 2],
        ["R2"],
        ["U1", "ZX", "ZX-1", 1],
        ["U2", None, "ZX-2", 1],
    ]
    merged = [(1, 1, 2, 1), (1, 2, 2, 2), (1, 3, 2, 3), (3, 1, 4, 1)]
    reading = read_bom(xlsx({"BOM": rows}, merged={"BOM": merged}), "list.xlsx")
    assert [(line.refdes, line.value, line.mpn) for line in reading.lines] == [
        (("R1", "R2"), "10k", "AR-1"),
        (("U1",), "ZX", "ZX-1"),
        (("U2",), "ZX", "ZX-2"),
    ]


def test_a_status_merged_over_rows_holds_for_all_of_them() -> None:
    rows = [
        ["Ref", "Qty", "Value", "Status"],
        ["R1", 1, "10k", "DNP"],
        ["R2", 1, "1k"],
        ["C1", 1, "1u"],
        ["U1", 1, "ZX"],
    ]
    reading = read_bom(xlsx({"BOM": rows}, merged={"BOM": [(1, 3, 2, 3)]}), "list.xlsx")
    assert (reading.fitted, not_fitted(reading)) == ({"C1", "U1"}, {"R1", "R2"})


def test_rows_that_a_web_page_joins() -> None:
    cells = "<tr><td>R1<td rowspan=2>10k<td rowspan=2>AR-1</tr><tr><td>R2</tr><tr><td>U1<td>ZX<td>ZX-1</tr>"
    reading = read(f"<table><tr><th>Ref<th>Value<th>MPN</tr>{cells}</table>", "list.xls")
    assert [(line.refdes, line.mpn) for line in reading.lines] == [(("R1", "R2"), "AR-1"), (("U1",), "ZX-1")]
