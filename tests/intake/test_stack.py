"""Several sheets of a workbook as one list."""

from tests.intake.files import Cells, xlsx
from webapp.intake.reader import ROWS_A_SHEET, read_bom
from webapp.trade.bom import BomReading, Fitting, ReadChoices

HEADER = ["Designator", "Qty", "Value", "MPN"]
TOP = [HEADER, ["C1, C2", 2, "100n", "AC-1"], ["R1", 1, "10k", "AR-1"], ["U1", 1, "ZX", "ZX-1"]]
BOTTOM = [HEADER, ["C3, C4", 2, "100n", "AC-1"], ["R2", 1, "10k", "AR-1"]]


def read(sheets: dict[str, Cells], choices: ReadChoices | None = None) -> BomReading:
    return read_bom(xlsx(sheets), "list.xlsx", choices)


def codes(reading: BomReading) -> list[str]:
    return [problem.code for problem in reading.problems]


def test_top_and_bottom_are_one_list() -> None:
    reading = read({"TOP": TOP, "BOTTOM": BOTTOM})
    assert reading.fitted == {"C1", "C2", "C3", "C4", "R1", "R2", "U1"}
    assert (reading.sheet, reading.sheets) == ("TOP + BOTTOM", ("TOP + BOTTOM", "TOP", "BOTTOM"))
    assert [line.side for line in reading.lines] == ["top", "top", "top", "bottom", "bottom"]
    assert [reading.place_of(line.row) for line in reading.lines[2:4]] == [("TOP", 4), ("BOTTOM", 2)]
    assert codes(reading) == ["sheets_together"]


def test_one_sheet_alone_and_both_again_can_be_chosen() -> None:
    alone = read({"TOP": TOP, "BOTTOM": BOTTOM}, ReadChoices(sheet="BOTTOM"))
    assert (alone.fitted, alone.sheets[0]) == ({"C3", "C4", "R2"}, "TOP + BOTTOM")
    assert len(read({"TOP": TOP, "BOTTOM": BOTTOM}, ReadChoices(sheet="TOP + BOTTOM")).fitted) == 7


def test_a_persons_word_on_a_row_of_the_second_sheet() -> None:
    choices = ReadChoices(rows={ROWS_A_SHEET + 3: Fitting.DNP})
    assert "R2" not in read({"TOP": TOP, "BOTTOM": BOTTOM}, choices).fitted


def test_columns_may_differ_from_sheet_to_sheet() -> None:
    through = [["Part number", "Count", "Reference"], ["AJ-1", 2, "J1, J2"]]
    lines = read({"Cover": [["Weather node"]], "SMT": TOP, "THT": through}).lines
    assert (lines[-1].refdes, lines[-1].mpn, lines[-1].qty) == (("J1", "J2"), "AJ-1", 2)


def test_a_second_page_goes_on_without_a_header() -> None:
    page = [["C10", 1, "1u", "AC-9"], ["R10, R11", 2, "1k", "AR-9"], ["L1", 1, "1u", "AL-9"]]
    reading = read({"Page 1": TOP, "Page 2": page})
    assert [line.mpn for line in reading.lines[3:]] == ["AC-9", "AR-9", "AL-9"]


def test_the_same_designators_are_another_list() -> None:
    reading = read({"Main": TOP, "Variant": TOP[:3]})
    assert (reading.sheet, codes(reading)) == ("Main", ["other_sheets"])


def test_a_sheet_of_changes_or_places_or_spares_is_not_read() -> None:
    changes = [["Date", "Designator", "Value"], ["1.1.", "C77", "was 1u"], ["2.1.", "R78", "was 1k"]]
    places = [["Designator", "X", "Y", "Rotation"], ["R90", 1, 2, 90], ["R91", 2, 2, 90]]
    reading = read({"Main": TOP, "Changes": changes, "PnP": places})
    assert reading.fitted == {"C1", "C2", "R1", "U1"}


def test_a_sheet_of_parts_not_fitted() -> None:
    apart = read({"Main": TOP, "DNP": BOTTOM})
    assert (apart.fitted, apart.dnp_count) == ({"C1", "C2", "R1", "U1"}, 3)
    listed = read({"Not fitted": [["Designator", "Value"], ["C2", "100n"], ["R1", "10k"]], "Main": TOP})
    assert (listed.fitted, listed.dnp_count) == ({"C1", "U1"}, 2)


def test_notes_on_a_sheet_of_their_own() -> None:
    assert read({"Main": TOP, "Notes": [["Notes"], ["DNP: C2"]]}).fitted == {"C1", "R1", "U1"}


def test_a_repeat_names_the_sheet_of_the_first() -> None:
    many = [*TOP, *[[f"D{i}", 1, "red", "AD-1"] for i in range(1, 20)]]
    reading = read({"TOP": many, "BOTTOM": [*BOTTOM, *[[f"R{i}", 1, "1k", "AR-1"] for i in range(20, 40)], many[2]]})
    assert [p.message for p in reading.problems if p.code == "duplicate_designator"] == [
        "R1 already on row 3 of sheet TOP; counted once"
    ]


def test_names_alone_on_a_sheet_of_parts_not_fitted() -> None:
    reading = read({"TOP": TOP, "Not fitted": [["Ref"], ["R1"]]})
    assert reading.fitted == {"C1", "C2", "U1"}
    assert reading.dnp_count == 1
