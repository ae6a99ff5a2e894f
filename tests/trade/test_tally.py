from webapp.trade.bom import BomLine, BomReading, Problem, Skip
from webapp.trade.tally import Tally, tally


def test_designators_count_once_and_silent_rows_not_at_all():
    reading = BomReading(
        file="a.csv",
        is_board_bom=True,
        lines=(
            BomLine(3, ("R1", "R2", "R3"), dnp_refdes=("R3",)),
            BomLine(4, ("R2",)),
            BomLine(5, ("FD1",), excluded_refdes=("FD1",)),
            BomLine(6, loose=True),
            BomLine(7, loose=True, alternate_of=4),
        ),
        skipped=(Skip(1, "title", "x"), Skip(2, "header", "x"), Skip(8, "blank"), Skip(9, "footer", "Total")),
        problems=(Problem(4, None, "duplicate_designator", "R2 already on row 3"),),
    )
    assert tally(reading) == Tally(lines=5, fitted=2, dnp=1, excluded=1, loose=1, skipped=2, problems=1)
