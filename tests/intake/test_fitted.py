"""Columns of their own that say what is fitted (common practice, no source)."""

import pytest

from webapp.intake.fitted import FittedColumn, Said, is_fitting_word


@pytest.mark.parametrize(
    ("header", "yes_is_fitted", "cell", "fitted"),
    [
        ("Fitted", True, "Yes", True),
        ("Fitted", True, "no", False),
        ("Fitted", True, "Not Fitted", False),
        ("Fitted", True, "", None),
        ("Populate", True, "0", False),
        ("Populate", True, "1", True),
        ("実装", True, "×", False),
        ("実装", True, "○", True),
        ("DNP", False, "1", False),
        ("DNP", False, "x", False),
        ("DNP", False, "0", True),
        ("DNP", False, "DNP", False),
        ("DNP", False, "", None),
        ("Assembly Info", False, "yes", None),
        ("Assembly Info", False, "NF", False),
    ],
)  # fmt: skip
def test_a_column_of_its_own(header: str, yes_is_fitted: bool, cell: str, fitted: bool | None) -> None:
    column = FittedColumn(header, ["yes", "no", "1", cell], yes_is_fitted=yes_is_fitted)
    assert column.says(cell) == Said(fitted)


def test_noughts_among_broken_numbers_say_nothing() -> None:
    column = FittedColumn("Load", ["0.5", "0", "1"], yes_is_fitted=True)
    assert column.says("0") == column.says("1") == Said()
    assert column.says("DNP") == Said(fitted=False)
    assert FittedColumn("Load", ["1.0", "0"], yes_is_fitted=True).says("0") == Said(fitted=False)


def test_where_only_ticks_stand_the_unticked_are_not_fitted() -> None:
    assert FittedColumn("Mounted", ["x", "x", "", "x"], yes_is_fitted=True).says("") == Said(fitted=False)
    assert FittedColumn("Mounted", ["x", "", "", ""], yes_is_fitted=True).says("") == Said(), (
        "too few ticks to be meant"
    )


@pytest.mark.parametrize(
    ("header", "yes_is_fitted", "cell", "out"),
    [
        ("DNP", False, "R2, R5-R7", "R2 R5 R6 R7"),
        ("Not fitted", False, "R1; R2", "R1 R2"),
        ("Fitted", True, "R1-R5", "R6 R7"),
        ("Assembly Info", False, "R1", ""),
        ("DNP", False, "R99", ""),
        ("DNP", False, "see R2", ""),
    ],
)
def test_a_cell_may_list_some_of_the_designators(header: str, yes_is_fitted: bool, cell: str, out: str) -> None:
    column = FittedColumn(header, [cell, ""], yes_is_fitted=yes_is_fitted)
    assert column.says(cell, ["R1", "R2", "R3", "R4", "R5", "R6", "R7"]).out == tuple(out.split())


def test_f_is_fitted_unless_it_stands_beside_t() -> None:
    assert FittedColumn("Fit", ["F", "NF", "F"], yes_is_fitted=True).says("F") == Said(fitted=True)
    assert FittedColumn("Fit", ["F", "T", "T"], yes_is_fitted=True).says("F") == Said(fitted=False)


def test_the_quantities_of_a_variant_leave_out_what_has_none() -> None:
    column = FittedColumn("Pro", ["1", "0", "", "2"], yes_is_fitted=True, counts=True)
    assert [column.says(cell).fitted for cell in ("1", "0", "", "2")] == [True, False, False, None]


def test_words_and_ticks_of_fitting() -> None:
    assert all(map(is_fitting_word, ["Fitted", "not fitted", "DNP", "x", "no", "○", "1"]))
    assert not any(map(is_fitting_word, ["10k", "R1", "Aldern", "2"]))
