"""Melting and mixing: do the joints form at the peak, does the ball melt, is lead in them."""

import numpy as np

from webapp.checks.columns import Inputs
from webapp.checks.declare import Check, Family, Need, Outcome, Scope, Told, blank, register
from webapp.checks.heat import POSITION
from webapp.checks.joints import ball_alloys, is_lead_certain, made_with_bismuth
from webapp.checks.verdicts import Verdict
from webapp.trade.alloys import alloys
from webapp.trade.classes import PartClass
from webapp.trade.masks import BallAlloy, Finish
from webapp.trade.practice import practice_figure
from webapp.trade.ranges import number_text
from webapp.trade.route import Step, StepKind
from webapp.trade.sources import Kind, Source, Status

SUPERHEAT_K = 10.0
SHORTEST_ABOVE_S = 30.0

_LEAD_FINISH = int(Finish.E0 | Finish.E9)
_ARRAY = int(PartClass.ARRAY)
_LEAD_BALLS = int(BallAlloy.TIN_LEAD | BallAlloy.HIGH_LEAD)
_ALLOYS = Source(Kind.STANDARD, "J-STD-006 and ISO 9453, calculated melting", Status.DERIVED, "table of alloys")
_SUPERHEAT = Source(Kind.ASSUMED, "10 K and 30 s above melting", Status.PRACTICE)
_LEAD = practice_figure("lead_onset_c").source
_J609 = Source(Kind.STANDARD, "J-STD-609", Status.OPENED, "terminal finish categories")


def _joint_forms(inputs: Inputs) -> Outcome:
    shape = (len(inputs.steps),)
    verdict, value, limit = np.full(shape, Verdict.NONE, dtype=np.int8), blank(shape), blank(shape)
    for j, step in enumerate(inputs.steps):
        alloy = alloys().get(step.alloy or "")
        if step.kind is not StepKind.REFLOW or alloy is None:
            continue
        value[j] = np.nan if step.joint_min_c is None else step.joint_min_c
        limit[j] = alloy.melted_c + SUPERHEAT_K
        verdict[j] = _forms(step, alloy.melted_c)
    return Outcome(verdict, value, limit)


def _forms(step: Step, melted_c: float) -> Verdict:
    if step.joint_min_c is None:
        return Verdict.PROVE
    if step.joint_min_c < melted_c:
        return Verdict.BLOCKS
    if step.joint_min_c < melted_c + SUPERHEAT_K:
        return Verdict.CHANGE
    if step.above_melting_s is None:
        return Verdict.PROVE
    return Verdict.CHANGE if step.above_melting_s < SHORTEST_ABOVE_S else Verdict.FINE


def _say_joint_forms(told: Told) -> str:
    if told.value is None:
        return f"{told.step}: the peak is not given, so whether {told.alloy} joints form is open."
    coldest, wanted = number_text(told.value), number_text(told.limit or 0)
    if told.verdict is Verdict.BLOCKS:
        return f"{told.step}: the coldest joint reaches {coldest} °C and {told.alloy} is not molten there."
    if told.value < (told.limit or 0):
        return f"{told.step}: the coldest joint reaches {coldest} °C; {told.alloy} wants {wanted} °C to wet safely."
    return f"{told.step}: the time above melting is not given or shorter than {SHORTEST_ABOVE_S:g} s."


JOINT_FORMS = register(
    Check(
        id="joint-forms",
        title="Joints form at the peak",
        family=Family.MELTING,
        scope=Scope.STEP,
        question="Does the coldest joint of each pass get hot enough, long enough, for the paste to melt and wet?",
        needs=(),
        sources=(_ALLOYS, _SUPERHEAT),
        evaluate=_joint_forms,
        explain=_say_joint_forms,
        reaches=True,
        remedies={
            Verdict.BLOCKS: ("Raise the peak.", "Choose a paste that melts lower."),
            Verdict.CHANGE: ("Raise the peak, reduce the spread over the board, or stay longer above melting.",),
            Verdict.PROVE: ("Give peak and time above melting of the step.",),
        },
    )
)


def _ball_mixing(inputs: Inputs) -> Outcome:
    shape = (len(inputs),)
    verdict, value, limit = np.full(shape, Verdict.NONE, dtype=np.int8), blank(shape), blank(shape)
    balls = inputs.mask("balls")
    is_array = (inputs.mask("classes") & _ARRAY) != 0
    for j, step in enumerate(inputs.steps):
        here = (inputs.made == j) & (balls != 0) & is_array
        if not here.any() or step.joint_min_c is None:
            continue
        for bits in np.unique(balls[here]):
            # Of several possible balls the one that melts highest decides at the worst.
            melts = (max if inputs.is_worst("balls") else min)(alloy.liquidus_c for alloy in ball_alloys(int(bits)))
            chosen = here & (balls == bits)
            verdict[chosen] = Verdict.FINE if step.joint_min_c >= melts else Verdict.PROVE
            value[chosen], limit[chosen] = step.joint_min_c, melts
    return Outcome(verdict, value, limit)


def _say_ball_mixing(told: Told) -> str:
    coldest, melts = number_text(told.value or 0), number_text(told.limit or 0)
    if told.missing:
        return f"Not known for {told.who}: {told.missing}. Balls that melt at {melts} °C stay solid at {coldest} °C."
    return (
        f"The balls melt at {melts} °C, the joints reach {coldest} °C: the ball stays solid, the joint is a hybrid "
        f"and does not collapse. Prove it by section and test."
    )


BALL_MIXING = register(
    Check(
        id="ball-mixing",
        title="Balls that do not melt",
        family=Family.MELTING,
        scope=Scope.LINE,
        question="Do the balls of array packages melt in their pass, or do they make hybrid joints?",
        needs=(
            Need("classes", "whether it is an array package", bad=_ARRAY),
            Need("balls", "alloy of the balls"),
            POSITION,
        ),
        sources=(_ALLOYS,),
        evaluate=_ball_mixing,
        explain=_say_ball_mixing,
        reaches=True,
        remedies={
            Verdict.PROVE: (
                "Section and test the hybrid joint.",
                "Ask the maker for low-temperature balls.",
                "Raise the peak above the ball's melting, if bodies and route allow it.",
            )
        },
    )
)


def _lead_pickup(inputs: Inputs) -> Outcome:
    applies = made_with_bismuth(inputs)
    verdict = np.where(applies, np.where(is_lead_certain(inputs), Verdict.BLOCKS, Verdict.FINE), Verdict.NONE)
    onset = practice_figure("lead_onset_c").value
    return Outcome(verdict.astype(np.int8), np.where(applies, onset, np.nan), blank((len(inputs),)))


def _say_lead_pickup(told: Told) -> str:
    return (
        f"Lead in the wetted terminals or balls: with bismuth and tin the joint begins to melt at "
        f"{number_text(told.value or 0)} °C."
    )


LEAD_PICKUP = register(
    Check(
        id="lead-pickup",
        title="Lead in bismuth joints",
        family=Family.MELTING,
        scope=Scope.LINE,
        question="Does a terminal or ball bring lead into a joint made with bismuth?",
        needs=(Need("finish", "terminal finish"), Need("balls", "alloy of the balls"), POSITION),
        sources=(_LEAD, _J609),
        evaluate=_lead_pickup,
        explain=_say_lead_pickup,
        remedies={
            Verdict.BLOCKS: (
                "Buy the part with a lead-free finish, or have it re-finished.",
                "Solder it apart from the bismuth joints, with another alloy.",
            )
        },
    )
)


def _finish_unknown(inputs: Inputs) -> Outcome:
    applies = made_with_bismuth(inputs) & ~is_lead_certain(inputs)
    lead = ((inputs.mask("finish") & _LEAD_FINISH) != 0) | ((inputs.mask("balls") & _LEAD_BALLS) != 0)
    verdict = np.where(applies, np.where(lead, Verdict.BLOCKS, Verdict.FINE), Verdict.NONE)
    return Outcome(verdict.astype(np.int8), blank((len(inputs),)), blank((len(inputs),)))


def _say_finish_unknown(told: Told) -> str:
    return (
        f"Lead in the terminals of {told.who} is not ruled out. One declaration over makers or the whole site settles "
        f"most of it."
    )


FINISH_UNKNOWN = register(
    Check(
        id="finish-unknown",
        title="Lead not ruled out",
        family=Family.MELTING,
        scope=Scope.LINE,
        question="For which parts is it not known that their terminals are free of lead?",
        needs=(
            Need("finish", "terminal finish (a lead-free declaration)", bad=_LEAD_FINISH),
            Need("balls", "alloy of the balls (a lead-free declaration)", bad=_LEAD_BALLS),
            POSITION,
        ),
        sources=(_LEAD, _J609),
        evaluate=_finish_unknown,
        explain=_say_finish_unknown,
        unit="",
        wrong_fine_hurts=True,
        remedies={
            Verdict.PROVE: (
                "Record the suppliers' lead-free declaration for the site or the makers.",
                "For old or military stock: ask for the finish of each part, or measure it (X-ray fluorescence).",
            )
        },
    )
)
