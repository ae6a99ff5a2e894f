"""One joint worked out: what its step makes of it, and every heat that follows."""

import pytest

from tests.checks.build import LOW, SAC, case, reflow, with_environment
from tests.desk.test_joints import array, loaded
from webapp.desk import cases
from webapp.desk.joint_detail import Heat, Makes, attention, exposures_after, joint_detail, reheated, work_out
from webapp.desk.joints import arrays_in
from webapp.errors import NotFoundError
from webapp.science.mixing import BallJoint, Deposit, mixed_joint
from webapp.trade.composition import read_composition
from webapp.trade.figures import default_figures
from webapp.trade.route import Step, StepKind

DEPOSIT = Deposit(0.40, 0.10, "round", 0.85, 0.5)
CURE = Step(StepKind.CURE, "coating cure", None, None, 150.0)


def joint(ball="Sn96.5Ag3Cu0.5", paste="Sn42Bi58", peak_c=175.0):
    return BallJoint(read_composition(ball), 0.45, 0.36, 0.36, read_composition(paste), DEPOSIT, peak_c)


def exposures(*later, part=None, **environment):
    made = case(part or array(self_heating_k=0.0), steps=(reflow(LOW, 180.0), *later))
    if environment:
        made = case(
            part or array(self_heating_k=0.0), steps=made.route.steps, environment=with_environment(**environment)
        )
    (only,) = arrays_in(loaded(made)).arrays
    return exposures_after(made, only.steps[0], only.facts)


def test_every_later_heat_then_use_then_what_is_always_looked_at():
    wave = Step(StepKind.WAVE, "", None, SAC, 255.0, neighbour_c=110.0)
    rework = Step(StepKind.REWORK, "rework of the module", None, LOW, 200.0)
    test = Step(StepKind.TEST, "")
    found = exposures(wave, rework, test, CURE)
    assert [(one.name, one.t_c, one.step) for one in found if one.kind is Heat.STEP] == [
        ("wave soldering", 110.0, 2),
        ("rework of the module", None, 3),
        ("coating cure", 150.0, 5),
    ]
    # 40 °C of air and 5 K of the board's own heat.
    assert [(one.t_c, one.at_least) for one in found if one.kind is Heat.USE] == [(45.0, False)]
    assert [one.t_c for one in found if one.kind is Heat.SCREEN] == [100.0, 138.0, 140.0]


def test_a_later_pass_counts_and_an_earlier_does_not():
    made = case(array(), steps=(reflow(LOW, 180.0, "bottom"), reflow(LOW, 185.0, "top")), sides=("top",))
    (only,) = arrays_in(loaded(made)).arrays
    assert [one for one in exposures_after(made, only.steps[0], only.facts) if one.kind is Heat.STEP] == []


def test_use_without_its_data():
    assert [one.t_c for one in exposures(t_max_c=None) if one.kind is Heat.USE] == [None]
    (use,) = [one for one in exposures(part=array(self_heating_k=(5.0, 20.0))) if one.kind is Heat.USE]
    assert (use.t_c, use.at_least) == (50.0, True)


def test_the_band_melts_at_the_cure_and_the_whole_hardly():
    worked = work_out(joint())
    found = reheated(worked, exposures(CURE))
    by_name = {one.exposure.name: one for one in found.exposed}
    cure, use = by_name["coating cure"], by_name["in use"]
    assert cure.melts
    assert cure.band > 0.5 > cure.whole > 0
    assert not use.melts
    assert (use.band, use.whole) == (0.0, 0.0)
    assert worked.makes is Makes.BALL_WHOLE
    assert worked.mixing.band.height_share == pytest.approx(0.154, abs=0.03)
    # The same way as science counts what is left.
    same = mixed_joint(worked.joint, tuple(found.band_way.left_at)).mixing
    assert (same.band.left_at[150.0], same.left_at[150.0]) == (cure.band, cure.whole)


@pytest.mark.parametrize(
    ("changed", "makes", "onset_c"),
    [
        ({}, Makes.BALL_WHOLE, 137),
        ({"ball": "Sn99.3Cu0.7"}, Makes.BALL_WHOLE, 138),
        ({"peak_c": 130.0}, Makes.NOTHING, 137),
        ({"peak_c": 220.0}, Makes.ONE, 137),
        ({"ball": "Sn42Bi58", "paste": "Sn96.5Ag3Cu0.5", "peak_c": 160.0}, Makes.ONE, 137),
        ({"ball": "Sn42Bi58", "paste": "Sn96.5Ag3Cu0.5", "peak_c": 143.0}, Makes.PASTE_WHOLE, 137),
        # Bi-Pb-Sn: 95.3 ± 0.5 °C measured.
        ({"ball": "Sn63Pb37"}, Makes.BALL_WHOLE, 95),
        ({"ball": "Sn50In50"}, Makes.UNKNOWN, 59),
    ],
)
def test_what_the_step_makes_of_ball_and_paste(changed, makes, onset_c):
    worked = work_out(joint(**changed))
    assert worked.makes is makes
    assert worked.onset.onset_c == onset_c
    assert bool(worked.why_not) == (makes is Makes.UNKNOWN)


def test_attention_follows_the_sites_thresholds():
    figures = default_figures()
    thin = work_out(joint())
    assert "thin brittle band" in attention(thin, figures)
    assert "hot tearing" in attention(work_out(joint(peak_c=195.0)), figures)
    source = figures["thick_band_pct"].source
    low = {**figures, "thin_band_pct": figures["thin_band_pct"].set_to(5, source)}
    assert "Nearly through" in attention(thin, {**low, "thick_band_pct": figures["thick_band_pct"].set_to(10, source)})
    assert attention(work_out(joint(peak_c=220.0)), figures) == ""
    assert attention(work_out(joint(ball="Sn50In50")), figures) == ""


class TestStored:
    def test_by_step(self, database, routed, part_id):
        product_id = routed(GATEWAY_ONLY, code="GW-7")
        with database.read() as session:
            case_id, part = cases.find_case(session, product_id).id, part_id("MQ-6410-BG")
            first, second = joint_detail(session, case_id, part), joint_detail(session, case_id, part, 2)
            assert (first.made.number, second.made.number) == (1, 2)
            assert [made.number for _, made in first.others] == [2]
            # The second pass heats what the first has made.
            assert [one.t_c for one in first.exposures if one.step] == [180.0]
            with pytest.raises(NotFoundError, match="Step 9 makes no joints of this part; steps that do: 1, 2"):
                joint_detail(session, case_id, part, 9)
            with pytest.raises(NotFoundError, match="no array package"):
                joint_detail(session, case_id, part_id("GR-103-F"))
            with pytest.raises(NotFoundError):
                joint_detail(session, 99, part)


GATEWAY_ONLY = b"""Designator,Qty,MPN,Manufacturer,Value,Package,Description
R1,1,GR-103-F,Ostrava Caps,10k,0402,"Resistor, 1 %"
U1,1,MQ-6410-BG,Brindmoor,,"BGA-324, 0.8 mm",Processor
"""
