"""Sources: which statuses may decide that something is not possible."""

from webapp.trade.sources import FROM_PACKAGE, Kind, Source, Status, weakest


def test_only_what_was_read_derived_entered_or_declared_may_block() -> None:
    # design: "a number that decides `blocks` must be opened or derived, or be editable with its source shown"
    assert {status for status in Status if status.may_block} == {
        Status.ENTERED,
        Status.DECLARED,
        Status.OPENED,
        Status.DERIVED,
    }


def test_a_figure_is_no_better_than_its_poorest_value() -> None:
    assert weakest([Status.OPENED, Status.MEMORY, Status.DERIVED]) is Status.MEMORY
    assert weakest([Status.OPENED]) is Status.OPENED


def test_a_source_in_words() -> None:
    source = Source(Kind.STANDARD, "J-STD-020", Status.OPENED, "Table 4-2")
    assert source.words == "J-STD-020, Table 4-2 (read in a document)"
    assert source.may_block
    assert not FROM_PACKAGE.may_block
    assert Source(Kind.ASSUMED, "", Status.ASSUMED).words == "assumed"
