"""Every table of the vocabulary: readable, sourced, and honest about its sources."""

import pytest

from webapp.trade.ranges import Span
from webapp.trade.sources import Status
from webapp.trade.tables import Interval, names, rows, seen_words

UNSOURCED = {"sources", "part_kinds", "part_words", "mounting_words"}
"""Words and their kinds are language, not figures: they carry no source."""


@pytest.mark.parametrize("name", names())
def test_rows_are_whole_and_different(name: str) -> None:
    table = rows(name)
    assert table
    assert all(None not in row.cells and None not in row.cells.values() for row in table)
    assert len({tuple(row.cells.values()) for row in table}) == len(table)


@pytest.mark.parametrize("name", [name for name in names() if name not in UNSOURCED])
def test_every_row_says_where_it_comes_from(name: str) -> None:
    for row in rows(name):
        prefixes = ("solidus_", "liquid_") if name == "alloys" else ("",)
        for prefix in prefixes:
            source = row.source(prefix, reference="alloy" if prefix else "")
            assert source.status not in (Status.ENTERED, Status.DECLARED, Status.ASSUMED)
            read = bool(row.text(f"{prefix}seen_in"))
            if source.status is Status.OPENED:
                assert read, f"{name}: a value read must say where"
            if source.status is Status.MEMORY:
                assert not read, f"{name}: a value from memory was seen nowhere"


def test_every_document_is_used() -> None:
    used = {
        key
        for name in names()
        for row in rows(name)
        for column, cell in row.cells.items()
        if column.endswith("seen_in")
        for key in cell.split()
    }
    assert used == {row.text("id") for row in rows("sources")}
    assert seen_words("") == ""


@pytest.mark.parametrize(
    ("text", "inside", "outside"),
    [
        ("[1.6, 2.5)", (1.6, 2.4), (1.5, 2.5)),
        ("(2000, inf)", (2001, 1e9), (2000, 0)),
        ("[0, 1.4]", (0, 1.4), (1.41, 9)),
    ],
)
def test_intervals(text: str, inside: tuple[float, float], outside: tuple[float, float]) -> None:
    interval = Interval.parse(text)
    assert all(interval.meets(Span.exactly(value)) for value in inside)
    assert not any(interval.meets(Span.exactly(value)) for value in outside)


def test_a_faulty_interval_is_noticed() -> None:
    with pytest.raises(ValueError, match="no interval"):
        Interval.parse("1.6, 2.5.")
