"""What makers write into question sheets. The categories are those of the table of J-STD-609 ("e1 Sn-Ag-Cu with Ag
> 1.5 %", "e2 Sn alloys without Bi or Zn, other than SAC", "e3 Sn", "e4 precious metal without Sn (Ag, Au, Ni-Pd ...)",
"e5 Sn-Zn", "e6 contains Bi", "e8 SAC with Ag <= 1.5 %"); the silver of SAC alloys is that of their names."""

import pytest

from webapp.errors import InvalidInputError
from webapp.trade.answer_words import plain_answer
from webapp.trade.facts import PartField
from webapp.trade.part_fields import parse_value

LEAD_FREE = "e1 e2 e3 e4 e5 e6 e7 e8"


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("e3", "e3"),
        ("E3 or e4", "e3 e4"),
        ("e3 (matte tin)", "e3"),
        ("matte Sn", "e3"),
        ("Matte tin over nickel.", "e3"),
        ("100 % Sn", "e3"),
        ("Ni/Pd/Au", "e4"),
        ("NiPdAu", "e4"),
        ("immersion gold over nickel", "e4"),
        ("silver", "e4"),
        ("SnAgCu", "e1 e8"),
        ("SAC305", "e1"),
        ("SAC0307", "e8"),
        ("Sn98.5Ag1.0Cu0.5", "e8"),
        ("96.5Sn3.0Ag0.5Cu", "e1"),
        ("SnCu", "e2"),
        ("Sn/Cu", "e2 e3"),
        ("SnBi", "e6"),
        ("Sn/Zn", "e5"),
        ("tin-lead", "e0"),
        ("SnPb", "e0"),
        ("lead free", LEAD_FREE),
        ("Pb-free", LEAD_FREE),
        ("Pb-free (matte tin)", "e3"),
    ],
)
def test_finishes(text, keys):
    assert plain_answer(PartField.FINISH, text) == keys
    assert parse_value(PartField.FINISH, keys).echo


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("SnAgCu", "sac_high_silver sac_low_silver"),
        ("SAC305", "sac_high_silver"),
        ("SAC105 balls", "sac_low_silver"),
        ("SAC 305 or SAC405", "sac_high_silver"),
        ("Sn63Pb37", "tin_lead"),
        ("Pb90Sn10", "high_lead"),
        ("SnPb", "tin_lead high_lead"),
        ("SnBi", "tin_bismuth"),
        ("tin_bismuth", "tin_bismuth"),
        ("Sn/Ag", "tin_copper_or_silver"),
        ("lead-free", "sac_high_silver sac_low_silver tin_copper_or_silver tin_bismuth"),
    ],
)
def test_balls(text, keys):
    assert plain_answer(PartField.BALLS, text) == keys
    assert parse_value(PartField.BALLS, keys).echo


@pytest.mark.parametrize("text", ["n/a", "N.A.", "-", "–", "?", "TBD", " not known "])
@pytest.mark.parametrize("field", [PartField.FINISH, PartField.LIMIT_C, PartField.OVEN])
def test_what_is_no_answer(field, text):
    assert plain_answer(field, text) == ""


@pytest.mark.parametrize(
    ("field", "text", "plain"),
    [
        (PartField.OVEN, "Yes.", "Yes"),
        (PartField.LIMIT_C, "260 max", "260 max"),
        (PartField.LIMIT_C, "260 °C max.", "260 °C max"),
        (PartField.LIMIT_C, "245…260", "245…260"),
        (PartField.PASSES, "3x", "3"),
        (PartField.PASSES, "2 times", "2"),
        (PartField.MSL, "Level 2a", "2a"),
        (PartField.MSL, "MSL 3", "MSL 3"),
    ],
)
def test_numbers_and_levels(field, text, plain):
    assert plain_answer(field, text) == plain
    assert parse_value(field, plain).echo


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        (PartField.OVEN, "yes, max 2x", "says more than yes or no"),
        (PartField.FINISH, "blue", "names no finish that is known here"),
        (PartField.FINISH, "SnAgCuX", "names no finish that is known here"),
        (PartField.FINISH, "e4 matte tin", "contradict each other"),
        (PartField.BALLS, "SAC-Q", "names no ball alloy that is known here"),
    ],
)
def test_what_would_have_to_be_guessed_is_refused(field, text, words):
    with pytest.raises(InvalidInputError, match=words):
        plain_answer(field, text)
