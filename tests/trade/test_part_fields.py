import pytest

from webapp.errors import InvalidInputError
from webapp.trade.classes import PartClass
from webapp.trade.facts import OVEN_NO, OVEN_YES, PartField
from webapp.trade.masks import Finish, Msl, Suits
from webapp.trade.part_fields import RULES, offered_fields, parse_value, relevant_fields, value_text
from webapp.trade.ranges import Span

F = PartField
NEW = {F.CURRENT_A, F.MATING_FORCE_N, F.STANDOFF_MM, F.WASH, F.VACUUM}
"""The fields that only some kinds of part have."""


@pytest.mark.parametrize(
    ("field", "text", "value", "echo"),
    [
        (F.LIMIT_C, "245", Span(245, 245), "245 °C"),
        (F.LIMIT_C, "245 °C", Span(245, 245), "245 °C"),
        (F.LIMIT_C, "473 °F", Span(245, 245), "245 °C"),
        (F.LIMIT_C, "240…260", Span(240, 260), "240 to 260 °C"),
        (F.LIMIT_C, "at least 245", Span(245, 420), "245 to 420 °C"),
        (F.PASSES, "3", Span(3, 3), "3 passes"),
        (F.PASSES, "2-3", Span(2, 3), "2 to 3 passes"),
        # The most a part stands is its limit: what makers print as a maximum.
        (F.PASSES, "≤ 2", Span(2, 2), "2 passes"),
        (F.PASSES, "3 max.", Span(3, 3), "3 passes"),
        *(
            (F.LIMIT_C, text, Span(260, 260), "260 °C")
            for text in (
                "max 260",
                "max. 260 °C",
                "≤ 260",
                "<260",
                "at most 260 °C",
                "up to 260",
                "260 max",
                "260 °C max.",
            )
        ),
        (F.LIMIT_C, "no more than 500 °F", Span(260, 260), "260 °C"),
        (F.LIMIT_C, "max 240…260", Span(240, 260), "240 to 260 °C"),
        (F.LIMIT_S, "maximum 10 s", Span(10, 10), "10 s"),
        (F.LIMIT_S, "20 s min.", Span(20, 600), "20 to 600 s"),
        (F.LIMIT_C, "min 245", Span(245, 420), "245 to 420 °C"),
        (F.LIMIT_C, "245 °C min.", Span(245, 420), "245 to 420 °C"),
        (F.LIMIT_C, "245 or more", Span(245, 420), "245 to 420 °C"),
        (F.SELF_HEATING_K, "15 K max", Span(0, 15), "0 to 15 K"),
        (F.MASS_G, "< 2 g", Span(0.00001, 2), "0 to 2 g"),
        (F.HEIGHT_MM, "1,2 mm", Span(1.2, 1.2), "1.2 mm"),
        (F.BALL_DIAMETER_MM, "450 µm", Span(0.45, 0.45), "0.45 mm"),
        (F.BALL_DIAMETER_MM, "18 mil", Span(0.4572, 0.4572), "0.4572 mm"),
        (F.STANDOFF_MM, "at most 2 mil", Span(0, 0.0508), "0 to 0.0508 mm"),
        (F.LENGTH_MM, "0.5 to 0.6 inch", Span(12.7, 15.24), "12.7 to 15.24 mm"),
        (F.SELF_HEATING_K, "maximum 15 K", Span(0, 15), "0 to 15 K"),
        (F.FINISH, "e3, e4", int(Finish.E3 | Finish.E4), "tin (e3) or precious metal without tin (e4)"),
        (F.MSL, "MSL 3", int(Msl.L3), "MSL 3"),
        (F.MSL, "2a or 3", int(Msl.L2A | Msl.L3), "MSL 2a or MSL 3"),
        (F.OVEN, "Yes", OVEN_YES, "yes"),
        (F.OVEN, "never", OVEN_NO, "no"),
        (F.LIMIT_S, "10 to 30 s", Span(10, 30), "10 to 30 s"),
        (F.LIMIT_S, "at least 20", Span(20, 600), "20 to 600 s"),
        (F.STANDOFF_MM, "0,05 mm", Span(0.05, 0.05), "0.05 mm"),
        (F.CURRENT_A, "at most 3 A", Span(0, 3), "0 to 3 A"),
        (F.MATING_FORCE_N, "45 N", Span(45, 45), "45 N"),
        (F.WASH, "no", int(Suits.NO), "no"),
        (F.VACUUM, "YES", int(Suits.YES), "yes"),
        (F.CLASSES, "led", int(PartClass.LED), "LED, surface mount"),
    ],
)
def test_reads_what_people_type(field, text, value, echo):
    typed = parse_value(field, text)
    # 473 °F is 245 °C to within the arithmetic.
    if isinstance(value, Span):
        assert (typed.value.low, typed.value.high) == pytest.approx((value.low, value.high))
    else:
        assert typed.value == value
    assert typed.echo == echo


@pytest.mark.parametrize(
    ("field", "text", "message"),
    [
        (F.LIMIT_C, "473", "°F"),
        (F.LIMIT_C, "warm", "no temperature"),
        (F.LIMIT_C, "max", "no temperature"),
        (F.LIMIT_C, "maxim 260", "no temperature"),
        (F.LIMIT_C, "", "Nothing is given"),
        (F.PASSES, "2.5", "whole"),
        (F.PASSES, "-1", "no allowed reflow passes"),
        (F.PASSES, "3 mm", "no allowed reflow passes"),
        (F.HEIGHT_MM, "900", "outside"),
        (F.HEIGHT_MM, "3…2", "higher to the lower"),
        (F.FINISH, "e12", "is not one of"),
        (F.MSL, "7", "moisture level"),
        (F.MSL, "or", "Nothing is given"),
        (F.OVEN, "perhaps", "yes or no"),
        (F.WASH, "yes no", "yes or no"),
        (F.VACUUM, "3", "yes or no"),
        (F.LIMIT_S, "0", "outside"),
        (F.STANDOFF_MM, "50", "outside 0 to 5 mm. If you mean µm, write 50 µm"),
        (F.BALL_DIAMETER_MM, "450", "If you mean µm, write 450 µm"),
        (F.HEIGHT_MM, "3 kg", "no length"),
        (F.CURRENT_A, "5 mV", "is no current per joint; write 3 A"),
        (F.MATING_FORCE_N, "45 kg", "is no mating force; write 3 N"),
    ],
)
def test_says_what_it_does_not_understand_and_names_the_field(field, text, message):
    with pytest.raises(InvalidInputError, match=message) as caught:
        parse_value(field, text)
    assert caught.value.field == field


def test_every_field_has_a_rule():
    assert set(RULES) == set(PartField)


def test_unbounded_values_are_said_as_such():
    assert value_text(F.LIMIT_C, Span(float("-inf"), float("inf"))) == "not known"
    assert value_text(F.LIMIT_C, Span(245, float("inf"))) == "at least 245 °C"


@pytest.mark.parametrize(
    ("classes", "asked", "not_asked"),
    [
        (
            "chip_resistor",
            {F.LIMIT_C, F.LIMIT_S, F.PASSES, F.FINISH},
            {F.BALLS, F.BALL_DIAMETER_MM, F.SELF_HEATING_K, F.PITCH_MM, *NEW},
        ),
        ("array", {F.BALLS, F.BALL_DIAMETER_MM, F.PITCH_MM, F.MSL, F.STANDOFF_MM}, NEW - {F.STANDOFF_MM}),
        ("no_lead_ic", {F.STANDOFF_MM}, NEW - {F.STANDOFF_MM}),
        ("power_semi", {F.SELF_HEATING_K, F.PITCH_MM, F.CURRENT_A}, {F.BALLS} | NEW - {F.CURRENT_A}),
        ("connector", {F.CURRENT_A, F.MATING_FORCE_N}, {F.STANDOFF_MM, F.WASH, F.VACUUM}),
        ("mems_port", {F.WASH, F.VACUUM, F.STANDOFF_MM}, {F.CURRENT_A, F.MATING_FORCE_N}),
        ("relay_smd", {F.WASH, F.CURRENT_A}, {F.VACUUM, F.MATING_FORCE_N, F.STANDOFF_MM}),
        ("film_leaded", {F.LIMIT_C}, {F.PASSES, F.MSL, F.LIMIT_S, *NEW}),
        # No oven is for it, whatever its mounting.
        ("cell", {F.LIMIT_C, F.OVEN}, {F.PASSES, F.MSL, F.LIMIT_S, *NEW}),
        # What the part is has to be known first.
        ("unknown_smd", {F.CLASSES}, NEW),
        ("connector chip_resistor", {F.CLASSES}, NEW),
    ],
)
def test_what_is_irrelevant_is_not_asked(classes, asked, not_asked):
    fields = set(relevant_fields(PartClass.from_keys(classes)))
    assert asked <= fields
    assert not not_asked & fields


@pytest.mark.parametrize(
    ("classes", "offered"),
    [
        ("chip_capacitor", set()),
        # Some of them carry power, or some are of a kind that has it.
        ("leaded_ic", {F.CURRENT_A}),
        ("unknown_smd", NEW),
        ("connector chip_capacitor", {F.CURRENT_A, F.MATING_FORCE_N}),
    ],
)
def test_what_may_matter_is_offered_and_the_rest_is_not(classes, offered):
    fields = set(offered_fields(PartClass.from_keys(classes)))
    assert NEW & fields == offered
    assert set(relevant_fields(PartClass.from_keys(classes))) <= fields
    assert F.SELF_HEATING_K in fields
