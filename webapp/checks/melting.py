"""Melting: do the joints form at the peak, and is lead in them."""

from dataclasses import dataclass

import numpy as np

from webapp.checks.declare import Check, Family, Need, Outcome, Scope, Told, blank, register
from webapp.checks.heat import POSITION
from webapp.checks.hybrids import BALL_SIZES, DEPOSIT_FIGURES, MIXING
from webapp.checks.inputs import Inputs
from webapp.checks.joints import composition_of, is_lead_certain, made_with_bismuth
from webapp.checks.lead import LEAD_FIGURES, lead_wt_pct
from webapp.checks.verdicts import Verdict
from webapp.science.melting import NotCovered, freezing
from webapp.trade.alloys import Alloy
from webapp.trade.composition import Composition, mixed
from webapp.trade.masks import LEAD_BALLS, LEAD_FINISHES
from webapp.trade.practice import practice_figure
from webapp.trade.ranges import Span, degrees_text, number_text
from webapp.trade.route import Step, StepKind
from webapp.trade.sources import Kind, Source, Status

_PURE_LEAD = Composition.of({"Pb": 100})
_AT_EUTECTIC_C = 100.0
_ALLOYS = Source(Kind.STANDARD, "J-STD-006 and ISO 9453, calculated melting", Status.DERIVED, "table of alloys")
_SUPERHEAT = Source(Kind.ASSUMED, "superheat and time above melting; figures of the site", Status.PRACTICE)
_WINDOW = Source(Kind.DATASHEET, "window of the paste, where a step names one", Status.ENTERED)
_LEAD = practice_figure("lead_onset_c").source
_J609 = Source(Kind.STANDARD, "J-STD-609", Status.OPENED, "terminal finish categories")


def _joint_forms(inputs: Inputs) -> Outcome:
    shape = (len(inputs.steps),)
    verdict, value, limit = np.full(shape, Verdict.NONE, dtype=np.int8), blank(shape), blank(shape)
    names = ("melted_c", "shortest_s", "longest_s", "peak_c", "hottest_c")
    detail = {name: blank(shape) for name in names}
    for j, step in enumerate(inputs.steps):
        alloy = inputs.route.alloy(j)
        if step.kind is not StepKind.REFLOW or alloy is None:
            continue
        window = _window(inputs, step, alloy)
        value[j] = np.nan if step.joint_min_c is None else step.joint_min_c
        limit[j] = window.coldest_c
        told = (alloy.melted_c, window.above_s.low, window.above_s.high, step.peak_c, window.hottest_c)
        for name, number in zip(names, told, strict=True):
            detail[name][j] = np.nan if number is None else number
        verdict[j] = _forms(step, alloy.melted_c, window)
    return Outcome(verdict, value, limit, detail)


@dataclass(frozen=True, slots=True)
class _Window:
    """What a paste wants: coldest and hottest joint, °C, and seconds above melting."""

    coldest_c: float
    hottest_c: float
    above_s: Span


def _window(inputs: Inputs, step: Step, alloy: Alloy) -> _Window:
    """Of the paste's data sheet where the step names one; the site's figures hold in any case."""
    coldest_c = alloy.melted_c + inputs.figure("superheat_k")
    paste = inputs.route.site.materials.paste(step.paste)
    if paste is None:
        return _Window(coldest_c, np.inf, Span(inputs.figure("shortest_above_s"), np.inf))
    return _Window(max(coldest_c, paste.peak_c.low), paste.peak_c.high, paste.above_liquidus_s)


def _forms(step: Step, melted_c: float, window: _Window) -> Verdict:
    if step.joint_min_c is None or step.peak_c is None:
        return Verdict.PROVE
    if step.joint_min_c < melted_c:
        return Verdict.BLOCKS
    if step.joint_min_c < window.coldest_c or step.peak_c > window.hottest_c:
        return Verdict.CHANGE
    if step.above_melting_s is None:
        return Verdict.PROVE
    return Verdict.FINE if window.above_s.contains(step.above_melting_s) else Verdict.CHANGE


def _say_joint_forms(told: Told) -> str:
    if told.value is None:
        return f"{told.step}: the peak is not given, so whether {told.alloy} joints form is open."
    coldest, wanted = degrees_text(told.value), degrees_text(told.allowed)
    if told.verdict is Verdict.BLOCKS:
        melted = degrees_text(told.detail["melted_c"])
        return (
            f"{told.step}: the coldest joint reaches {coldest} °C; {told.alloy} is 99 % liquid only at {melted} °C and "
            f"wants {wanted} °C."
        )
    if told.value < told.allowed:
        if told.allowed > told.detail["melted_c"] + told.figures["superheat_k"]:
            return (
                f"{told.step}: the coldest joint reaches {coldest} °C; the window of its paste begins at {wanted} °C."
            )
        return f"{told.step}: the coldest joint reaches {coldest} °C; {told.alloy} wants {wanted} °C to wet safely."
    if told.detail["peak_c"] > told.detail["hottest_c"]:
        peak, hottest = (number_text(told.detail[name]) for name in ("peak_c", "hottest_c"))
        return f"{told.step}: the hottest joint reaches {peak} °C; the window of its paste ends at {hottest} °C."
    span = Span(told.detail["shortest_s"], told.detail["longest_s"]).text("s")
    if told.verdict is Verdict.PROVE:
        return f"{told.step}: the time above melting is not given; {told.alloy} wants {span}."
    return f"{told.step}: {told.alloy} wants {span} above melting, and does not get it."


JOINT_FORMS = register(
    Check(
        id="joint-forms",
        title="Joints form at the peak",
        family=Family.MELTING,
        scope=Scope.STEP,
        question="Does the coldest joint of each pass get hot enough, long enough, for the paste to melt and wet?",
        needs=(),
        sources=(_ALLOYS, _WINDOW, _SUPERHEAT),
        evaluate=_joint_forms,
        explain=_say_joint_forms,
        reaches=True,
        figures=("superheat_k", "shortest_above_s"),
        prints=True,
        version=2,
        remedies={
            Verdict.BLOCKS: ("Raise the peak.", "Choose a paste that melts lower."),
            Verdict.CHANGE: ("Bring peak, spread over the board and time above melting into the paste's window.",),
            Verdict.PROVE: ("Give peak and time above melting of the step.",),
        },
    )
)


def _lead_pickup(inputs: Inputs) -> Outcome:
    shape = (len(inputs), len(inputs.steps))
    verdict, value = np.full(shape, Verdict.NONE, dtype=np.int8), blank(shape)
    most = blank(shape)
    floor = inputs.figure("lead_floor_wt_pct")
    applies, certain = made_with_bismuth(inputs), is_lead_certain(inputs)
    for j in np.unique(inputs.made[applies]).tolist():
        here = applies & (inputs.made == j)
        verdict[here, j] = Verdict.FINE
        sure = np.flatnonzero(here & certain)
        low, high = lead_wt_pct(inputs, j, sure)
        value[sure, j], most[sure, j] = low.round(2), high.round(2)
        near = np.where(high >= floor * inputs.figure("lead_near_share"), Verdict.PROVE, Verdict.FINE)
        verdict[sure, j] = np.where(low >= floor, Verdict.BLOCKS, near)
    return Outcome(verdict, value, np.where(np.isnan(value), np.nan, floor), {"most": most})


def _say_lead_pickup(told: Told) -> str:
    most = told.detail["most"]
    amount = Span(round(told.reached, 1), max(round(most, 1), round(told.reached, 1))).text("wt% lead")
    onset = number_text(practice_figure("lead_onset_c").value)
    if told.missing:
        return f"Terminals or balls hold lead, {amount} of the joint; whether bismuth meets it, the side decides."
    words = f"Terminals or balls bring {amount} into the joints: with bismuth and tin they begin to melt at {onset} °C"
    melting = _melting_at_onset(told.joint, told.reached, most)
    return f"{words}, {melting.text('%')} of the joint there." if melting else f"{words}."


def _melting_at_onset(solder: Alloy | None, low: float, high: float) -> Span | None:
    """Per cent of a joint that is liquid at the eutectic with lead, as it freezes in; None where it is not calculated.

    The data put that eutectic at 98.0 °C where 95.3 °C is measured: what is liquid at 100 °C here melts at 95 °C.
    """
    if solder is None:
        return None
    shares = []
    for lead in (low, high):
        joint = mixed({composition_of(solder): 100 - lead, _PURE_LEAD: lead})
        found = freezing(joint.rounded(1))
        if isinstance(found, NotCovered):
            return None
        shares.append(round(100 * found.left_at[_AT_EUTECTIC_C], 1))
    return Span(min(shares), max(shares))


LEAD_PICKUP = register(
    Check(
        id="lead-pickup",
        title="Lead in bismuth joints",
        family=Family.MELTING,
        scope=Scope.LINE_STEP,
        question="How much lead does a terminal or ball bring into a joint made with bismuth?",
        needs=(
            Need("finish", "terminal finish", worse_is="a kind with lead"),
            Need("balls", "alloy of the balls", worse_is="a kind with lead"),
            *BALL_SIZES,
            POSITION,
        ),
        sources=(_LEAD, _J609, MIXING),
        evaluate=_lead_pickup,
        explain=_say_lead_pickup,
        unit="wt%",
        figures=("lead_floor_wt_pct", "lead_near_share", *LEAD_FIGURES, *DEPOSIT_FIGURES),
        prints=True,
        version=2,
        remedies={
            Verdict.BLOCKS: (
                "Buy the part with a lead-free finish, or have it re-finished.",
                "Solder it apart from the bismuth joints, with another alloy.",
            ),
            Verdict.PROVE: ("Measure the lead in the joints, or the melting of one, by thermal analysis.",),
        },
    )
)


def _finish_unknown(inputs: Inputs) -> Outcome:
    applies = made_with_bismuth(inputs) & ~is_lead_certain(inputs)
    lead = ((inputs.mask("finish") & LEAD_FINISHES) != 0) | ((inputs.mask("balls") & LEAD_BALLS) != 0)
    verdict = np.where(applies, np.where(lead, Verdict.BLOCKS, Verdict.FINE), Verdict.NONE)
    return Outcome(verdict.astype(np.int8), blank((len(inputs),)), blank((len(inputs),)))


def _say_finish_unknown(told: Told) -> str:
    open_ = f"Lead in the terminals of {told.who} is not ruled out"
    if told.missing == POSITION.datum:
        return f"{open_}; whether bismuth meets it, the side decides."
    return f"{open_}. One declaration over makers or the whole site settles most of it."


FINISH_UNKNOWN = register(
    Check(
        id="finish-unknown",
        title="Lead not ruled out",
        family=Family.MELTING,
        scope=Scope.LINE,
        question="For which parts is it not known that their terminals are free of lead?",
        needs=(
            Need("finish", "terminal finish (a lead-free declaration)", bad=LEAD_FINISHES),
            Need("balls", "alloy of the balls (a lead-free declaration)", bad=LEAD_BALLS),
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
