"""What is known of a part beside heat: from its class, and as stated. The values are those of part_classes.csv."""

import pytest

from webapp.trade.classes import PartClass
from webapp.trade.facts import Claim, Declaration, PartField, Scope, Stated, facts_of
from webapp.trade.masks import LEAD_FREE_FINISHES, BallAlloy, Finish, Joints, Mounting, Suits
from webapp.trade.part_evidence import PartTexts
from webapp.trade.parts import PartGuess, guess_part
from webapp.trade.ranges import NOT_NEGATIVE, Span
from webapp.trade.sources import Kind, Source, Status

SHEET = Source(Kind.DATASHEET, "Norrlund MX-800, revision 3", Status.OPENED)


def facts(classes, **stated):
    guess = PartGuess(PartClass.from_keys(classes), "the test says so", Mounting.everything(), Joints(0))
    values = {PartField(name): Stated(value, SHEET) for name, value in stated.items()}
    return facts_of(key="k", label="MX-800", maker="", guess=guess, stated=values)


@pytest.mark.parametrize(
    ("classes", "time"),
    [
        ("chip_capacitor", Span(10, 10)),
        ("can_small", Span(5, 40)),
        ("can_small chip_capacitor", Span(5, 40)),
        ("header", NOT_NEGATIVE),
    ],
)
def test_the_time_at_the_limit_follows_from_the_class(classes, time):
    assert facts(classes).limit_s == time


def test_a_time_says_in_words_what_the_maker_says():
    assert facts("can_small").source("limit_s").note == "40 s within 5 K; 260 °C only 5 s"


@pytest.mark.parametrize(
    ("classes", "wash", "vacuum"),
    [
        ("chip_resistor", Suits.YES, Suits.YES),
        ("mems_port", Suits.YES | Suits.NO, Suits.YES | Suits.NO),
        ("relay_smd", Suits.YES | Suits.NO, Suits.YES),
        ("unknown_smd", Suits.YES | Suits.NO, Suits.YES | Suits.NO),
        ("chip_resistor mems_port", Suits.YES | Suits.NO, Suits.YES | Suits.NO),
    ],
)
def test_wash_and_vacuum_are_not_known_where_some_do_not_suit(classes, wash, vacuum):
    known = facts(classes)
    assert (known.wash, known.vacuum) == (wash, vacuum)
    assert not known.source("wash").may_block


def test_nothing_mates_that_is_no_connector():
    assert facts("chip_resistor").mating_force_n == Span(0, 0)
    assert facts("connector").mating_force_n == NOT_NEGATIVE
    assert facts("unknown_smd").mating_force_n == NOT_NEGATIVE
    assert facts("connector").current_a == NOT_NEGATIVE


def test_what_is_stated_decides_and_names_its_source():
    known = facts(
        "connector",
        limit_s=Span(20, 20),
        current_a=Span(0, 3),
        mating_force_n=Span(45, 45),
        wash=int(Suits.NO),
        vacuum=int(Suits.YES),
        standoff_mm=Span(0.05, 0.08),
    )
    assert (known.limit_s, known.current_a, known.mating_force_n) == (Span(20, 20), Span(0, 3), Span(45, 45))
    assert (known.wash, known.vacuum) == (Suits.NO, Suits.YES)
    assert known.sizes["standoff_mm"] == Span(0.05, 0.08)
    names = ("limit_s", "current_a", "mating_force_n", "wash", "vacuum", "standoff_mm")
    assert {known.source(name) for name in names} == {SHEET}


def test_what_is_not_stated_of_sizes_is_not_there():
    assert "standoff_mm" not in facts("array").sizes


def test_the_mounting_that_the_line_says_stays_until_somebody_says_another_kind():
    guess = PartGuess(PartClass.THERMAL_CUTOFF, "the test says so", Mounting.SMD, Joints(0))
    said = {PartField.CLASSES: Stated(int(PartClass.HEADER), SHEET)}
    told = [facts_of(key="k", label="", maker="", guess=guess, stated=stated) for stated in ({}, said)]
    assert [part.mounting for part in told] == [Mounting.SMD, Mounting.THROUGH_HOLE]


def declared(classes, claim, number, scope):
    guess = PartGuess(PartClass.from_keys(classes), "the test says so", Mounting.everything(), Joints(0))
    declaration = Declaration(claim, scope, "letter", scope_key="k", number=number)
    return facts_of(key="k", label="", maker="k", guess=guess, stated={}, declarations=[declaration])


@pytest.mark.parametrize("scope", [Scope.SITE, Scope.MAKER, Scope.BOM])
@pytest.mark.parametrize(
    "classes", ["cell", "display", "thermal_cutoff", "film_leaded", "relay", "can_large", "supercap"]
)
def test_what_is_declared_over_many_parts_lifts_no_kind_above_what_it_stands(classes, scope):
    """ "Bodies stand at least 260 °C" is no word about a lithium cell: 60 to 85 °C stays 60 to 85 °C."""
    told = declared(classes, Claim.LIMIT_AT_LEAST, 260, scope)
    assert (told.limit_c, told.source("limit_c")) == (facts(classes).limit_c, facts(classes).source("limit_c"))
    passes = declared(classes, Claim.PASSES_AT_LEAST, 3, scope)
    assert (passes.passes, passes.source("passes")) == (facts(classes).passes, facts(classes).source("passes"))


def test_what_is_declared_over_many_parts_settles_the_others():
    told = declared("connector header", Claim.LIMIT_AT_LEAST, 260, Scope.MAKER)
    assert (told.limit_c, told.source("limit_c").reference) == (Span(260, 260), "letter")
    assert declared("connector", Claim.PASSES_AT_LEAST, 2, Scope.SITE).passes == Span(2, 3)


def test_what_is_declared_over_the_part_itself_counts_whatever_its_kind():
    told = declared("cell", Claim.LIMIT_AT_LEAST, 260, Scope.PART)
    assert (told.limit_c, told.source("limit_c").reference) == (Span(260, 260), "letter")


def told(description, prefix, scope=None):
    guess = guess_part(PartTexts(description=description, prefix=prefix))
    declarations = [Declaration(Claim.LEAD_FREE, scope, "letter", scope_key="k")] if scope else []
    return facts_of(key="k", label="", maker="k", guess=guess, stated={}, declarations=declarations)


def test_a_finish_that_the_list_names_counts_and_says_so():
    known = told("Resistor 10k 0805, SnPb", "R")
    assert (known.finish, known.lead_risk) == (Finish.E0, "said")
    assert known.source("finish").reference == "the list says “SnPb”"
    assert known.source("finish").may_block
    balls = told("Processor BGA-256, 63/37 balls", "U")
    assert (balls.finish, balls.balls) == (Finish.E0, BallAlloy.TIN_LEAD)
    assert told("Resistor 10k 0805, matte tin", "R").finish == Finish.E3
    assert not told("Relay 5 V THT, RoHS", "K").finish.may_hold_lead
    # What the class does not carry the words may still name; what is not soldered has no finish.
    assert told("Resistor 10k 0805, NiPdAu", "R").finish == Finish.E4
    assert told("Screw, RoHS", "").finish == Finish(0)


@pytest.mark.parametrize("words", ["SnPb", "not RoHS"])
@pytest.mark.parametrize(
    ("scope", "settled"), [(Scope.SITE, False), (Scope.BOM, False), (Scope.MAKER, False), (Scope.PART, True)]
)
def test_only_a_word_about_the_part_makes_lead_free_what_the_list_calls_tin_lead(words, scope, settled):
    assert told(f"Resistor 10k 0805, {words}", "R", scope).finish.may_hold_lead is not settled
    assert told("Resistor 10k 0805", "R", scope).finish & ~LEAD_FREE_FINISHES == 0
