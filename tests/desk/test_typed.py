"""Numbers and references as people type them, and names in which something does not show."""

from dataclasses import replace

import pytest

from tests.desk.site_data import EUTECTIC, HOUSE
from webapp.desk.site_alloys import read_alloy
from webapp.desk.site_pastes import read_paste
from webapp.desk.typed import typed_number, typed_reference
from webapp.errors import InvalidInputError
from webapp.trade.decisions import DecisionKind, tidy_change, tidy_reason
from webapp.trade.materials import tabulated
from webapp.trade.people import tidy_name
from webapp.trade.products import tidy_code, tidy_note, tidy_product_name
from webapp.trade.ranges import Span

PERCENT = Span(0, 100)


@pytest.mark.parametrize("text", ["85.8", "85,8", "85.8 %", "85.8%", "85.8 wt%", "85.8 wt.-%", "85.8 mass-%"])
@pytest.mark.parametrize("unit", ["%", "wt%"])
def test_per_cent_in_many_ways(text, unit):
    assert typed_number(text, PERCENT, field="metal_pct", unit=unit) == 85.8


@pytest.mark.parametrize("text", ["nan", "inf", "-inf", "85.8 K", "% 85", "", "1e999"])
def test_what_is_no_number(text):
    with pytest.raises(InvalidInputError, match="is no number") as caught:
        typed_number(text, PERCENT, field="metal_pct", unit="%")
    assert caught.value.field == "metal_pct"


@pytest.mark.parametrize(
    ("read", "field"),
    [
        (tidy_code, "code"),
        (tidy_product_name, "name"),
        (tidy_note, "note"),
        (tidy_name, "name"),
        (tidy_reason, "reason"),
        (lambda text: tidy_change(DecisionKind.RESOLVED, text), "change"),
        (typed_reference, "reference"),
        (lambda text: read_alloy(replace(EUTECTIC, name=text)), "name"),
        (lambda text: read_alloy(replace(EUTECTIC, designation=text)), "designation"),
        (lambda text: read_paste(replace(HOUSE, name=text), tabulated()), "name"),
    ],
)
@pytest.mark.parametrize("char", ["\u202e", "\u200b", "\x07"])
def test_a_name_with_a_character_that_does_not_show_is_refused(read, field, char):
    with pytest.raises(InvalidInputError) as caught:
        read(f"Gate{char}way")
    assert caught.value.field == field
    if field != "designation":
        assert f"U+{ord(char):04X}" in caught.value.message
