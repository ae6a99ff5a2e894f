"""What decides and what does not; the declared directions; ranges against their corners."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.checks.build import ENVIRONMENT, SAC, case, elements, found, part, reflow, route, verdicts
from webapp.checks.declare import Worse, registry
from webapp.checks.verdicts import Verdict, Why, why_of
from webapp.trade.facts import Claim, Declaration, Scope
from webapp.trade.masks import BallAlloy, Finish

PART_NUMBERS = {"limit_c": (60.0, 300.0), "passes": (0.0, 5.0), "self_heating_k": (0.0, 90.0)}
SETUP_NUMBERS = {"t_max_c": (-20.0, 130.0), "board_heating_k": (0.0, 60.0)}
NUMBERS = [
    (check.id, need)
    for check in registry().values()
    for need in check.needs
    if need.worse is not None and need.name in PART_NUMBERS | SETUP_NUMBERS
]
NUMBER_IDS = [f"{check}-{need.name}" for check, need in NUMBERS]
QUICK = settings(max_examples=25, deadline=None)
SIDES = ("bottom",)
STEPS = (reflow(side="bottom"), reflow(side="top"))


def with_number(name, value):
    """A case in which the number ``name`` of part or environment has this value or range."""
    if name in PART_NUMBERS:
        return case(part("power_semi", **{"limit_c": 250.0, "passes": 3.0, "self_heating_k": 0.0} | {name: value}))
    return case(environment=replace(ENVIRONMENT, **{name: value}))


def gravity(check, made):
    return max(verdicts(check, made))


def test_every_number_a_check_needs_is_tried():
    told = {need.name for check in registry().values() for need in check.needs if need.worse is not None}
    assert told == PART_NUMBERS.keys() | SETUP_NUMBERS.keys()


@pytest.mark.parametrize(("check", "need"), NUMBERS, ids=NUMBER_IDS)
@QUICK
@given(data=st.data())
def test_a_value_moved_in_the_worse_direction_never_improves_the_verdict(check, need, data):
    low, high = (PART_NUMBERS | SETUP_NUMBERS)[need.name]
    values = sorted(data.draw(st.tuples(st.floats(low, high), st.floats(low, high))))
    better, worse = values if need.worse is Worse.HIGH else reversed(values)
    assert gravity(check, with_number(need.name, worse)) >= gravity(check, with_number(need.name, better))


@pytest.mark.parametrize("name", sorted(PART_NUMBERS))
@pytest.mark.parametrize("check", ["body-limit", "passes", "joint-runs-hot"])
@QUICK
@given(data=st.data())
def test_a_narrower_range_is_never_worse_than_the_worst_value_of_the_wider(check, name, data):
    low, high = PART_NUMBERS[name]
    a, b, c, d = sorted(data.draw(st.tuples(*[st.floats(low, high)] * 4)))
    ends = [gravity(check, with_number(name, end)) for end in (a, d)]
    narrow, wide = (gravity(check, with_number(name, span)) for span in ((b, c), (a, d)))
    assert narrow <= max(ends)
    assert wide <= max(ends)
    # Knowing less never turns an open point into a fine one.
    assert (narrow < Verdict.PROVE) or (wide >= Verdict.PROVE)


def why(check, made):
    found_elements = elements(check, made)
    return Verdict(int(found_elements.verdict[0])), why_of(int(found_elements.why[0]))


class TestWhatMayDecide:
    def test_a_limit_from_memory_asks_for_proof_where_one_from_a_data_sheet_blocks(self):
        # Chip resistors stand at most 260 °C, the table says from memory; 300 °C is reached.
        hot = (reflow(SAC, 300.0),)
        assert why("body-limit", case(part("chip_resistor"), steps=hot)) == (Verdict.PROVE, Why.MEMORY)
        assert why("body-limit", case(part("chip_resistor", limit_c=260.0), steps=hot)) == (
            Verdict.BLOCKS,
            Why.CERTAIN,
        )

    def test_a_field_that_is_only_assumed_does_not_weaken_what_fails_without_it(self):
        # The terminals hold lead for certain; that there are no balls is only assumed from the class.
        assert why("lead-pickup", case(part("chip_resistor", finish=Finish.E0))) == (Verdict.BLOCKS, Why.CERTAIN)
        # 110 °C of air and board is 0.93 of 139 °C in kelvin, however little the part heats itself.
        hot = replace(ENVIRONMENT, t_max_c=105.0)
        assert why("joint-runs-hot", case(environment=hot)) == (Verdict.BLOCKS, Why.CERTAIN)

    def test_lead_in_balls_counts_though_the_finish_is_assumed(self):
        made = case(part("array", balls=BallAlloy.TIN_LEAD, declared=()))
        assert why("lead-pickup", made) == (Verdict.BLOCKS, Why.CERTAIN)

    def test_of_several_possible_balls_the_one_that_melts_highest_decides(self):
        # 222 °C melts SAC305 (liquidus 220), not SAC105 (226 to 227).
        balls = BallAlloy.SAC_HIGH_SILVER | BallAlloy.SAC_LOW_SILVER
        steps = (reflow(SAC, 230.0),)
        assert why("ball-mixing", case(part("array", balls=balls), steps=steps))[0] is Verdict.PROVE
        only = case(part("array", balls=BallAlloy.SAC_HIGH_SILVER), steps=steps)
        assert why("ball-mixing", only)[0] is Verdict.FINE


class TestDeclarations:
    def test_a_bound_on_self_heating_settles_power_parts(self):
        bound = Declaration(Claim.SELF_HEATING_AT_MOST, Scope.BOM, "thermal image", number=10.0)
        assert verdicts("joint-runs-hot", case(part("power_semi"))) == [Verdict.PROVE]
        assert verdicts("joint-runs-hot", case(part("power_semi", declared=(bound,)))) == [Verdict.FINE]

    def test_what_is_stated_of_the_part_stands_against_the_declaration(self):
        bound = Declaration(Claim.SELF_HEATING_AT_MOST, Scope.BOM, "thermal image", number=10.0)
        hot = part("power_semi", declared=(bound,), self_heating_k=70.0)
        assert verdicts("joint-runs-hot", case(hot)) == [Verdict.BLOCKS]

    def test_a_blanket_does_not_settle_a_class_of_high_lead_risk_a_maker_does(self):
        maker = Declaration(Claim.LEAD_FREE, Scope.MAKER, "letter", scope_key="kelvarn")
        assert verdicts("finish-unknown", case(part("hermetic"))) == [Verdict.PROVE]
        assert verdicts("finish-unknown", case(part("hermetic", declared=(maker,)))) == [Verdict.FINE]


def test_the_datum_named_is_the_one_that_settles_it():
    # The limit is known and low enough for no pass after the first; only the side decides.
    made = case(part(passes=1.0), steps=STEPS)
    assert [finding.need for finding in found(made, "passes")] == ["position"]
    assert [f.need for f in found(case(part("power_semi")), "joint-runs-hot")] == ["self_heating_k"]


def test_without_lines_there_is_nothing_to_say_of_lines():
    made = replace(case(), lines=[], parts=[])
    assert elements("body-limit", made).verdict.size == 0
    assert elements("later-heat", replace(made, route=route())).verdict.size == 0
