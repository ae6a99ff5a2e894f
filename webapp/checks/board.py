"""The bare board: its finish under bismuth solder at a low peak."""

from collections.abc import Sequence

import numpy as np

from webapp.checks.declare import Check, Family, Need, Outcome, Scope, Told, blank, register
from webapp.checks.inputs import Inputs
from webapp.checks.verdicts import Verdict
from webapp.trade.alloys import Alloy
from webapp.trade.masks import BoardFinish
from webapp.trade.practice import practice_figure
from webapp.trade.ranges import number_text
from webapp.trade.sources import Kind, Source, Status

_LEAD = BoardFinish.HASL_LEAD
_TO_PROVE = BoardFinish.HASL_LEAD_FREE | BoardFinish.IMMERSION_TIN | BoardFinish.CARBON
_GOLD = BoardFinish.HARD_GOLD
_OSP = BoardFinish.OSP


def _board_finish(inputs: Inputs) -> Outcome:
    used = [inputs.route.alloy(position) for position in range(len(inputs.steps))]
    bits = inputs.setup_mask("finish")
    if not any(alloy and alloy.holds_bismuth for alloy in used):
        verdict = Verdict.NONE
    elif bits & _LEAD:
        verdict = Verdict.BLOCKS
    elif bits & _GOLD:
        verdict = Verdict.CHANGE
    else:
        to_prove = _TO_PROVE | (_OSP if _hot_pass_first(used) else 0)
        verdict = Verdict.PROVE if bits & to_prove else Verdict.FINE
    given = inputs.columns.case.board.finish
    detail = {"given": np.array([given != BoardFinish.everything()]), "osp": np.array([bits == _OSP])}
    return Outcome(np.array([verdict], dtype=np.int8), blank((1,)), blank((1,)), detail)


def _hot_pass_first(used: Sequence[Alloy | None]) -> bool:
    """Whether joints of another alloy are made before the first with bismuth."""
    made = [alloy.holds_bismuth for alloy in used if alloy is not None]
    return True in made and False in made[: made.index(True)]


def _say_board_finish(told: Told) -> str:
    if told.verdict is Verdict.BLOCKS:
        onset = number_text(practice_figure("lead_onset_c").value)
        return f"The board is levelled with tin-lead: lead and bismuth make joints that begin to melt at {onset} °C."
    if told.verdict is Verdict.CHANGE:
        return "Hard gold on the lands makes brittle joints; keep it to contacts."
    if told.missing and told.detail["given"]:
        return "Several finishes are given for the board, not all of which suit: state which one it has."
    if told.missing:
        return "The board's finish is not given: tin-lead levelling would block, most others are fine."
    if told.detail["osp"]:
        return "OSP that has been through a hot pass may no longer wet at the low peak: show it with such boards."
    return "This finish is not remelted at the low peak, or may be spent after the first pass: show that it wets."


BOARD_FINISH = register(
    Check(
        id="board-finish",
        title="Board finish",
        family=Family.BOARD,
        scope=Scope.PRODUCT,
        question="Does the board's finish suit bismuth solder at a low peak?",
        needs=(Need("finish", "board finish", bad=_LEAD | _GOLD | _TO_PROVE | _OSP),),
        sources=(
            Source(Kind.STANDARD, "J-STD-609", Status.MEMORY, "board finish codes"),
            Source(Kind.ASSUMED, "OSP is spent by a hot pass", Status.PRACTICE),
            Source(Kind.STANDARD, "effect of lead on tin-bismuth solders, abstract (2001)", Status.OPENED),
        ),
        evaluate=_board_finish,
        explain=_say_board_finish,
        unit="",
        remedies={
            Verdict.BLOCKS: ("Order the board with another finish: immersion gold on nickel, silver, or OSP.",),
            Verdict.CHANGE: ("Order lands without hard gold.",),
            Verdict.PROVE: ("Give the board's finish under Setup.", "Test wetting with aged boards at the low peak."),
        },
    )
)
