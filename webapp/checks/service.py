"""In service: how hot joints run against where they melt."""

import numpy as np

from webapp.checks.declare import Check, Family, Need, Outcome, Scope, Told, Worse, register
from webapp.checks.heat import POSITION
from webapp.checks.inputs import Inputs
from webapp.checks.joints import KELVIN, joint_onsets_c
from webapp.checks.verdicts import Verdict
from webapp.trade.ranges import degrees_text, number_text
from webapp.trade.sources import Kind, Source, Status
from webapp.trade.words import capital

_SHARES = Source(Kind.ASSUMED, "shares of the first melting, in kelvin; figures of the site", Status.PRACTICE)
_FIGURES = ("service_fine_share", "service_prove_share", "service_change_share")


def _runs_hot(inputs: Inputs) -> Outcome:
    onsets = joint_onsets_c(inputs)
    hot = inputs.setup("t_max_c") + inputs.setup("board_heating_k") + inputs.number("self_heating_k")
    share = (hot + KELVIN) / (onsets + KELVIN)
    fine, prove, change = map(inputs.figure, _FIGURES)
    verdict = np.select(
        [np.isnan(onsets), share <= fine, share <= prove, share <= change],
        [Verdict.NONE, Verdict.FINE, Verdict.PROVE, Verdict.CHANGE],
        Verdict.BLOCKS,
    )
    limit = (fine * (onsets + KELVIN) - KELVIN).round(1)
    return Outcome(verdict.astype(np.int8), hot, limit, {"onset_c": onsets})


def _say_runs_hot(told: Told) -> str:
    limit, onset = number_text(round(told.allowed)), degrees_text(told.detail["onset_c"])
    fine = f"joints that first melt at {onset} °C are fine up to {limit} °C"
    if told.value is None or not np.isfinite(told.value):
        return f"How hot these joints run is not known: {told.missing}. {capital(fine)}."
    hot = number_text(round(told.value))
    if told.verdict is Verdict.BLOCKS:
        state = "where they are molten" if told.value >= told.detail["onset_c"] else "too close to their melting"
        return f"Joints run at {hot} °C, {state}: {fine}."
    if told.verdict is Verdict.CHANGE:
        return f"Joints run at {hot} °C, which needs cooling or an alloy that melts higher: {fine}."
    return f"Joints run at {hot} °C: {fine}, above that life is to be shown."


RUNS_HOT = register(
    Check(
        id="joint-runs-hot",
        title="Joints that run hot",
        family=Family.SERVICE,
        scope=Scope.LINE,
        question="How close do joints run to their first melting, at the highest ambient with self-heating?",
        needs=(
            Need("t_max_c", "highest temperature of the air around the board", Worse.HIGH),
            Need("board_heating_k", "what the board's own heat adds", Worse.HIGH),
            Need("self_heating_k", "self-heating of power parts", Worse.HIGH),
            POSITION,
        ),
        sources=(_SHARES,),
        evaluate=_runs_hot,
        figures=_FIGURES,
        explain=_say_runs_hot,
        by_part=False,
        remedies={
            Verdict.BLOCKS: ("Keep tin-silver-copper for this product.", "Cool the board or derate the part."),
            Verdict.CHANGE: ("Cool the part, spread its heat, or use a higher-melting alloy for it.",),
            Verdict.PROVE: ("Enter or measure the self-heating.", "Show the life at this temperature by test."),
        },
    )
)
