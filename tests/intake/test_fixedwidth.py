import pytest

from webapp.intake.fixedwidth import read_fixed


def rows_of(text: str) -> list[list[str]] | None:
    return read_fixed(text.splitlines(keepends=True))


UNDERLINED = """\
Parts list  Board Kestrel  Rev 3
Printed 2026-01-02 by the drawing office

Item  Qty  Reference        Part Number   Description
----  ---  ---------------  ------------  ------------------------
   1    3  C1 C2 C3         QX-100N-0402  Capacitor 100 nF 16 V
   2   12  R1 R2 R3 R4 R5   QX-10K-0402   Resistor 10k
           R6 R7 R8 R9 R10
           R11 R12
   3    1  U1               ZM-8801       Microcontroller, 32 bit
End of list
"""


def test_underlined_header_with_continued_designators() -> None:
    assert rows_of(UNDERLINED) == [
        ["Parts list  Board Kestrel  Rev 3"],
        ["Printed 2026-01-02 by the drawing office"],
        [],
        ["Item", "Qty", "Reference", "Part Number", "Description"],
        ["----  ---  ---------------  ------------  ------------------------"],
        ["1", "3", "C1 C2 C3", "QX-100N-0402", "Capacitor 100 nF 16 V"],
        ["2", "12", "R1 R2 R3 R4 R5", "QX-10K-0402", "Resistor 10k"],
        ["", "", "R6 R7 R8 R9 R10"],
        ["", "", "R11 R12"],
        ["3", "1", "U1", "ZM-8801", "Microcontroller, 32 bit"],
        ["End of list"],
    ]


def test_ragged_last_column_continued_on_the_next_line() -> None:
    text = """\
BILL OF MATERIALS FOR PROJECT HERON
===================================
Qty Value      Package  Parts
3   100n       0402     C1, C2, C3
12  10k        0402     R1, R2, R3, R4, R5, R6, R7,
                        R8, R9, R10, R11, R12
1   ZM8801     QFN32    U1
2   BAS-X      SOT23    D1, D2
"""
    rows = rows_of(text)
    assert rows is not None
    assert rows[2] == ["Qty", "Value", "Package", "Parts"]
    assert rows[4] == ["12", "10k", "0402", "R1, R2, R3, R4, R5, R6, R7,"]
    assert rows[5] == ["", "", "", "R8, R9, R10, R11, R12"]
    assert rows[0] == ["BILL OF MATERIALS FOR PROJECT HERON"]


def test_empty_cells_and_blanks_inside_values_keep_the_columns() -> None:
    text = """\
Part     Value          Device            Package

C1       100n           C-0402            C0402
R1                      R-0402            R0402
X1       HEADER 2X5     PIN-2X5           2X05
"""
    rows = rows_of(text)
    assert rows is not None
    assert rows[0] == ["Part", "Value", "Device", "Package"]
    assert rows[1] == []
    assert rows[3] == ["R1", "", "R-0402", "R0402"]
    assert rows[4] == ["X1", "HEADER 2X5", "PIN-2X5", "2X05"]


def test_columns_that_nearly_touch_are_parted_by_the_header() -> None:
    assert rows_of("Ref Qty Value\nC1    1 100n\nC2   12 1u\nR11   3 10k\n") == [
        ["Ref", "Qty", "Value"],
        ["C1", "1", "100n"],
        ["C2", "12", "1u"],
        ["R11", "3", "10k"],
    ]


def test_designators_that_happen_to_align_stay_together() -> None:
    assert rows_of("C1 C2 C3    100n   0402\nC4 C5 C6    1u     0402\nR1 R2 R3    10k    0402\n") == [
        ["C1 C2 C3", "100n", "0402"],
        ["C4 C5 C6", "1u", "0402"],
        ["R1 R2 R3", "10k", "0402"],
    ]


def test_columns_parted_by_blanks_but_not_aligned() -> None:
    assert rows_of("Reference  Qty  Value\nC1  1  100n\nC10,C11  2  1u\nR1,R2,R3,R4  4  10k\nU1  1  ZM8801\n") == [
        ["Reference", "Qty", "Value"],
        ["C1", "1", "100n"],
        ["C10,C11", "2", "1u"],
        ["R1,R2,R3,R4", "4", "10k"],
        ["U1", "1", "ZM8801"],
    ]


def test_titles_around_the_table_stay_whole() -> None:
    text = """\
                     HERON  BILL OF MATERIALS              Page 1
Exported from heron at 2026-05-01 for the board in all its variants
 ITEM  COUNT  PART NUMBER      REFDES
 ----------------------------------------------------
 1     2      ZM-8801-QFN      U1 U2
 2     10     QX-100N          C1 C2 C3 C4 C5
                               C6 C7 C8 C9 C10
 3     1      LONG-PART-NUMBER R1
"""
    assert rows_of(text) == [
        ["HERON  BILL OF MATERIALS              Page 1"],
        ["Exported from heron at 2026-05-01 for the board in all its variants"],
        ["ITEM", "COUNT", "PART NUMBER", "REFDES"],
        ["----------------------------------------------------"],
        ["1", "2", "ZM-8801-QFN", "U1 U2"],
        ["2", "10", "QX-100N", "C1 C2 C3 C4 C5"],
        ["", "", "", "C6 C7 C8 C9 C10"],
        ["3", "1", "LONG-PART-NUMBER", "R1"],
    ]


def test_numbers_set_to_the_right() -> None:
    text = """\
# Unit = mm
# Ref     Val       Package                PosX       PosY       Rot  Side
C1        100n      C_0402              50.0000   -60.0000   90.0000  top
U1        ZM 8801   QFN-32-5x5mm       170.1000    -6.0000  180.0000  bottom
"""
    rows = rows_of(text)
    assert rows is not None
    assert rows[1:] == [
        ["# Ref", "Val", "Package", "PosX", "PosY", "Rot", "Side"],
        ["C1", "100n", "C_0402", "50.0000", "-60.0000", "90.0000", "top"],
        ["U1", "ZM 8801", "QFN-32-5x5mm", "170.1000", "-6.0000", "180.0000", "bottom"],
    ]


def test_cells_aligned_and_quoted_as_well() -> None:
    rows = rows_of('Ref   Comment    X\n"C1"  "100n"     "1.5"\n"U1"  "ZM 8801"  "2.5"\n')
    assert rows == [["Ref", "Comment", "X"], ["C1", "100n", "1.5"], ["U1", "ZM 8801", "2.5"]]


def test_tabs_are_columns_of_eight() -> None:
    rows = rows_of("Ref\t\tQty\tValue\nC1\t\t1\t100n\nConnector1\t1\tHDR\nR1\t\t2\t10k\n")
    assert rows is not None
    assert rows[2] == ["Connector1", "1", "HDR"]


def test_a_text_longer_than_its_column_is_not_cut_in_a_word() -> None:
    lines = ["Ref     Value     Package"] + [f"R{at:<5}  10k       0402" for at in range(60)]
    lines[30] = "R99     averylongvalue 0402"
    rows = rows_of("\n".join(lines))
    assert rows is not None
    assert rows[30] == ["R99", "averylongvalue", "0402"]
    assert rows[31] == ["R30", "10k", "0402"]


def test_cells_that_fill_their_columns_at_the_end() -> None:
    text = (
        "Part   Value     Device    Package   Description\n"
        "C1     100n      C-EU      0603      capacitor\n"
        "R1     10k       R-EU      0603      resistor\n"
        "MOS1   NZ6008NBK NZ6008NBK SOT23-3A\n"
        "MOS2   NZ6008NBK NZ6008NBK SOT23-3A\n"
        "All parts are small ones and easy to get\n"
    )
    rows = rows_of(text)
    assert rows is not None
    assert rows[3:] == [
        ["MOS1", "NZ6008NBK", "NZ6008NBK", "SOT23-3A"],
        ["MOS2", "NZ6008NBK", "NZ6008NBK", "SOT23-3A"],
        ["All parts are small ones and easy to get"],
    ]


BY_WIDTH = """\
位号    参数    数量  备注
C1,C2   贴片    2     x
R1      电阻    1     y
"""
BY_COUNT = """\
位号      参数      数量   备注
C1,C2   贴片      2    x
R1      电阻      1    y
"""


@pytest.mark.parametrize("text", [BY_WIDTH, BY_COUNT], ids=["aligned by width", "aligned by count"])
def test_signs_as_wide_as_two(text: str) -> None:
    assert rows_of(text) == [
        ["位号", "参数", "数量", "备注"],
        ["C1,C2", "贴片", "2", "x"],
        ["R1", "电阻", "1", "y"],
    ]


@pytest.mark.parametrize("text", ["", "one line\n", "Dear all\nplease order these parts\nsoon\n"])
def test_prose_has_no_columns(text: str) -> None:
    assert rows_of(text) is None
