"""What findings say where a plain sentence would be milder, or other, than the facts."""

from dataclasses import replace

import pytest

from tests.checks.build import BOARD, LOW, SAC, case, found, part, reflow, with_environment
from webapp.checks.verdicts import Verdict
from webapp.trade.masks import BallAlloy, BoardFinish
from webapp.trade.route import Side

ENIG, OSP, LEAD = BoardFinish.ENIG, BoardFinish.OSP, BoardFinish.HASL_LEAD
TWO_LOW = (reflow(LOW, 180.0, Side.BOTTOM), reflow(LOW, 180.0, Side.TOP))
SAC_FIRST = (reflow(SAC, 245.0, Side.BOTTOM), reflow(LOW, 180.0, Side.TOP))


def board_findings(finish, steps):
    return found(case(board=replace(BOARD, finish=finish), steps=steps), "board-finish")


class TestBoardFinish:
    def test_osp_is_asked_about_only_after_a_hot_pass(self):
        # Common practice, no source: OSP outlives low passes better than one at 245 °C.
        assert board_findings(OSP, TWO_LOW) == []
        (finding,) = board_findings(OSP, SAC_FIRST)
        assert finding.verdict is Verdict.PROVE
        assert finding.sentence.startswith("OSP that has been through a hot pass")

    @pytest.mark.parametrize(
        ("finish", "words"),
        [(ENIG | LEAD, "Several finishes are given"), (BoardFinish.everything(), "The board's finish is not given")],
    )
    def test_several_given_are_not_none_given(self, finish, words):
        (finding,) = board_findings(finish, TWO_LOW)
        assert finding.sentence.startswith(words)


def test_joints_above_their_melting_are_called_molten():
    # 140 + 5 °C; Sn42Bi58 melts at 139 °C.
    (finding,) = found(case(environment=with_environment(t_max_c=140.0)), "joint-runs-hot")
    assert "where they are molten" in finding.sentence
    (finding,) = found(case(environment=with_environment(t_max_c=110.0)), "joint-runs-hot")
    assert "too close to their melting" in finding.sentence


def test_no_ball_is_said_to_mix_with_a_paste_that_does_not_melt():
    ball = part("array", balls=BallAlloy.SAC_HIGH_SILVER)
    cold = case(ball, steps=(reflow(SAC, 180.0),))
    assert found(cold, "ball-mixing") == []
    assert [finding.verdict for finding in found(cold, "joint-forms")] == [Verdict.BLOCKS]
    assert len(found(case(ball), "ball-mixing")) == 1


def test_above_all_that_is_assumed_is_not_said_to_be_perhaps_too_hot():
    display, unsure = part("display"), part("film_smd")
    (finding,) = found(case(display), "body-limit")
    assert finding.verdict is Verdict.PROVE
    assert "180 °C at reflow is more than what is assumed of" in finding.sentence
    (finding,) = found(case(unsure, steps=(reflow(SAC, 235.0),)), "body-limit")
    assert "may be too hot" in finding.sentence
