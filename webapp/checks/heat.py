"""Heat on the parts: body limits, passes, parts that must not see an oven, bakes beside finished joints."""

import numpy as np

from webapp.checks.columns import OVEN_BAD
from webapp.checks.declare import Check, Family, Need, Outcome, Scope, Today, Told, Worse, blank, register
from webapp.checks.exposure import reached_by_lines_c
from webapp.checks.inputs import Inputs
from webapp.checks.joints import joint_onsets_c
from webapp.checks.verdicts import Values, Verdict
from webapp.trade.ranges import Span, degrees_text, number_text
from webapp.trade.route import StepKind
from webapp.trade.sources import Kind, Source, Status

POSITION = Need(
    "position",
    "side of the board (a placement file tells it)",
    worse_is="the side soldered first: more heat follows; or the pass of another alloy",
)

_J020 = Source(Kind.STANDARD, "J-STD-020", Status.OPENED, "Table 4-2 and clause 5.6")
_CLASS = Source(Kind.ASSUMED, "limits by part class, data sheets of single makers", Status.MEMORY)
_J033 = Source(
    Kind.STANDARD, "J-STD-033", Status.OPENED, "user bake table", "90 °C and 40 °C rows; revision seen: early"
)


def _body_temperatures_c(inputs: Inputs) -> Values:
    """Body temperature of every line at every step; NaN where it is not on the board, not heated, or not known."""
    heat = blank((len(inputs), len(inputs.steps)))
    for j, step in enumerate(inputs.steps):
        # At a local step only what stands beside counts: the part being soldered is heated at its terminals.
        on_board = inputs.made < j if step.kind.is_local else inputs.made <= j
        heat[:, j] = np.where(on_board, reached_by_lines_c(inputs, step), np.nan)
    return heat


def _body_limit(inputs: Inputs) -> Outcome:
    heat, near = _body_temperatures_c(inputs), inputs.figure("near_limit_k")
    limit = np.broadcast_to(inputs.number("limit_c")[:, None], heat.shape)
    highest = np.broadcast_to(inputs.columns.ranges["limit_c"][1][:, None], heat.shape)
    verdict = np.where(heat > limit, Verdict.BLOCKS, np.where(limit - heat < near, Verdict.CHANGE, Verdict.FINE))
    return Outcome(np.where(np.isnan(heat), Verdict.NONE, verdict).astype(np.int8), heat, limit, {"highest_c": highest})


def _say_body_limit(told: Told) -> str:
    reached, limit = f"{degrees_text(told.reached)} °C", f"{degrees_text(told.allowed)} °C"
    if told.verdict is Verdict.GAIN:
        return f"At {told.step} the bodies of {told.who} reach {reached}, within their limit; {_today(told.today)}."
    if told.verdict is Verdict.BLOCKS:
        return f"The body reaches {reached} at {told.step}, above its limit of {limit}."
    if told.verdict is Verdict.CHANGE:
        near = number_text(told.figures["near_limit_k"])
        return f"The body reaches {reached} at {told.step}, less than {near} K below its limit of {limit}."
    if told.detail["highest_c"] < told.reached:
        assumed = Span(told.allowed, told.detail["highest_c"]).text("°C")
        return f"{reached} at {told.step} is more than what is assumed of {told.who}: {assumed}."
    return f"{reached} at {told.step} may be too hot for {told.who}: the limit may be as low as {limit}."


def _today(today: Today | None) -> str:
    if today is None or today.value is None or today.limit is None:
        return "today that is not shown"
    return f"today they reach {degrees_text(today.value)} °C, where {degrees_text(today.limit)} °C is sure"


BODY_LIMIT = register(
    Check(
        id="body-limit",
        title="Hottest body against its limit",
        family=Family.HEAT,
        scope=Scope.LINE_STEP,
        question="Does any body get hotter than its maker allows, at any step it goes through?",
        needs=(Need("limit_c", "highest body temperature the maker allows", Worse.LOW), POSITION),
        sources=(_J020, _CLASS),
        evaluate=_body_limit,
        figures=("near_limit_k",),
        explain=_say_body_limit,
        can_gain=True,
        remedies={
            Verdict.BLOCKS: ("Solder the part after the oven.", "Lower the peak or choose a lower-melting paste."),
            Verdict.CHANGE: ("Lower the peak by the missing kelvins, or even out the oven (smaller spread).",),
            Verdict.PROVE: ("Enter the limit from the data sheet.",),
        },
    )
)


def _passes(inputs: Inputs) -> Outcome:
    ovens = np.array([i for i, step in enumerate(inputs.steps) if step.kind is StepKind.REFLOW], dtype=np.int64)
    seen = (ovens[None, :] >= inputs.made[:, None]).sum(axis=1).astype(np.float64)
    limit = inputs.number("passes")
    verdict = np.where(seen > limit, Verdict.CHANGE, Verdict.FINE)
    return Outcome(np.where(seen == 0, Verdict.NONE, verdict).astype(np.int8), seen, limit)


def _say_passes(told: Told) -> str:
    passes = "1 reflow pass" if told.value == 1 else f"{degrees_text(told.reached)} reflow passes"
    if told.verdict is Verdict.CHANGE:
        return f"The part goes through {passes}; at most {degrees_text(told.allowed)} allowed."
    sure = degrees_text(told.allowed)
    return f"Not shown for {told.who}: no harm from {passes}" + (f"; {sure} is sure." if told.limit else ".")


PASSES = register(
    Check(
        id="passes",
        title="Reflow passes",
        family=Family.HEAT,
        scope=Scope.LINE,
        question="Does any part go through more reflow passes than it is made for?",
        needs=(Need("passes", "allowed reflow passes", Worse.LOW), POSITION),
        sources=(_J020, _CLASS),
        evaluate=_passes,
        explain=_say_passes,
        unit="passes",
        remedies={
            Verdict.CHANGE: ("Move the part to the side that is soldered last.", "Solder it after the oven."),
            Verdict.PROVE: ("Enter the allowed passes from the data sheet, or the side from a placement file.",),
        },
    )
)


def _never_oven(inputs: Inputs) -> Outcome:
    ovens = [i for i, step in enumerate(inputs.steps) if step.kind is StepKind.REFLOW]
    last = max(ovens, default=-1)
    goes = inputs.made <= last
    bad = (inputs.mask("oven") & OVEN_BAD) != 0
    verdict = np.where(goes, np.where(bad, Verdict.BLOCKS, Verdict.FINE), Verdict.NONE)
    peak = max((inputs.steps[i].peak_c or np.nan for i in ovens), default=np.nan)
    return Outcome(verdict.astype(np.int8), np.where(goes, peak, np.nan), blank((len(inputs),)))


def _say_never_oven(told: Told) -> str:
    if told.verdict is Verdict.BLOCKS:
        return f"Not for an oven, and this route takes it through one: {told.who}."
    return f"Not known for {told.who}: whether the maker rates it for an oven."


NEVER_OVEN = register(
    Check(
        id="never-oven",
        title="Parts that must not see an oven",
        family=Family.HEAT,
        scope=Scope.LINE,
        question="Does the route take a cell, supercapacitor, display or unrated part through an oven?",
        needs=(
            Need("oven", "whether the maker rates it for an oven", bad=OVEN_BAD, worse_is="not rated for reflow"),
            POSITION,
        ),
        sources=(Source(Kind.DATASHEET, "data sheets of cells and capacitors of single makers", Status.OPENED),),
        evaluate=_never_oven,
        explain=_say_never_oven,
        remedies={
            Verdict.BLOCKS: ("Fit the part after soldering.",),
            Verdict.PROVE: ("Enter from the data sheet whether the part is rated for reflow.",),
        },
        caution="Cells and batteries can vent or burn: they never pass an oven unless their maker rates them for it.",
    )
)


def _bake(inputs: Inputs) -> Outcome:
    onsets, margin = joint_onsets_c(inputs), inputs.figure("bake_margin_k")
    shape = (len(inputs.steps),)
    verdict, value, limit = np.full(shape, Verdict.NONE, dtype=np.int8), blank(shape), blank(shape)
    for j, step in enumerate(inputs.steps):
        before = onsets[(inputs.made < j) & ~np.isnan(onsets)]
        if step.kind is not StepKind.BAKE or before.size == 0:
            continue
        limit[j] = before.min()
        if step.peak_c is None:
            verdict[j] = Verdict.PROVE
            continue
        value[j] = step.peak_c + step.spread_k
        short = limit[j] - value[j]
        verdict[j] = Verdict.BLOCKS if short <= 0 else Verdict.CHANGE if short < margin else Verdict.FINE
    return Outcome(verdict, value, limit)


def _say_bake(told: Told) -> str:
    limit = f"{degrees_text(told.allowed)} °C"
    if told.value is None:
        return f"{told.step}: how hot it gets is not given; joints made before it first melt at {limit}."
    reached = f"{degrees_text(told.value)} °C"
    if told.verdict is Verdict.BLOCKS:
        return f"{told.step} reaches {reached}; joints made before it first melt at {limit}."
    return f"{told.step} reaches {reached}, close below {limit} where joints made before it first melt."


BAKE_AFTER_JOIN = register(
    Check(
        id="bake-after-join",
        title="Bakes after the first joints",
        family=Family.HEAT,
        scope=Scope.STEP,
        question="Does a drying bake come near the temperature at which joints already made first melt?",
        needs=(POSITION,),
        sources=(_J033,),
        evaluate=_bake,
        figures=("bake_margin_k",),
        explain=_say_bake,
        remedies={
            Verdict.BLOCKS: ("Bake before the first joints, or at 90 °C or 40 °C for the longer times of J-STD-033.",),
            Verdict.CHANGE: ("Bake at 90 °C or 40 °C for the longer times of J-STD-033.",),
            Verdict.PROVE: ("Give the temperature of the bake.",),
        },
    )
)
