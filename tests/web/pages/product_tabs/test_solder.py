"""What forms offer to solder with."""

from dataclasses import replace

from webapp.trade.materials import materials, tabulated
from webapp.trade.pastes import paste_examples
from webapp.web.pages.product_tabs.solder import alloy_options, choice_of, paste_options

SITE = materials(
    own_pastes=[
        replace(paste_examples()[0], name="Cool", alloy="Sn42Bi58", own=True),
        replace(paste_examples()[0], name="Hot", alloy="Sn96.5Ag3.0Cu0.5", own=True),
    ]
)


def test_only_what_melts_low_and_holds_no_lead_is_offered_for_low_temperature():
    offered = [value for value, _ in paste_options(SITE)]
    assert offered[0] == "paste:Cool"
    assert "alloy:Sn42Bi57Ag1" in offered
    # SAC, tin-lead with 179 °C, and bismuth-lead-tin.
    refused = ("paste:Hot", "alloy:Sn96.5Ag3.0Cu0.5", "alloy:Sn62Pb36Ag2", "alloy:Bi52.5Pb32Sn15.5")
    assert not set(offered) & set(refused)


def test_melting_is_told_to_the_99_percent_point():
    """140.1 °C; the last of the Ag3Sn goes at 161.6 °C, which no joint waits for."""
    told = dict(alloy_options(tabulated()))
    assert told["Sn42Bi57Ag1"] == "Sn42Bi57Ag1, 137 to 140 °C"
    assert told["In52Sn48"] == "In52Sn48, 118 °C"


def test_plain_text_of_an_older_address_is_the_choice_it_stands_for():
    assert choice_of(SITE, "Sn42Bi58") == "alloy:Sn42Bi58"
    assert choice_of(SITE, "Cool") == "paste:Cool"
    assert choice_of(SITE, "Sn1") == "Sn1"
