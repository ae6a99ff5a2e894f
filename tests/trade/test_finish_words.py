"""What words say of lead. The alloys are those of J-STD-006, the categories those of J-STD-609 (from memory)."""

import pytest

from webapp.trade.finish_words import finish_said
from webapp.trade.masks import LEAD_FREE_FINISHES

FREE = LEAD_FREE_FINISHES.keys


@pytest.mark.parametrize(
    ("text", "finish", "balls"),
    [
        *(
            (text, "e0", "tin_lead")
            for text in ("SnPb", "Sn63Pb37", "Sn/Pb", "63/37", "tin-lead finish", "leaded finish")
        ),
        *((text, "e0", "tin_lead") for text in ("BGA, leaded balls", "finish: leaded", "not lead-free", "bleihaltig")),
        *((text, "e0", "high_lead") for text in ("Pb90Sn10 columns", "90Pb10Sn", "high-lead balls")),
        *(
            (text, FREE, "sac_high_silver sac_low_silver tin_copper_or_silver tin_bismuth")
            for text in ("lead-free", "RoHS")
        ),
        *(
            (text, FREE, "sac_high_silver sac_low_silver tin_copper_or_silver tin_bismuth")
            for text in ("Pb-free", "bleifrei")
        ),
        ("SAC305 balls", "e1", "sac_high_silver"),
        ("SAC105 balls", "e8", "sac_low_silver"),
        ("Sn42Bi58 balls", "e6", "tin_bismuth"),
    ],
)
def test_what_is_plain(text, finish, balls):
    for has_balls in (False, True):
        assert finish_said(f"Part 4711, {text}, reel", has_balls=has_balls).finish.keys == finish
    assert finish_said(text, has_balls=True).balls.keys == balls


@pytest.mark.parametrize(
    ("text", "finish"),
    [("matte tin", "e3"), ("matte tin lead finish", "e3"), ("100 % Sn", "e3"), ("NiPdAu", "e4"), ("Ni/Pd/Au", "e4")],
)
def test_what_no_ball_is_made_of(text, finish):
    assert finish_said(text, has_balls=False).finish.keys == finish
    assert not finish_said(text, has_balls=True).words


@pytest.mark.parametrize(
    "text",
    [
        # leads, not lead
        *("leaded terminals", "hand solder leaded part", "Axial Lead, tin plated", "radial lead tin"),
        *("axial leaded", "leaded package", "leaded, tin plated", "4-SMD, no lead", "CONN HEADER VERT TIN"),
        # said of the process or of another part
        *("SnPb compatible", "compatible with SnPb", "SnPb reflow profile"),
        # RoHS with the exemption for lead says nothing, nor do numbers that look like it
        *("RoHS 5/6", "RoHS exempt", "SN74PB", "PBSNX-12", "1-63/370"),
        "SAC305",
    ],
)
def test_what_says_nothing(text):
    said = finish_said(text, has_balls=False)
    assert not said.finish
    assert not said.holds_lead


@pytest.mark.parametrize("text", ["not RoHS", "RoHS: no", "non-RoHS", "SnPb or SAC305 balls", "SnPb, also lead-free"])
def test_what_is_in_doubt_is_left_open_but_not_settled(text):
    said = finish_said(text, has_balls=True)
    assert (said.finish.keys, said.balls.keys, said.holds_lead) == ("", "", True)


def test_what_rules_lead_out_is_not_taken_for_lead():
    assert finish_said("lead-free, no SnPb", has_balls=False).finish.keys == FREE
