"""What is offered for each check, and what it breaks.

Expected values follow from the figures beside them. Eutectic tin-bismuth: solidus 138 °C, 99 % liquid at 140 °C (table
of alloys); SAC305: 217 and 220 °C. Margins are the site's defaults: superheat 10 K, near a limit 5 K, bake 20 K, later
heat 10 K on top of the spread, service up to 0.858 of the first melting in kelvin.
"""

from dataclasses import replace

import pytest

from tests.checks.build import BOARD, LOW, SAC, TODAY, case, part, reflow, route, with_environment
from tests.checks.examples import BAKE_125, CURE_150, EXAMPLES, SELECTIVE, UNDERFILL_150, both_sides
from webapp.checks.assess import assess
from webapp.checks.columns import CaseLine
from webapp.checks.declare import registry
from webapp.checks.verdicts import Verdict
from webapp.planning.changes import Place
from webapp.planning.compare import COUNTED, Baseline
from webapp.planning.ways import MAKERS, MOST_WAYS, ways_for
from webapp.trade.facts import OVEN_NO
from webapp.trade.masks import BallAlloy, BoardFinish, Finish, Mounting
from webapp.trade.materials import materials
from webapp.trade.pastes import paste_examples
from webapp.trade.ranges import Span
from webapp.trade.route import Route, Side, Step, StepKind
from webapp.trade.site import Site

BLOCKS, CHANGE, PROVE = Verdict.BLOCKS, Verdict.CHANGE, Verdict.PROVE


def ways(made, check):
    """What is tried for the first finding of a check."""
    finding = next(finding for finding in assess(made).findings if finding.check == check)
    return ways_for(made, finding.key)


def clearing(made, check):
    """Words of what clears it -> the checks that it opens."""
    return {way.change.words: [opened.finding.check for opened in way.opens] for way in ways(made, check).clearing}


def way(made, check, words):
    """The one way whose words begin so, whether it clears or not."""
    found = ways(made, check)
    (only,) = [way for way in (*found.clearing, *found.others) if way.change.words.startswith(words)]
    return only


class TestHeatOnBodies:
    # 180 °C against a limit of 170 °C: 165 °C is 5 K below it, and its coldest joint at 157 °C still wets.
    def test_a_cooler_peak_that_breaks_nothing(self):
        assert clearing(case(part(limit_c=170.0)), "body-limit")["Reflow: peak 165 °C instead of 180 °C"] == []

    def test_a_cooler_peak_at_which_joints_no_longer_wet_says_so(self):
        # 155 °C less a spread of 8 K is below 140 + 10 °C.
        found = clearing(case(part(limit_c=160.0)), "body-limit")
        assert found["Reflow: peak 155 °C instead of 180 °C"] == ["joint-forms"]

    def test_no_peak_at_which_the_paste_does_not_melt(self):
        # 145 °C less 8 K is below the 140 °C at which it is melted: what is left is to solder the part apart.
        assert list(clearing(case(part(limit_c=150.0)), "body-limit")) == [
            f"part: soldered after the oven, by hand with {SAC}"
        ]

    def test_soldered_apart_leaves_open_how_hot_its_neighbours_get(self):
        found = clearing(case(part(limit_c=150.0), part(key="other")), "body-limit")
        assert found == {f"part: soldered after the oven, by hand with {SAC}": ["heat-not-given"]}

    def test_soldered_apart_at_a_step_that_there_is(self):
        made = case(part(limit_c=150.0), part(key="other"), steps=(reflow(), SELECTIVE))
        assert clearing(made, "body-limit") == {
            "part: soldered after the oven, at “selective soldering” or by hand": []
        }

    def test_nobody_solders_balls_by_hand(self):
        made = case(part("array", balls=BallAlloy.TIN_BISMUTH, limit_c=150.0))
        assert clearing(made, "body-limit") == {}

    @pytest.mark.parametrize("made", [part("leaded_ic array", limit_c=150.0), part("mems_port", limit_c=150.0)])
    def test_nor_what_may_have_its_terminals_below(self, made):
        assert not [words for words in clearing(case(made), "body-limit") if "soldered after" in words]

    @pytest.mark.parametrize(("terminals", "is_offered"), [(64.0, True), (65.0, False)])
    def test_nor_more_terminals_than_somebody_solders(self, terminals, is_offered):
        made = case(part("leaded_ic", limit_c=150.0, terminals=terminals))
        assert bool([words for words in clearing(made, "body-limit") if "soldered after" in words]) == is_offered

    def test_the_limit_that_is_not_known(self):
        # 235 °C is reached, of film capacitors 215 to 260 °C are usual: 240 °C leaves the 5 K.
        made = case(part("film_smd"), steps=(reflow(SAC, 235.0),))
        shown = way(made, "body-limit", "If the maker allows 240 °C at the body")
        assert (shown.left, shown.change.place, shown.open_count) == (Verdict.FINE, Place.DATUM, 0)

    def test_all_passes_that_are_too_hot(self):
        made = case(part(limit_c=170.0), steps=both_sides(), sides=["bottom"])
        words = (
            "2 steps at once: reflow, bottom side: peak 165 °C instead of 180 °C and reflow, top side: peak 165 °C "
            "instead of 180 °C"
        )
        assert clearing(made, "body-limit")[words] == []

    def test_passes(self):
        made = case(part(passes=1.0), steps=both_sides(), sides=["bottom"])
        assert "part: on the top side instead (new layout)" in clearing(made, "passes")

    def test_the_side_that_is_not_known(self):
        made = case(part(passes=1.0), steps=both_sides())
        assert "If they are placed on the top side, soldered last" in clearing(made, "passes")

    def test_not_for_an_oven(self):
        made = case(part(oven=OVEN_NO))
        assert list(clearing(made, "never-oven")) == [f"part: soldered after the oven, by hand with {SAC}"]
        assert "If the maker rates it for an oven" in clearing(case(part("connector")), "never-oven")


class TestBakesAndCures:
    def test_a_bake_at_90_breaks_nothing(self):
        # 125 + 5 °C is within 20 K of 138 °C, 90 + 5 °C is not.
        gentle = way(case(steps=(reflow(), BAKE_125)), "bake-after-join", "Drying bake: 90 °C instead of 125 °C")
        assert (gentle.left, gentle.open_count) == (Verdict.FINE, 0)
        assert (gentle.before.counts[CHANGE], gentle.after.counts[CHANGE]) == (1, 0)

    def test_the_hottest_bake_that_leaves_the_margin(self):
        # 138 - 20 - 5 K of spread.
        assert "Drying bake: at most 113 °C instead of 125 °C" in clearing(
            case(steps=(reflow(), BAKE_125)), "bake-after-join"
        )

    def test_a_bake_at_40_beside_lead(self):
        # With lead the joints begin to melt at 95 °C: 70 °C and less are safe.
        made = case(part(finish=Finish.E0), steps=(reflow(), BAKE_125))
        assert (
            clearing(made, "bake-after-join")["Drying bake: 40 °C instead of 125 °C, for the longer times of J-STD-033"]
            == []
        )

    def test_a_cure_before_the_joints_or_cooler(self):
        # At 128 °C the margin of 10 K below 138 °C is used up.
        found = clearing(case(steps=(reflow(), CURE_150)), "later-heat")
        assert found["Cure of adhesive or coating: 127 °C instead of 150 °C"] == []
        assert found["Cure of adhesive or coating: before reflow (an adhesive may, a coating may not)"] == []

    def test_only_the_step_or_all_that_are_too_hot(self):
        made = case(steps=(reflow(), CURE_150, replace(CURE_150, name="second cure")))
        both = (
            "2 steps at once: cure of adhesive or coating: 127 °C instead of 150 °C and second cure: 127 °C instead of "
            "150 °C"
        )
        found = ways(made, "later-heat")
        assert both in [way.change.words for way in found.clearing]
        assert {way.left for way in found.others} == {BLOCKS}

    def test_a_smaller_spread(self):
        # 120 °C is near 138 °C only for its spread of 10 K: 138 - 10 - 120 leaves less than 8 K.
        hot = Step(StepKind.BURN_IN, peak_c=120.0, spread_k=10.0, hours=2.0)
        assert clearing(case(steps=(reflow(), hot)), "later-heat")["Burn-in: spread at most 7 K instead of 10 K"] == []

    def test_fewer_hours(self):
        # 105 °C is above 0.9 of 138 °C in kelvin, 97 °C; from 24 h on that counts.
        hot = Step(StepKind.BURN_IN, peak_c=105.0, hours=48.0)
        found = clearing(case(steps=(reflow(), hot)), "later-heat")
        assert found["Burn-in: 23 h instead of 48 h"] == found["Burn-in: 96 °C instead of 105 °C"] == []

    def test_heat_that_is_not_known(self):
        made = case(steps=(reflow(), Step(StepKind.SELECTIVE, alloy=SAC, peak_c=290.0)))
        shown = way(made, "heat-not-given", "If joints are measured beside selective soldering at 127 °C or less")
        assert (shown.left, shown.change.place) == (Verdict.FINE, Place.DATUM)

    def test_solder_enclosed_by_underfill(self):
        found = clearing(case(steps=(reflow(), replace(UNDERFILL_150, peak_c=100.0), CURE_150)), "inside-underfill")
        assert found["Cure of adhesive or coating: 127 °C instead of 150 °C"] == []

    def test_underfill_after_what_would_press_solder_out(self):
        # The cure alone is not hot; the one after it would melt what is enclosed. It still melts joints.
        made = case(steps=(reflow(), replace(UNDERFILL_150, peak_c=100.0), CURE_150))
        later = way(made, "inside-underfill", "Underfill and its cure: after cure of adhesive or coating")
        assert later.is_clear
        assert later.after.counts[BLOCKS] == 1  # the cure at 150 °C beside finished joints


class TestSolder:
    def test_a_peak_and_a_paste_that_form_joints(self):
        # Sn60Bi40 is 99 % liquid at 174.4 °C; with 10 K on top and a spread of 8 K that is 192.4 °C.
        found = clearing(case(steps=(reflow("Sn60Bi40", 175.0),)), "joint-forms")
        assert found["Reflow: peak 193 °C instead of 175 °C"] == []
        assert any(f"{LOW} instead of Sn60Bi40" in words for words in found)

    def test_a_peak_that_is_not_given(self):
        made = case(steps=(replace(reflow(), peak_c=None),))
        # 140 + 10 + 8 °C.
        assert "If reflow has peak 158 °C" in clearing(made, "joint-forms")

    def test_the_window_of_the_paste(self):
        paste = next(paste for paste in paste_examples() if paste.alloy == LOW)  # up to 190 °C, 30 to 90 s
        hot = replace(reflow(peak_c=210.0, above_melting_s=120.0), paste=paste.name)
        words = "Reflow: peak 190 °C instead of 210 °C and 90 s above melting instead of 120 s"
        assert words in clearing(case(steps=(hot,)), "joint-forms")

    def test_todays_alloy_clears_a_hot_joint_and_loses_the_gain(self):
        # 110 °C in service: fine up to 80 °C for tin-bismuth, up to 147 °C for SAC. The part stands 235 °C, SAC 245 °C.
        made = case(part(limit_c=235.0), environment=with_environment(t_max_c=105.0))
        found = ways(made, "joint-runs-hot")
        assert found.today is not None
        assert found.today.is_clear
        ((opened,), counts) = found.today.opens, found.today.after.counts
        assert (opened.finding.check, opened.finding.verdict, opened.was_gain) == ("body-limit", BLOCKS, True)
        assert (found.today.before.counts[Verdict.GAIN], counts[Verdict.GAIN]) == (1, 0)

    def test_todays_alloy_on_the_side_that_needs_it(self):
        # 45 + 60 °C on the top side, 45 °C on the other.
        made = case(
            part("power_semi", self_heating_k=60.0),
            part(key="cool"),
            steps=both_sides(),
            sides=["top", "bottom"],
            today=route(reflow(SAC, 243.0, Side.BOTTOM), reflow(SAC, 245.0, Side.TOP), name="today"),
        )
        assert f"Reflow, top side: {SAC} instead of {LOW}, peak 245 °C" in clearing(made, "joint-runs-hot")

    def test_the_air_may_be_as_hot_as_the_alloy_lets_it(self):
        # 0.858 of 411.15 K is 79.6 °C, 5 K of it the board's own.
        made = case(environment=with_environment(t_max_c=105.0))
        words = "Highest temperature of the air around the board: at most 74 °C instead of 105 °C"
        assert clearing(made, "joint-runs-hot")[words] == []

    def test_self_heating_that_is_not_known(self):
        # 79.6 - 40 - 5 K.
        assert clearing(case(part("power_semi")), "joint-runs-hot") == {
            "If self-heating is shown to be at most 34 K": []
        }

    def test_balls(self):
        made = case(part("array", balls=BallAlloy.SAC_HIGH_SILVER))
        found = clearing(made, "ball-mixing")
        # SAC305 balls are liquid at 220 °C; the coldest joint is 8 K below the peak.
        assert "Reflow: peak 228 °C instead of 180 °C, so that the balls melt" in found
        assert found["part: replaced by the same with tin-bismuth balls"] == []

    def test_one_alloy_a_side(self):
        found = clearing(case(steps=(reflow(SAC, 245.0, Side.TOP), reflow(LOW, 180.0, Side.TOP))), "one-alloy-a-side")
        assert f"Reflow, top side: {SAC} instead of {LOW}, peak 245 °C" in found
        assert "Reflow, top side: left out, its parts printed with the others" in found

    def test_the_joints_own_wire(self):
        rework = Step(StepKind.REWORK, alloy=SAC, peak_c=330.0, neighbour_c=90.0)
        words = f"Rework: {LOW}, the joints' own instead of {SAC}"
        assert clearing(case(steps=(reflow(), rework)), "rework-alloy")[words] == []

    def test_pins_that_nothing_solders(self):
        made = case(part("connector", mounting=Mounting.THROUGH_HOLE))
        assert f"Selective soldering added, with {SAC}" in clearing(made, "through-hole")
        today = replace(TODAY, steps=(*TODAY.steps, SELECTIVE))
        assert f"Selective soldering added, with {SAC}" in clearing(replace(made, today=today), "through-hole")


class TestPartsAndBoard:
    def test_lead(self):
        found = clearing(case(part(finish=Finish.E0)), "lead-pickup")
        assert found["part: replaced by a part without lead, or refinished"] == []
        assert f"part: soldered after the oven, by hand with {SAC}" in found
        assert "If the terminals are shown to be free of lead" in clearing(case(part("hermetic")), "finish-unknown")

    def test_lead_is_what_matters_even_where_the_side_is_not_known_either(self):
        made = case(part("hermetic"), steps=(reflow(LOW, 180.0, Side.BOTTOM), reflow(SAC, 245.0, Side.TOP)))
        words = [way.change.words for way in ways(made, "finish-unknown").clearing]
        assert words.count("If the terminals are shown to be free of lead") == 1

    def test_lead_is_why_later_heat_melts(self):
        # 105 °C is far below 138 °C but above the 95 °C of joints with lead.
        wave = Step(StepKind.WAVE, alloy=SAC, peak_c=258.0, neighbour_c=105.0)
        found = clearing(case(part(finish=Finish.E0), steps=(reflow(), wave)), "later-heat")
        assert found["part: replaced by a part without lead, or refinished"] == []

    def test_the_alternate_that_is_fine(self):
        good, bad = part(key="good", limit_c=250.0), part(key="bad", limit_c=150.0)
        lines = [CaseLine(0, ("R1", "R2"), None, 0), CaseLine(1, ("R1", "R2"), None, 0)]
        made = replace(case(good, bad), lines=lines)
        only = way(made, "body-limit", "bad: no longer approved, only good fitted")
        assert (only.left, only.change.place, only.after.readiness) == (Verdict.FINE, Place.APPROVALS, 1.0)

    def test_not_an_alternate_that_the_same_check_asks_about(self):
        # Both fail by their limit, 150 and 160 °C below 180 °C: two findings on one place.
        parts = part(key="bad", limit_c=150.0), part("chip_capacitor", key="as bad", limit_c=160.0)
        lines = [CaseLine(0, ("R1", "R2"), None, 0), CaseLine(1, ("R1", "R2"), None, 0)]
        made = replace(case(*parts), lines=lines)
        assert len([finding for finding in assess(made).findings if finding.check == "body-limit"]) == 2
        found = ways(made, "body-limit")
        assert not [way for way in (*found.clearing, *found.others) if "approved" in way.change.words]

    def test_not_where_a_place_would_be_left_empty(self):
        made = replace(case(part(limit_c=150.0)), lines=[CaseLine(0, ("R1",), None, 0)])
        assert not [words for words in clearing(made, "body-limit") if "approved" in words]

    def test_the_board(self):
        lead = case(board=replace(BOARD, finish=BoardFinish.HASL_LEAD))
        assert "Board ordered with electroless nickel, immersion gold" in clearing(lead, "board-finish")
        unknown = case(board=replace(BOARD, finish=BoardFinish.everything()))
        assert "If the board is shown to have immersion silver" in clearing(unknown, "board-finish")


class TestOrder:
    def test_what_breaks_least_comes_first(self):
        found = ways(case(part(limit_c=160.0), part(key="other"), steps=(reflow(), SELECTIVE)), "body-limit")
        assert [way.open_count for way in found.clearing] == sorted(way.open_count for way in found.clearing)
        assert "soldered after the oven" in found.clearing[0].change.words

    def test_what_does_not_clear_is_told_apart(self):
        made = case(steps=(reflow(), CURE_150, replace(CURE_150, name="second cure")))
        found = ways(made, "later-heat")
        assert all(way.is_clear for way in found.clearing)
        assert found.others
        assert not any(way.is_clear for way in found.others)

    def test_todays_route_is_always_compared(self):
        found = ways(case(part(limit_c=170.0)), "body-limit")
        assert found.today is not None
        assert found.today.left is BLOCKS  # 245 °C is no better

    def test_but_not_with_itself(self):
        made = case(part(limit_c=170.0), today=route(reflow()))
        assert ways(made, "body-limit").today is None
        assert ways(replace(made, today=Route("today")), "body-limit").today is None

    def test_a_finding_that_is_not_there(self):
        assert ways_for(case(), "body-limit|part part|0") is None
        assert ways_for(case(), "no such check") is None

    def test_nothing_is_tried_for_a_gain(self):
        found = ways(case(part(limit_c=235.0)), "body-limit")
        assert (found.finding.verdict, found.clearing, found.others, found.today) == (Verdict.GAIN, (), (), None)


OPEN = [(check, failing) for check, ((failing, _), _, _) in EXAMPLES.items()]
OPEN += [(check, short) for check, (_, _, short) in EXAMPLES.items() if short is not None]


@pytest.mark.parametrize(("check", "made"), OPEN, ids=[check for check, _ in OPEN])
def test_what_is_said_is_what_the_checks_say_of_the_changed_case(check, made):
    """Each way against an assessment of its case by itself."""
    finding = next(finding for finding in assess(made).findings if finding.check == check)
    found = ways_for(made, finding.key)
    tried = [*found.clearing, *found.others, *filter(None, [found.today])]
    assert found.clearing
    assert len(tried) <= MOST_WAYS
    assert len({way.change.words for way in tried}) == len(tried)
    before = assess(made)
    for way in tried:
        after = assess(way.change.case)
        still = [
            left for left in after.findings
            if left.check == check and left.verdict.is_open and set(left.refdes) >= set(finding.refdes)
        ]  # fmt: skip
        if way.is_clear or not finding.refdes:
            assert way.is_clear is not any(left.verdict.is_open for left in still)
        assert {verdict.key: way.before.counts[verdict] for verdict in COUNTED} == {
            verdict.key: before.counts()[verdict.key] for verdict in COUNTED
        }
        if way.change.place in (Place.ROUTE, Place.TODAY) and way.change.case.parts is made.parts:
            assert {verdict.key: way.after.counts[verdict] for verdict in COUNTED} == {
                verdict.key: after.counts()[verdict.key] for verdict in COUNTED
            }
        assert (way.before.readiness, way.after.readiness) == (before.readiness, after.readiness)


def test_every_check_has_ways_of_its_own():
    assert MAKERS.keys() == registry().keys()


def test_own_pastes_are_offered():
    """The window of a site's own paste of tin-copper, 240 to 255 °C: with a spread of 8 K its middle is 251.5 °C."""
    example = paste_examples()[0]
    own = replace(example, name="Wave bar as paste", alloy="Sn99.3Cu0.7", peak_c=Span(240.0, 255.0), own=True)
    hot = case(environment=with_environment(t_max_c=85.0))
    found = clearing(replace(hot, site=Site(materials=materials((), [own]))), "joint-runs-hot")
    assert "Reflow: Wave bar as paste instead of Sn42Bi58, peak 252 °C" in found


def test_a_baseline_knows_its_findings():
    made = case(part(limit_c=170.0))
    baseline = Baseline(made)
    assert all(baseline.finding(finding.key) == finding for finding in assess(made).findings)
