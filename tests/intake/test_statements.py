"""Sentences about single designators (common practice, no source)."""

import pytest

from webapp.intake.statements import named_in, statement


@pytest.mark.parametrize(
    ("text", "out"),
    [
        ("NF(C341 C342)", "C341 C342"),
        ("DNP: R2, R3", "R2 R3"),
        ("R8 not fitted", "R8"),
        ("nicht bestückt: R2", "R2"),
        ("see note R2", ""),
        ("DNP", ""),
        ("DNP: R99", ""),
    ],
)
def test_designators_named_in_a_remark(text: str, out: str) -> None:
    assert list(named_in(text, ["C341", "C342", "C343", "R2", "R3", "R8"])) == out.split()


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("DNP: R1, R2", "R1 R2"),
        ("2. Do not fit R9", "R9"),
        ("Note: not fitted R5-R7", "R5 R6 R7"),
        ("R5 and R6 are not fitted", "R5 R6"),
        ("nicht bestückt: C1 C2", "C1 C2"),
        ("The following parts are not fitted: R2, C1 to C3.", "R2 C1 C2 C3"),
        ("NF(C341 C342)", "C341 C342"),
        ("R1 fitted, R2 not fitted", "R2"),
        ("R7, R8: DNP; all others 1 %", "R7 R8"),
        ("Do not fit parts marked with a cross", ""),
        ("DNP", ""),
        ("DNP_R0402", ""),
    ],
)
def test_designators_named_as_not_fitted(text: str, names: str) -> None:
    assert list(statement(text).names) == names.split()


@pytest.mark.parametrize("text", ["R5 not fitted when R6 is", "DNP: R7 on rev B", "R9 not fitted, except in the lab"])
def test_a_condition_makes_it_unsure(text: str) -> None:
    assert not statement(text).is_sure


@pytest.mark.parametrize("text", ["DNP: R1, R2", "Note: R5 and R6 are not fitted on this board.", "R1 (DNP)"])
def test_filling_words_do_not(text: str) -> None:
    assert statement(text).is_sure
