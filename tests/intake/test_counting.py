"""Which of several columns of numbers is the quantity."""

from webapp.intake.columns import plan_columns
from webapp.trade.bom import Field


def quantity(header: list[str], rows: list[list[str]]) -> str | None:
    plan = plan_columns(header, rows)
    return next((column.label for column in plan.columns if column.field is Field.QTY), None)


def test_numbers_that_count_the_designators_win_over_a_doubtful_name() -> None:
    rows = [["R1, R2", "10", "2"], ["C1", "4", "1"], ["C2, C3, C4", "9", "3"]]
    assert quantity(["Ref", "Total", "Count"], rows) == "Count"
    assert quantity(["Ref", "Total", "Pieces of it"], rows) == "Pieces of it"


def test_a_sure_name_yields_only_to_another_name_of_quantity() -> None:
    rows = [["R1, R2", "20", "2"], ["C1", "10", "1"], ["C2, C3, C4", "30", "3"]]
    assert quantity(["Ref", "Qty", "Spool"], rows) == "Qty"
    assert quantity(["Ref", "Qty", "Count"], rows) == "Count"


def test_ones_beside_single_designators_count_nothing() -> None:
    rows = [["R1", "1"], ["C1", "1"], ["U1", "1"]]
    assert quantity(["Ref", "Spool"], rows) is None
