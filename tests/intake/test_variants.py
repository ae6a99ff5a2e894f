"""Variants of a board in columns of their own."""

import pytest

from webapp.intake.reader import read_bom
from webapp.trade.bom import BomReading, Field, ReadChoices


def read(text: str, choices: ReadChoices | None = None) -> BomReading:
    return read_bom(text.encode(), "list.csv", choices)


def not_fitted(reading: BomReading) -> set[str]:
    return {name for line in reading.lines for name in line.dnp_refdes}


MARKS = "Ref,Value,Variant A,Variant B\nR1,10k,X,X\nR2,1k,X,\nC1,1u,,X\n"


@pytest.mark.parametrize(
    ("text", "out", "differing"),
    [
        (MARKS, "C1", "R2, C1"),
        ("Ref,Value,Basic,Full\nR1,10k,Fitted,Fitted\nR2,1k,Not Fitted,Fitted\nC1,1u,Fitted,Fitted\n", "R2", "R2"),
        ("Ref,Value,Qty Lite,Qty Pro\nR1,10k,1,1\n\"R2,R3\",1k,0,2\nC1,1u,1,1\n", "R2 R3", "R2, R3"),
        ("Ref,Qty,Value,Qty A,Qty B\n\"R1,R4\",2,10k,2,2\nR2,1,1k,,1\nC1,1,1u,1,1\n", "R2", "R2"),
        ("Ref,Value,Lite,Pro\nR1,10k,1,1\n\"R2,R3\",1k,0,2\n\"C1,C2\",1u,2,2\n", "R2 R3", "R2, R3"),
        ("Ref,Value,Variant 1,Variant 2\nR1,10k,,DNP\nR2,1k,DNP,\nC1,1u,,\n", "R2", "R1, R2"),
        ("Ref,Value,Assembly variants,\n,,Base,Plus\nR1,10k,1,1\nR2,1k,0,1\nC1,1u,1,1\n", "R2", "R2"),
    ],
)  # fmt: skip
def test_the_first_variant_is_read_and_what_differs_is_said(text: str, out: str, differing: str) -> None:
    reading = read(text)
    assert not_fitted(reading) == set(out.split())
    (problem,) = [problem for problem in reading.problems if problem.code == "variants"]
    assert problem.message.endswith(f"not fitted on all of them: {differing}")


def test_what_is_not_fitted_on_a_variant_that_is_not_read_is_fitted() -> None:
    reading = read("Ref,Qty,Value (EU),Value (US)\nR1,1,10k,11k\nR2,1,1k,DNP\nC1,1,1u,1u\n")
    assert not not_fitted(reading)
    assert [problem.code for problem in reading.problems] == ["variants"]


def test_a_title_may_name_the_variant() -> None:
    reading = read("Assembly variant: B,,,\n" + MARKS)
    assert not_fitted(reading) == {"R2"}
    assert reading.columns()["dnp"] == "Variant B"


def test_a_person_chooses_another() -> None:
    reading = read(MARKS, ReadChoices(columns={Field.REFDES: 0, Field.VALUE: 1, Field.DNP: 3}))
    assert not_fitted(reading) == {"R2"}


def test_the_value_of_another_variant_leaves_nothing_out() -> None:
    reading = read("Ref,Value (variant A),Value (variant B)\nR1,10k,10k\nR2,1k,DNP\nC1,1u,1u\n")
    assert (not_fitted(reading), [p.code for p in reading.problems]) == (set(), ["variants"])


def test_a_column_of_names_of_variants_is_pointed_out() -> None:
    reading = read("Ref,Value,Variant\nR1,10k,Pro\nR2,1k,Lite\nC1,1u,\n")
    assert reading.fitted == {"R1", "R2", "C1"}
    assert "names variants (Pro, Lite)" in reading.problems[0].message


@pytest.mark.parametrize(
    "text",
    [
        "Ref,Qty,Value,SMD,THT\nR1,1,10k,x,\nC1,1,1u,x,\nJ1,1,conn,,x\n",
        "Ref,Qty,Value,RoHS,Critical\nR1,1,10k,Y,N\nC1,1,1u,Y,Y\nJ1,1,conn,N,N\n",
        "Ref,Qty,Value,Order Qty,Spares\n\"R1,R2\",2,10k,0,2\nC1,1,1u,1,0\nJ1,1,conn,1,1\n",
        "Ref,Qty,Value,Stock,MOQ\n\"R1,R2\",2,10k,0,1\nC1,1,1u,100,10\nJ1,1,conn,5,1\n",
    ],
)  # fmt: skip
def test_other_columns_of_marks_and_numbers_are_no_variants(text: str) -> None:
    reading = read(text)
    assert (not_fitted(reading), reading.problems) == (set(), ())


def test_ones_and_noughts_are_no_quantity_beside_several_designators() -> None:
    reading = read('Ref,Value,Config lite,Config pro\n"R1,R2",10k,1,1\nC1,1u,0,1\nU1,ZX,1,1\n')
    assert (reading.columns()["qty"], reading.columns()["dnp"]) == (None, "Config lite")
    assert not_fitted(reading) == {"C1"}
