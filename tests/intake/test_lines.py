from webapp.intake.reader import read_bom
from webapp.trade.bom import BomReading, Fitting, ReadChoices

# Row 3 goes on with the designators of row 2; row 5 is one text in the column of values, read as a heading.
CONTINUED = b'Designator,Qty,MPN,Value\n"R1,R2,",4,GR-1,10k\n"R3,R4",,,\nC1,1,KX-1,1u\n,,,Shield can\nC2,1,KX-2,2u\n'


def read(rows: dict[int, Fitting]) -> BomReading:
    return read_bom(CONTINUED, "continued.csv", ReadChoices(rows=rows))


def test_a_row_left_out_takes_its_continuation_with_it():
    assert read({}).lines[0].refdes == ("R1", "R2", "R3", "R4")
    reading = read({2: Fitting.SKIP})
    assert [line.refdes for line in reading.lines] == [("C1",), ("C2",)]
    assert [(skip.row, skip.reason) for skip in reading.skipped if skip.row in (2, 3)] == [
        (2, "left_out"),
        (3, "left_out"),
    ]


def test_a_row_passed_over_is_taken_as_a_line():
    assert 5 in {skip.row for skip in read({}).skipped}
    reading = read({5: Fitting.FITTED})
    line = next(line for line in reading.lines if line.row == 5)
    assert (line.loose, line.value, line.refdes) == (True, "Shield can", ())
    assert 5 not in {skip.row for skip in reading.skipped}


def test_a_continuation_is_taken_as_a_line_of_its_own():
    assert [line.refdes for line in read({3: Fitting.FITTED}).lines][:2] == [("R1", "R2"), ("R3", "R4")]


def test_several_alternates_belong_to_the_line_above_them_all():
    text = (
        b"Ref,Qty,Maker,MPN\nR1,1,Aldern,AR-1\n,,Birk,BR-1\n,,Cedar,CR-1\nC1,1,Aldern,AC-1\nMechanics,,,\n,,Eden,ES-1\n"
    )
    lines = read_bom(text, "list.csv").lines
    assert [(line.row, line.alternate_of) for line in lines] == [(2, None), (3, 2), (4, 2), (5, None), (7, None)]
