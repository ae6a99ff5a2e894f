"""What is no board BOM, and the sentence that says so."""

import pytest

from tests.intake.files import xlsx
from webapp.intake.reader import read_bom

LISTS = {
    "Designator,MPN,X,Y,Angle\nC1,,1.5,2.5,90\nR1,,1.5,3.5,0\n": None,
    "C1,10.00,20.00,90,top,100n\nR1,11.00,20.00,0,top,10k\nU1,12.00,20.50,180,top,ZX\n": "placement file",
    "C1      10.00   20.00  90.0  100n\nR1      11.00   20.00   0.0  10k\nU1      12.00   21.00 180.0  ZX\n": "place",
    "Placement,PartNumber,X,Y,Angle,Feeder\nC1,AC-1,1.1,2.2,90,F1\nR1,AR-1,1.2,3.2,0,F2\n": "placement file",
    "Net;Pins\nGND;U1.4 C1.2 R3.1\nVCC;U1.8 C1.1\nOUT;U1.1 R3.2\n": "no",
    "Component,Pin,Net\nU1,1,GND\nU1,2,N1\nC1,1,VCC\nC1,2,GND\n": "no",
    "Ref,Cable type,Part Number,End A,Length\nW1,ribbon,RB-10,J1,100\nW2,ribbon,RB-16,J3,150\n": "cables or wires",
    "Cable,From,To,Qty\nW1,X1,X2,1\nW2,X1,X3,1\nW3,X2,X4,2\n": "no",
    "Article,Description,Price\nR100,Resistor set,1\nC200,Cap set,2\nU300,Programmer,5\nK400,Kit,7\n": "no column",
    "Line,Item,Qty,Price\n1,R100,100,1.00\n2,C200,100,1.00\n3,U300,10,10.00\n": "no",
    "Quantity,Part Number,Description,Unit Price\n10,123-AC-1,CAP,0.1\n1,123-ZX-1,IC,1.5\n": "no column",
    "Change,Ref,Old value,New value\nadded,R5,,10k\nremoved,C3,1u,\nchanged,U1,ZX1,ZX2\n": "lists changes",
    "ID,Description,Qty\nR1,The unit shall work,1\nR2,The unit must work,1\nR3,It should last,1\n": "another kind",
    "Seat,Name,Class\nC1,Al,eco\nD2,Bo,eco\nF3,Cy,bus\n": "no column is named",
    "No,Ref,Question\n1,R1,is 1% ok?\n2,C1,is X5R ok?\n3,U1,when?\n": "no column says which parts",
    "Ref,Type,Qty,FIT,MTBF h\nR1,film,1,0.5,2e9\nC1,ceramic,1,1.2,8e8\nU1,controller,1,10,1e8\n": "failure rates",
    "Ref,Part,Failure mode,Effect,RPN\nR1,Resistor,open,none,30\nR1,Resistor,short,fire,42\n": "failures",
    "Ref,Type,Nominal,Measured,Result\nR1,Resistor,10k,9.98k,OK\nC1,Capacitor,1u,0.98u,OK\n": "measurements",
    "Name,Qty,Use\nMZ1508,1,driver\nTB4056,1,charger\nXZ6009,1,boost\nL298N,1,driver\n": "another kind",
    "name,age\nAl,34\nBo,23\n": "no column",
}


@pytest.mark.parametrize("text", [text for text, why in LISTS.items() if why])
def test_other_lists_are_none(text: str) -> None:
    reading = read_bom(text.encode(), "list.csv")
    assert not reading.is_board_bom
    assert (LISTS[text] or "") in (reading.why_not_bom or "")


def test_a_workbook_of_other_things_is_none() -> None:
    content = xlsx({"Index": [["Sheet", "Title"], ["1", "Power"]], "Sales": [["Month", "Sold"], ["Jan", 4]]})
    assert not read_bom(content, "list.xlsx").is_board_bom


@pytest.mark.parametrize(
    "text",
    [
        "Ref,Qty,MPN,FIT rate\nR1,1,AR-1,0.5\nC1,1,AC-1,1.2\n",
        "Ref,Value,Qty,MTBF\nR1,10k,1,1e9\nC1,1u,1,2e8\n",
        "Ref,Value,Fit\nR1,10k,1\nR2,10k,1\nC1,1u,1\n",
        "Ref,Value,Qty\nR1-1 R1-2,10k,2\nR2-1 R2-2,10k,2\nC1-1 C1-2,1u,2\n",
        "Ref,Value,Qty,Result\nR1,10k,1,OK\nC1,1u,1,OK\n",
    ],
)
def test_what_is_odd_about_a_list_of_parts_does_not_make_it_another_list(text: str) -> None:
    assert read_bom(text.encode(), "list.csv").is_board_bom


def test_places_beside_part_numbers_do_not_make_it_another_list() -> None:
    text = "Designator,MPN,X,Y,Angle\nC1,AC-1,1.5,2.5,90\nR1,AR-1,1.5,3.5,0\nU1,ZX-1,2.5,3.5,0\n"
    assert read_bom(text.encode(), "list.csv").is_board_bom
