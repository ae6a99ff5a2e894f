"""The two doors: what the child process says comes through whole."""

import pytest

from tests.intake import part_lists
from webapp.errors import UnreadableFileError
from webapp.intake.gate import read_bom_file, read_placement_file
from webapp.intake.limits import Limits
from webapp.intake.placement import read_placement
from webapp.intake.reader import read_bom
from webapp.trade.bom import Field, Fitting, ReadChoices


@pytest.mark.parametrize("name", ["MAKER_AND_NUMBER", "NAMED_NOT_FITTED", "PLACEMENT"])
def test_a_bom_read_in_the_child_is_the_bom_read_here(name: str) -> None:
    content = getattr(part_lists, name).encode()
    assert read_bom_file(content, "list.csv") == read_bom(content, "list.csv")


def test_choices_reach_the_child() -> None:
    choices = ReadChoices(header_row=1, columns={Field.REFDES: 0}, rows={2: Fitting.DNP})
    reading = read_bom_file(b"Ref,Qty\nC1,1\nR1,1\n", "list.csv", choices)
    assert (reading.fitted, reading.dnp_count) == ({"R1"}, 1)


def test_a_placement_read_in_the_child() -> None:
    content = part_lists.PLACEMENT.encode()
    assert read_placement_file(content, "place.csv") == read_placement(content, "place.csv")


def test_a_refusal_comes_through_with_its_code() -> None:
    with pytest.raises(UnreadableFileError) as refusal:
        read_bom_file(b"", "list.csv")
    assert refusal.value.code == "empty_file"
    with pytest.raises(UnreadableFileError) as refusal:
        read_bom_file(b"Ref\n" * 100, "list.csv", limits=Limits(rows=50))
    assert refusal.value.code == "too_many_rows"
