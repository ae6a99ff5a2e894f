"""Whole part lists: the expectation is what a person reads in the list (all lists are invented)."""

import io
from dataclasses import dataclass, field

import pytest
import xlsxwriter
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from tests.intake import part_lists
from webapp.errors import UnreadableFileError
from webapp.intake.reader import read_bom
from webapp.trade.bom import Alternate, BomLine, BomReading, Field, Fitting, ReadChoices


@dataclass(frozen=True)
class Expected:
    """Designators fitted, not fitted and no placement; labels of some columns; 1-based header row."""

    fitted: str
    dnp: str = ""
    excluded: str = ""
    header_row: int | None = 1
    columns: dict[str, str | None] = field(default_factory=dict)


CASES = {
    "GROUPED": Expected("C1 C2 R1 R2 R3 U1", columns={"mpn": "Manufacturer Part Number", "package": "Footprint"}),
    "SCHEMATIC_TABS": Expected(
        "C1 C2 C3 R1 R2 R3 R4 R5 R6 R7 R8 R9 R10 R11 R12 U1", "R20 R21 U2", header_row=5, columns={"value": "Part"}
    ),
    "FIXED_WIDTH": Expected(
        "C1 C2 C7 R1 R2 R3 R4 R7 R9 R11 R12 R14 R15 R16 R17 U1",
        excluded="TP1 TP2",
        header_row=4,
        columns={"mpn": "Part Name", "manufacturer": "Manufacturer"},
    ),
    "ONE_A_ROW": Expected("C1 C2 IC1 JP1 R10", excluded="FID1 TP1", header_row=7, columns={"refdes": "Part"}),
    "LISTED_TWICE": Expected("C1 C2 R1 U1", header_row=6),
    "WITH_FOOTER": Expected("C1 C2 U1", "R1 R2 R3", columns={"qty": "Quantity Per PCB"}),
    "UNDER_HEADINGS": Expected("R1 C1 J1", "C2 R2"),
    "TWO_TABLES": Expected("C1 R1 C2 R2", header_row=2),
    "NO_HEADER": Expected("C1 C2 R1 R2 U1", header_row=None, columns={"refdes": "A", "qty": "D", "package": "C"}),
    "MAKER_AND_NUMBER": Expected(
        "C1 C5 U2 X1 POWER USR0", columns={"mpn": "Manufacturer/MPN", "manufacturer": "Manufacturer/MPN"}
    ),
    "SECOND_SOURCES": Expected("C1 R1", columns={"mpn": "MPN1", "manufacturer": "MFR1"}),
    "ALTERNATE_ROWS": Expected("C1 R1"),
    "NAMED_NOT_FITTED": Expected("C1 C3 R1 R7", "C2 R2 R3 R8 XO1", columns={"dnp": "Assembly Info"}),
    "FOR_FIVE_BOARDS": Expected("C1 C2 R1 R2 R3 R4 U1 J1"),
    "CHINESE": Expected("C1 C2 R1 R2 R3 U1", "R4", columns={"mpn": "型号", "manufacturer": "厂家"}),
    "JAPANESE": Expected("C1 C2 IC1", "R1", columns={"refdes": "部品番号", "mpn": "型番"}),
    "RUSSIAN": Expected("C1 C2 R1 R2 R3 R4 DA1", "R5", columns={"mpn": None, "description": "Наименование"}),
    "GERMAN": Expected("C1 C2 K1", "R1", columns={"mpn": "Hersteller-Nr.", "dnp": "Bestückung"}),
    "FRENCH": Expected("C1 C2 R1 R2 R3 R4", "R9", columns={"mpn": "Référence fabricant"}),
    "SPANISH": Expected("C1 C2 R1", columns={"refdes": "Referencia", "mpn": "Nº parte fabricante"}),
    "ITALIAN": Expected("C1 C2", "R1", columns={"mpn": "Codice produttore"}),
    "FOOTNOTE_MARK": Expected("C1 C3 R2 R3", "C2 R1"),
    "LISTED_IN_NOTES": Expected("R1 C1 C4", "R9 C2 C3", header_row=5),
    "WORDS_IN_DESIGNATORS": Expected("R7 U1 U2", "R5 R8 R9 R10"),
    "TWO_ROW_HEADER": Expected(
        "C1 C2 R1", header_row=2, columns={"mpn": "Part Number [H]", "manufacturer": "Name [G]", "value": "Value"}
    ),
    "HEADER_GOES_ON": Expected("C1 C2 R1", columns={"mpn": "Part No.", "manufacturer": "Name"}),
    "UNKNOWN_WORDS": Expected("C1 C2 R1 U1", columns={"refdes": "Signo", "package": "Ujo", "qty": "Kvanto"}),
    "TEXT_UNDER_HEADINGS": Expected("U1 D1 D2 R1 R2 R3", header_row=None),
    "VENDOR_SELLS": Expected("C1 C2 R1", columns={"mpn": "Part Number", "manufacturer": None}),
    "POLISH": Expected("C1 C2", "R1", columns={"mpn": "Numer producenta", "manufacturer": "Producent"}),
    "CZECH": Expected("C1 C2", "R1", columns={"mpn": "Číslo výrobce", "manufacturer": "Výrobce"}),
    "DUTCH": Expected("C1 C2", "R1", columns={"mpn": "Fabrikantnummer", "manufacturer": "Fabrikant"}),
    "SWEDISH": Expected("C1 C2", "R1", columns={"mpn": "Tillverkarens artikelnummer", "manufacturer": "Tillverkare"}),
    "TURKISH": Expected("C1 C2", "R1", columns={"mpn": "Üretici Parça No", "manufacturer": "Üretici"}),
    "VIETNAMESE": Expected("C1 C2", "R1", columns={"mpn": "Mã linh kiện", "manufacturer": "Nhà sản xuất"}),
    "PORTUGUESE": Expected("C1 C2", "R1", columns={"mpn": "Código do fabricante", "manufacturer": "Fabricante"}),
    "KOREAN": Expected("C1 C2", "R1", columns={"mpn": "제조사 품번", "manufacturer": "제조사"}),
    "TRADITIONAL_CHINESE": Expected("C1 C2", "R1", columns={"refdes": "插件位置", "manufacturer": "廠牌"}),
    "COMMAS_IN_FIXED_WIDTH": Expected(
        "C1 C2 C3 C4 C5 C6 C7 C8 R1 R2 U1", header_row=3, columns={"refdes": "Designators", "mpn": None}
    ),
    "PRICE_BREAKS": Expected("C1 R1", columns={"mpn": "MPN", "manufacturer": "Manufacturer"}),
    "SINGLE_QUOTES": Expected("R1 R2 C1"),
    "ODD_LETTERS": Expected("PIX1 PIX2 PIX3 JST1 JST2 MCU1", columns={"refdes": "Location"}),
    "FOR_TWO_AND_MORE": Expected("C1 C2 R1 U1 J1", columns={"refdes": "Where"}),
    "BLOCK_WITH_STARS": Expected("R1", "R2 C1 C2"),
    "UKRAINIAN": Expected("C1 C2", "R1", columns={"manufacturer": "Виробник", "qty": "Кількість"}),
}
ENCODINGS = {
    "POLISH": ("utf-8", "cp1250"),
    "CZECH": ("cp1250",),
    "SWEDISH": ("cp1252",),
    "KOREAN": ("utf-8", "cp949"),
    "TRADITIONAL_CHINESE": ("utf-8", "big5"),
    "CHINESE": ("utf-8", "gb18030", "utf-16"),
    "JAPANESE": ("utf-8-sig", "cp932"),
    "RUSSIAN": ("utf-8", "cp1251"),
    "GERMAN": ("utf-8", "cp1252"),
    "FRENCH": ("utf-8", "cp1252"),
    "SPANISH": ("utf-8", "latin-1"),
}


def read(text: str, encoding: str = "utf-8", choices: ReadChoices | None = None) -> BomReading:
    return read_bom(text.encode(encoding), "list.csv", choices)


def line_at(reading: BomReading, row: int) -> BomLine:
    return next(line for line in reading.lines if line.row == row)


@pytest.mark.parametrize(
    ("name", "encoding"), [(name, code) for name in CASES for code in ENCODINGS.get(name, ("utf-8",))]
)
def test_part_lists(name: str, encoding: str) -> None:
    expected, reading = CASES[name], read(getattr(part_lists, name), encoding)
    assert reading.is_board_bom, reading.why_not_bom
    assert reading.fitted == set(expected.fitted.split())
    assert {n for line in reading.lines for n in line.dnp_refdes} == set(expected.dnp.split())
    assert reading.dnp_count == len(expected.dnp.split())
    assert reading.excluded == set(expected.excluded.split())
    assert reading.header_row == expected.header_row
    assert expected.columns.items() <= reading.columns().items()


@pytest.mark.parametrize("name", CASES)
def test_every_row_is_a_line_or_a_skip_with_a_reason(name: str) -> None:
    reading = read(getattr(part_lists, name))
    rows = sorted([line.row for line in reading.lines] + [skip.row for skip in reading.skipped])
    assert rows == list(range(1, reading.row_count + 1))
    assert all(skip.reason for skip in reading.skipped)


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("PLACEMENT", "placement file"),
        ("HARDWARE_LIST", "no column holds reference designators"),
        ("PIN_LIST", "no column is named as reference designators"),
        ("NET_LIST", "no column holds reference designators"),
        ("STOCK_LIST", "codes of another kind"),
        ("STOCK_BINS", "no column is named as reference designators"),
        ("FRAME_PARTS", "codes of another kind"),
        ("RULE_CHECK", "codes of another kind"),
        ("MEASURED", "no column says which parts go there"),
        ("CHANGES", "no column says which parts go there"),
        ("PROSE", "no column holds reference designators"),
    ],
)
def test_what_is_no_board_bom_is_said_to_be_none(name: str, why: str) -> None:
    reading = read(getattr(part_lists, name))
    assert not reading.is_board_bom
    assert why in (reading.why_not_bom or "")


def test_a_row_without_designators_is_kept_as_a_loose_part_or_an_alternate() -> None:
    reading = read(part_lists.MAKER_AND_NUMBER)
    box, buffer, other = (line_at(reading, row) for row in (2, 4, 5))
    assert (box.loose, box.alternate_of, box.refdes) == (True, None, ())
    assert other.alternate_of == buffer.row
    assert {(p.row, p.code) for p in reading.problems} >= {(2, "no_designator"), (5, "alternate_row")}


def test_maker_and_number_in_one_cell_are_told_apart_beside_the_printed_text() -> None:
    line = line_at(read(part_lists.MAKER_AND_NUMBER), 6)
    assert line.mpn == "NORDCON UB-06082, Lumen 10118192-01"
    assert line.read_as == Alternate("NORDCON", "UB-06082")
    assert line.alternates == (Alternate("Lumen", "10118192-01"),)


def test_second_sources_are_alternates() -> None:
    reading = read(part_lists.SECOND_SOURCES)
    assert [line.alternates for line in reading.lines] == [(Alternate("Birk", "BC-2002"),), ()]


def test_of_a_list_given_twice_the_one_with_quantities_stays() -> None:
    reading = read(part_lists.LISTED_TWICE)
    assert [line.qty for line in reading.lines] == [2, 1, 1]
    assert [skip.row for skip in reading.skipped if skip.reason == "duplicate"] == [7, 8, 9, 10]
    assert [p.code for p in reading.problems] == ["bom_twice"]


def test_quantities_for_several_boards_are_said_once() -> None:
    problems = read(part_lists.FOR_FIVE_BOARDS).problems
    assert [(p.row, p.code) for p in problems] == [(None, "qty_for_boards")]
    assert "5 boards" in problems[0].message


def test_doubts_name_row_column_and_what_is_wrong() -> None:
    text = "Ref,Qty,Value,MPN\nC1,1,1u,AC-1001\nC1,1,1u,AC-1001\nR1,2,1k,6.13E+10\nR2,two,1k,=cmd|'/c x'!A0\n"
    found = [(p.row, p.column, p.code) for p in read(text).problems]
    assert found == [
        (3, "Ref", "duplicate_designator"),
        (4, "Qty", "qty_mismatch"),
        (4, "MPN", "part_number_lost_digits"),
        (5, "Qty", "qty_unreadable"),
        (5, "MPN", "formula_text"),
    ]


def test_a_part_number_that_a_workbook_stores_as_a_number_is_doubted() -> None:
    content = workbook({"BOM": [["Designator", "Qty", "MPN"], ["C1", 1, 61302221021], ["R1", 1, "007-1"]]})
    reading = read_bom(content, "list.xlsx")
    assert [line.mpn for line in reading.lines] == ["61302221021", "007-1"]
    assert [(p.row, p.code) for p in reading.problems] == [(2, "part_number_is_number")]


def test_the_sheet_with_the_designators_is_read_and_other_candidates_are_named() -> None:
    rows = [row.split(",") for row in ("Ref,Qty,Value", "C1,1,1u", "C2,1,1u", "R1,1,1k", "R2,1,1k", "U1,1,ZX7001")]
    content = workbook({"Notes": [["all dimensions in mm"]], "Main": rows, "Variant": rows[:5]})
    reading = read_bom(content, "list.xlsx")
    assert (reading.sheet, reading.sheets) == ("Main", ("Notes", "Main", "Variant"))
    assert [(p.code, "Variant" in p.message) for p in reading.problems] == [("other_sheets", True)]
    assert read_bom(content, "list.xlsx", ReadChoices(sheet="Variant")).fitted == {"C1", "C2", "R1", "R2"}
    with pytest.raises(UnreadableFileError, match="no sheet"):
        read_bom(content, "list.xlsx", ReadChoices(sheet="Gone"))


def test_a_header_named_twice_is_told_apart_by_its_letter() -> None:
    text = "Qty,Ref,Value,Qty\n1,C1,1u,100\n1,R1,1k,100\n"
    assert read(text).columns()["qty"] == "Qty [A]"


def test_a_persons_choices_win() -> None:
    text = "Name,Ref Des,Amount of it,Kind\nC1,X,2,1u\nR1,X,1,1k\n"
    chosen = {Field.REFDES: 0, Field.QTY: 2, Field.VALUE: 3}
    reading = read(text, choices=ReadChoices(columns=chosen, rows={3: Fitting.DNP}))
    assert reading.is_board_bom
    assert (reading.fitted, reading.dnp_count) == ({"C1"}, 1)
    assert [line.value for line in reading.lines] == ["1u", "1k"]
    left_out = read(text, choices=ReadChoices(columns=chosen, rows={2: Fitting.SKIP}))
    assert [(skip.row, skip.reason) for skip in left_out.skipped] == [(1, "header"), (2, "left_out")]
    assert read(text, choices=ReadChoices(header_row=0)).header_row is None


def test_a_row_taken_for_no_part_can_be_said_to_be_fitted() -> None:
    reading = read(part_lists.ONE_A_ROW, choices=ReadChoices(rows={15: Fitting.FITTED}))
    assert "TP1" in reading.fitted


def workbook(sheets: dict[str, list[list[object]]]) -> bytes:
    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer)
    for name, rows in sheets.items():
        sheet = book.add_worksheet(name)
        for number, row in enumerate(rows):
            sheet.write_row(number, 0, row)
    book.close()
    return buffer.getvalue()


CELLS = st.sampled_from(
    [
        "",
        " ",
        "R1",
        "C2, C3",
        "R5-R9",
        "Designator",
        "Qty",
        "MPN",
        "3",
        "0",
        "DNP",
        "Total:",
        "---",
        "AB-1234",
        "10k",
        "x",
    ]
) | st.text(max_size=12)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@example([["", "0\x1f"]])  # a control character that counts as a blank
@example([["¬", "¹"]])  # a digit that is no number
@example([["Ref", "Value"], ["R" + "1" * 5000 + "-2", "10k"], ["C1", "1u"]])
@given(st.lists(st.lists(CELLS, max_size=6), max_size=12))
def test_any_table_is_read_and_every_row_accounted_for(rows: list[list[str]]) -> None:
    quoted = [",".join('"' + cell.replace('"', '""') + '"' for cell in row) for row in rows]
    try:
        reading = read("\n".join(quoted))
    except UnreadableFileError:
        return
    accounted = [line.row for line in reading.lines] + [skip.row for skip in reading.skipped]
    assert sorted(accounted) == list(range(1, reading.row_count + 1))
    for line in reading.lines:
        assert {*line.dnp_refdes, *line.excluded_refdes} <= set(line.refdes)


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=400), st.sampled_from(["a.csv", "a.txt", "a.xlsx", "a.xls", "a.ods", "a"]))
def test_any_bytes_are_read_or_refused_in_words(content: bytes, name: str) -> None:
    try:
        read_bom(content, name)
    except UnreadableFileError as error:
        assert error.message
