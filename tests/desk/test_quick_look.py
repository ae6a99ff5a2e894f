import pytest

from webapp.checks.verdicts import Verdict
from webapp.desk.quick_look import parts_in, quick_look
from webapp.errors import InvalidInputError
from webapp.trade.classes import PartClass


def look(*texts, alloy="Sn42Bi58", peak="180", **more):
    return quick_look(texts, alloy, peak, **more)


def test_says_what_each_was_taken_for_and_what_becomes_of_it():
    array, chip = look("BGA256", "resistor 0603")
    assert (array.facts.classes, chip.facts.classes) == (PartClass.ARRAY, PartClass.CHIP_RESISTOR)
    # SAC balls do not melt at 172 °C; a chip resistor has nothing against it.
    assert "ball-mixing" in {finding.check for finding in array.findings}
    assert (array.verdict, chip.verdict) == (Verdict.PROVE, Verdict.FINE)
    assert "BGA256" in array.why


def test_alloy_and_peak_decide():
    hot = look("resistor 0603", alloy="Sn96.5Ag3.0Cu0.5", peak="608 °F")[0]
    # 320 °C is above any chip resistor; the class's limit is from memory, so it asks.
    assert (hot.verdict, hot.findings[0].check) == (Verdict.PROVE, "body-limit")


def test_without_the_declaration_lead_is_not_ruled_out():
    assert "finish-unknown" in {f.check for f in look("resistor 0603", lead_free=False)[0].findings}


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"alloy": "Sn10Bi90"}, "paste"),
        ({"peak": "356"}, "peak"),
        ({"peak": "high"}, "peak"),
        ({"spread": "8 °C"}, "spread"),
    ],
)
def test_what_makes_no_sense_names_the_field(more, field):
    with pytest.raises(InvalidInputError) as caught:
        look("R0603", **more)
    assert caught.value.field == field


def test_pasted_text_is_read_line_by_line():
    assert parts_in(" BGA256 \r\n\n  0603   100n\n") == ["BGA256", "0603 100n"]
    for text in ("", " \n ", "x\n" * 51):
        with pytest.raises(InvalidInputError) as caught:
            parts_in(text)
        assert caught.value.field == "parts"
    assert len(parts_in("x\n" * 50)) == 50


@pytest.mark.parametrize("text", ["relay, through hole", "press-fit connector", "DIP-8", "2.54 mm pin header"])
def test_of_what_is_not_soldered_in_the_pass_nothing_is_judged(text):
    (glance,) = look(text)
    assert (glance.verdict, glance.findings) == (Verdict.NONE, ())
