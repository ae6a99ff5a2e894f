"""What later steps do to the side that meets them. First melting of Sn42Bi58: 139 °C (table of onsets), so 150 °C melts
it and 120 °C, 10 K of margin and no spread, does not."""

from dataclasses import replace

import pytest

from tests.checks.build import LOW, SAC, case, found, part, reflow, verdicts
from webapp.checks.exposure import is_given, reached_c
from webapp.checks.verdicts import Verdict
from webapp.trade.masks import Mounting
from webapp.trade.route import Side, Step, StepKind

BOTTOM, TOP = Side.BOTTOM, Side.TOP
BOTH = (reflow(side=BOTTOM), reflow(side=TOP))
WAVE = Step(StepKind.WAVE, alloy=SAC, peak_c=255.0, neighbour_c=120.0)
BATH, PALLET = replace(WAVE, wave_side_c=255.0), replace(WAVE, wave_side_c=120.0)
PARTS, SIDES = (part(key="below"), part(key="above")), ("bottom", "top")


def waved(wave, sides=SIDES):
    return case(*PARTS, steps=(*BOTH, wave), sides=sides)


class TestWave:
    def test_joints_in_the_bath_melt_those_on_the_other_side_do_not(self):
        (finding,) = found(waved(BATH), "later-heat")
        assert (finding.verdict, finding.refdes, finding.value) == (Verdict.BLOCKS, ("X1", "X2"), 255.0)
        assert found(waved(BATH), "heat-not-given") == []

    def test_a_pallet_keeps_them_cool(self):
        assert found(waved(PALLET), "later-heat") == found(waved(PALLET), "heat-not-given") == []

    def test_whether_there_is_a_pallet_is_asked_once_for_the_step(self):
        (finding,) = found(waved(WAVE), "heat-not-given")
        assert (finding.verdict, finding.step, finding.lines) == (Verdict.PROVE, 2, ())
        assert "lie in the bath unless a pallet covers them" in finding.sentence
        assert found(waved(WAVE), "later-heat") == []

    def test_it_is_not_asked_where_nothing_is_on_that_side(self):
        assert found(waved(WAVE, ("top", "top")), "heat-not-given") == []
        # The other way round: the top in the wave, nothing there.
        turned = replace(WAVE, side=TOP)
        assert found(waved(turned, ("bottom", "bottom")), "heat-not-given") == []

    def test_without_a_side_the_hotter_counts_and_the_side_decides(self):
        (finding,) = found(waved(BATH, ()), "later-heat")
        assert (finding.verdict, finding.need) == (Verdict.PROVE, "position")

    def test_bodies_in_the_bath(self):
        made = case(part(limit_c=200.0), steps=(*BOTH, BATH), sides=["bottom"])
        (finding,) = found(made, "body-limit")
        assert (finding.verdict, finding.value, finding.step) == (Verdict.BLOCKS, 255.0, 2)

    def test_glued_parts_are_soldered_by_the_wave_that_meets_their_side(self):
        smd = part(mounting=Mounting.SMD)
        assert found(case(smd, steps=(reflow(side=TOP), BATH), sides=["bottom"]), "through-hole") == []
        (finding,) = found(case(smd, steps=(reflow(side=TOP),), sides=["bottom"]), "through-hole")
        assert finding.sentence.startswith("No step of the route joins this part")


@pytest.mark.parametrize(
    ("step", "side", "reached", "given"),
    [
        (reflow(), TOP, 180.0, True),
        (Step(StepKind.CURE, peak_c=120.0), None, 120.0, True),
        (Step(StepKind.CURE), None, None, False),
        (Step(StepKind.SELECTIVE, peak_c=290.0, neighbour_c=90.0), BOTTOM, 90.0, True),
        (WAVE, None, 120.0, False),
        (BATH, None, 255.0, True),
        (BATH, TOP, 120.0, True),
        (replace(BATH, side=TOP), TOP, 255.0, True),
    ],
)
def test_what_a_side_reaches(step, side, reached, given):
    assert (reached_c(step, side), is_given(step, side)) == (reached, given)


class TestOneCauseOneFinding:
    def test_heat_beside_a_local_step_is_one_finding_of_the_step(self):
        # Joints that melt at 95, 139 and 217 °C: three limits, one question.
        steps = (reflow(SAC, 245.0, BOTTOM), reflow(LOW, 180.0, TOP), replace(WAVE, neighbour_c=None))
        made = case(*PARTS, part(key="also"), steps=steps, sides=[*SIDES, "top"])
        assert len(found(made, "heat-not-given")) == 1
        assert found(made, "later-heat") == []

    def test_a_bake_is_said_once(self):
        made = case(steps=(reflow(), Step(StepKind.BAKE, peak_c=150.0, spread_k=3.0, hours=4.0)))
        (finding,) = found(made, "bake-after-join")
        assert (finding.verdict, finding.value) == (Verdict.BLOCKS, 153.0)
        assert found(made, "later-heat") == []
        # A bake without a temperature is asked for by the check on bakes alone.
        made = case(steps=(reflow(), Step(StepKind.BAKE)))
        assert [len(found(made, check)) for check in ("bake-after-join", "heat-not-given")] == [1, 0]

    def test_the_cure_of_an_underfill_is_later_heat_what_follows_is_enclosed(self):
        cure = Step(StepKind.UNDERFILL, peak_c=150.0, hours=0.5)
        made = case(steps=(reflow(), cure))
        assert [len(found(made, check)) for check in ("later-heat", "inside-underfill")] == [1, 0]
        made = case(steps=(reflow(), replace(cure, peak_c=100.0), replace(cure, kind=StepKind.CURE)))
        (finding,) = found(made, "inside-underfill")
        assert (finding.verdict, finding.value) == (Verdict.BLOCKS, 150.0)


def test_pressed_in_parts_want_a_step_that_presses():
    pressed = part("press_fit", mounting=Mounting.PRESS_FIT)
    steps = (reflow(), Step(StepKind.SELECTIVE, alloy=SAC, peak_c=290.0, neighbour_c=90.0))
    (finding,) = found(case(pressed, steps=steps), "through-hole")
    assert finding.verdict is Verdict.PROVE
    assert found(case(pressed, steps=(*steps, Step(StepKind.PRESS_FIT))), "through-hole") == []
    # What is fitted by hand or plugged needs no step.
    assert max(verdicts("through-hole", case(part("cell", mounting=Mounting.HAND), steps=steps))) == Verdict.NONE
