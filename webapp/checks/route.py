"""The route as one system: every joint against every heat that follows it."""

import numpy as np

from webapp.checks.declare import Check, Family, Need, Outcome, Scope, Told, blank, register
from webapp.checks.exposure import (
    SIDES,
    given_by_lines,
    heats_finished,
    is_given,
    reached_by_lines_c,
    reached_c,
    sides_made,
)
from webapp.checks.heat import POSITION
from webapp.checks.hybrids import MIXING
from webapp.checks.inputs import Inputs
from webapp.checks.joints import KELVIN, composition_of, joint_onsets_c, made_solidus_c
from webapp.checks.verdicts import Codes, Values, Verdict
from webapp.science.melting import COLDEST_C, HOTTEST_C, NotCovered, phase_fractions
from webapp.trade.masks import Mounting
from webapp.trade.ranges import degrees_text
from webapp.trade.route import Step, StepKind
from webapp.trade.sources import Kind, Source, Status

_PRACTICE = Source(Kind.ASSUMED, "margins to the first melting; figures of the site", Status.PRACTICE)
_ONSETS = Source(Kind.STANDARD, "published melting of the alloy systems", Status.OPENED, "table of onsets")


def _later_heat(inputs: Inputs) -> Outcome:
    onsets, solidi = joint_onsets_c(inputs), made_solidus_c(inputs)
    shape = (len(inputs), len(inputs.steps))
    verdict, value = np.full(shape, Verdict.NONE, dtype=np.int8), blank(shape)
    for j, step in enumerate(inputs.steps):
        heat = reached_by_lines_c(inputs, step)
        after = (inputs.made < j) & ~np.isnan(onsets) & ~np.isnan(heat)
        is_oven = step.kind is StepKind.REFLOW
        found = _after_reflow(inputs, j, solidi) if is_oven else _after_heat(inputs, step, heat, onsets)
        verdict[after, j] = found[after]
        value[after, j] = heat[after]
    limit = np.broadcast_to(onsets[:, None], shape)
    aged = inputs.figure("long_share") * (limit + KELVIN) - KELVIN
    near = np.array([step.spread_k + inputs.figure("exposure_margin_k") for step in inputs.steps])
    return Outcome(verdict, value, limit, {"aged_c": aged, "near_k": np.broadcast_to(near, shape)})


def _after_reflow(inputs: Inputs, position: int, solidi: Values) -> Codes:
    """A further pass remelts joints on purpose and surface tension holds the parts; but an alloy that melts far higher
    is soldered first, not last."""
    alloy = inputs.route.alloy(position)
    higher = alloy is not None and alloy.solidus_c > solidi + inputs.figure("higher_melting_k")
    return np.where(higher, Verdict.CHANGE, Verdict.FINE).astype(np.int8)


def _after_heat(inputs: Inputs, step: Step, heat: Values, onsets: Values) -> Codes:
    near = heat >= onsets - (step.spread_k + inputs.figure("exposure_margin_k"))
    long = (step.hours or 0.0) >= inputs.figure("long_hours")
    aged = long & (heat + KELVIN >= inputs.figure("long_share") * (onsets + KELVIN))
    found = np.where(aged, Verdict.PROVE, Verdict.FINE)
    if step.kind is StepKind.BAKE:
        # How near a bake may come is the check on bakes.
        return np.where(near, Verdict.NONE, found).astype(np.int8)
    found = np.where(near, Verdict.CHANGE, found)
    return np.where(heat >= onsets, Verdict.BLOCKS, found).astype(np.int8)


def _say_later_heat(told: Told) -> str:
    onset, heat = degrees_text(told.allowed), degrees_text(told.reached)
    if told.missing:
        return f"{told.step} heats joints made before it to {heat} °C; which these are, the {told.missing} decides."
    if told.verdict is Verdict.BLOCKS:
        return f"{told.step} heats finished joints to {heat} °C; they first melt at {onset} °C{_liquid(told)}."
    if told.verdict is Verdict.PROVE:
        aged = degrees_text(told.detail["aged_c"])
        return (
            f"{told.step} keeps finished joints at {heat} °C for hours; from {aged} °C on that is to be shown "
            f"harmless: they first melt at {onset} °C."
        )
    if told.reached >= told.allowed:
        return f"{told.step} reaches {heat} °C, with joints made before it that first melt at {onset} °C."
    near = degrees_text(told.detail["near_k"])
    return (
        f"{told.step} heats finished joints to {heat} °C: less than {near} K below {onset} °C, where they first melt."
    )


def _liquid(told: Told) -> str:
    """How much of the solder is liquid at the heat; nothing where it is not calculated or not of this alloy alone."""
    if told.joint is None or told.value is None or not COLDEST_C <= told.value <= HOTTEST_C:
        return ""
    found = phase_fractions(composition_of(told.joint), [told.value])
    share = 0.0 if isinstance(found, NotCovered) else 100 * found.liquid[0]
    return f", and {share:.0f} % of {told.joint.designation} is liquid then" if share >= 1 else ""


LATER_HEAT = register(
    Check(
        id="later-heat",
        title="Heat after the joint is made",
        family=Family.ROUTE,
        scope=Scope.LINE_STEP,
        question="Does any later step - wave, rework beside it, cure, bake, burn-in - melt or age a finished joint?",
        needs=(POSITION,),
        sources=(_ONSETS, MIXING, _PRACTICE),
        evaluate=_later_heat,
        figures=("exposure_margin_k", "long_hours", "long_share", "higher_melting_k"),
        explain=_say_later_heat,
        by_part=False,
        remedies={
            Verdict.BLOCKS: (
                "Do the hot step first.",
                "Choose a cooler cure, bake or burn-in.",
                "Shield the joints (pallet).",
            ),
            Verdict.CHANGE: ("Lower the temperature of the step by the missing kelvins, or do it before.",),
            Verdict.PROVE: ("Show by test that the hours do no harm.",),
        },
    )
)


def _heat_not_given(inputs: Inputs) -> Outcome:
    onsets, sides = joint_onsets_c(inputs), sides_made(inputs)
    shape = (len(inputs.steps),)
    verdict, limit, in_wave = np.full(shape, Verdict.NONE, dtype=np.int8), blank(shape), np.zeros(shape)
    for j, step in enumerate(inputs.steps):
        finished = (inputs.made < j) & ~np.isnan(onsets)
        # A bake without a temperature is for the check on bakes.
        if step.kind in (StepKind.REFLOW, StepKind.BAKE) or not heats_finished(step) or not finished.any():
            continue
        open_end = finished & ~given_by_lines(inputs, step)
        verdict[j] = Verdict.PROVE if open_end.any() else Verdict.FINE
        limit[j] = onsets[open_end if open_end.any() else finished].min()
        may_meet = np.isin(sides, [SIDES.index(None), SIDES.index(step.side_in_wave)])
        in_wave[j] = step.kind is StepKind.WAVE and step.wave_side_c is None and (open_end & may_meet).any()
    return Outcome(verdict, blank(shape), limit, {"in_wave": in_wave})


def _say_heat_not_given(told: Told) -> str:
    onset = degrees_text(told.allowed)
    if told.detail["in_wave"]:
        return (
            f"{told.step}: joints made before on the side that meets the wave lie in the bath unless a pallet covers "
            f"them; what they reach is not given. They first melt at {onset} °C."
        )
    return f"{told.step}: how hot joints made before it get is not given; they first melt at {onset} °C."


HEAT_NOT_GIVEN = register(
    Check(
        id="heat-not-given",
        title="Steps whose heat is not given",
        family=Family.ROUTE,
        scope=Scope.STEP,
        question="Is it known of every step how hot it makes the joints made before it?",
        needs=(POSITION,),
        sources=(_ONSETS,),
        evaluate=_heat_not_given,
        explain=_say_heat_not_given,
        remedies={
            Verdict.PROVE: (
                "Give the temperature of the cure, or measure the joints beside the step and enter what they reach.",
            ),
        },
    )
)


def _inside_underfill(inputs: Inputs) -> Outcome:
    onsets = joint_onsets_c(inputs)
    shape = (len(inputs.steps),)
    verdict, value, limit = np.full(shape, Verdict.NONE, dtype=np.int8), blank(shape), blank(shape)
    for k, enclosing in enumerate(inputs.steps):
        inside = onsets[(inputs.made < k) & ~np.isnan(onsets)]
        if not enclosing.kind.encloses or inside.size == 0:
            continue
        later = [step for step in inputs.steps[k + 1 :] if heats_finished(step)]
        known = [heat for step in later if (heat := reached_c(step)) is not None]
        value[k], limit[k] = max(known, default=np.nan), inside.min()
        open_end = Verdict.FINE if all(map(is_given, later)) else Verdict.PROVE
        verdict[k] = Verdict.BLOCKS if value[k] >= limit[k] else open_end
    return Outcome(verdict, value, limit)


def _say_inside_underfill(told: Told) -> str:
    onset = degrees_text(told.allowed)
    if told.verdict is Verdict.PROVE:
        return f"How hot joints get from {told.step} on is not given for every step; they melt from {onset} °C."
    heat = degrees_text(told.reached)
    return f"After {told.step} joints reach {heat} °C and melt from {onset} °C: enclosed solder is pressed out."


INSIDE_UNDERFILL = register(
    Check(
        id="inside-underfill",
        title="Melting inside underfill or potting",
        family=Family.ROUTE,
        scope=Scope.STEP,
        question="Does solder melt again once it is enclosed by underfill or potting?",
        needs=(POSITION,),
        sources=(_ONSETS,),
        evaluate=_inside_underfill,
        explain=_say_inside_underfill,
        remedies={
            Verdict.BLOCKS: (
                "Choose later steps below the first melting.",
                "Enclose after the last hot step.",
            ),
            Verdict.PROVE: ("Give the temperatures of the steps after it.",),
        },
    )
)


def _one_alloy(inputs: Inputs) -> Outcome:
    shape = (len(inputs.steps),)
    verdict = np.full(shape, Verdict.NONE, dtype=np.int8)
    seen: dict[object, str | None] = {}
    for j, step in inputs.route.route.prints():
        earlier = seen.setdefault(step.side, step.alloy)
        verdict[j] = Verdict.FINE if earlier == step.alloy else Verdict.BLOCKS
    return Outcome(verdict, blank(shape), blank(shape))


def _say_one_alloy(told: Told) -> str:
    return f"{told.step}: a second print alloy ({told.alloy}) on a side that is printed with another."


ONE_ALLOY = register(
    Check(
        id="one-alloy-a-side",
        title="One print alloy a side",
        family=Family.ROUTE,
        scope=Scope.STEP,
        question="Is any side printed with two alloys?",
        needs=(),
        sources=(Source(Kind.ASSUMED, "one stencil and one print a side", Status.PRACTICE),),
        evaluate=_one_alloy,
        explain=_say_one_alloy,
        unit="",
        remedies={Verdict.BLOCKS: ("Print one alloy a side; dispense or solder the others by hand or selectively.",)},
    )
)


def _through_hole(inputs: Inputs) -> Outcome:
    wanted = np.isin(inputs.mask("mounting"), _JOINED)
    verdict = np.where(inputs.made < len(inputs.steps), Verdict.FINE, Verdict.PROVE)
    shape = (len(inputs),)
    return Outcome(np.where(wanted, verdict, Verdict.NONE).astype(np.int8), blank(shape), blank(shape))


def _say_through_hole(told: Told) -> str:
    return f"No step of the route joins {told.who} to the board; what that would heat besides is not assessed."


_JOINED = [int(Mounting.SMD), int(Mounting.THROUGH_HOLE), int(Mounting.PRESS_FIT)]
"""Mounted in one of these ways for certain; what is fitted by hand or plugged needs no step."""


THROUGH_HOLE = register(
    Check(
        id="through-hole",
        title="Parts that no step joins",
        family=Family.ROUTE,
        scope=Scope.LINE,
        question="Is every part soldered or pressed in at some step?",
        needs=(Need("mounting", "mounting", worse_is="one that no step of the route joins"), POSITION),
        sources=(Source(Kind.ASSUMED, "a route names every step that makes joints", Status.PRACTICE),),
        evaluate=_through_hole,
        explain=_say_through_hole,
        unit="",
        by_part=False,
        remedies={
            Verdict.PROVE: (
                "Add the wave, selective, hot-bar or hand soldering or the press-fit of these parts to the route, or a "
                "print on their side.",
            ),
        },
    )
)
