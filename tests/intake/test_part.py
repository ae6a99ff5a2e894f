"""One sheet being read."""

from webapp.intake.drafts import draft_of
from webapp.intake.grid import Sheet
from webapp.intake.notes import Notes
from webapp.intake.part import SheetPart
from webapp.trade.bom import Fitting, ReadChoices

ROWS = [
    ["Weather node"],
    ["Ref", "Qty", "Manufacturer", ""],
    ["", "", "Name", "Part No."],
    ["R1", "2", "Aldern", "AR-1"],
    ["", "", "Birk", "BR-1"],
    [],
    ["Designator", "Value", "Manufacturer", "MPN"],
    ["C1", "1u", "Aldern", "AC-1"],
]


def part(start: int = 0, overrides: dict[int, Fitting] | None = None) -> SheetPart:
    draft = draft_of(Sheet("S", ROWS), ReadChoices(), is_text=False)
    return SheetPart(draft, start, ".", overrides or {}, set(), is_out=False)


def test_every_row_is_a_line_or_a_skip_also_outside_the_tables() -> None:
    read = part()
    rows = [line.row for line in read.lines(Notes())] + [skip.row for skip in read.skips()]
    assert sorted(rows) == list(range(1, len(ROWS) + 1))
    assert {skip.row: skip.reason for skip in read.skips()} == {
        1: "title",
        2: "header",
        3: "header",
        6: "blank",
        7: "header",
    }


def test_rows_are_given_out_raised() -> None:
    read = part(100, {104: Fitting.DNP, 4: Fitting.FITTED})
    lines = read.lines(Notes())
    assert [(line.row, line.alternate_of) for line in lines] == [(104, None), (105, 104), (108, None)]
    assert lines[0].dnp_refdes == ("R1",)
    assert (101, "Weather node") in read.texts()
    assert [(p.row, p.code) for p in read.doubts(lines)] == [(104, "qty_mismatch")]
