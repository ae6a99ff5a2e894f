"""Mixing: does the ball melt into the paste or stay, and what does a repair make of a joint."""

import math
from functools import lru_cache

import numpy as np

from webapp.checks.declare import Check, Family, Need, Outcome, Scope, Told, blank, register
from webapp.checks.heat import POSITION
from webapp.checks.hybrids import (
    BALL_SIZES,
    DEPOSIT_FIGURES,
    MIXING,
    Uptake,
    full_melt_c,
    mixed_at,
    uptake,
    volume_ratios,
)
from webapp.checks.inputs import Inputs
from webapp.checks.joints import ball_alloys, composition_of, first_melting_c
from webapp.checks.verdicts import Codes, Flags, Values, Verdict
from webapp.science.melting import NotCovered, melting_ranges
from webapp.trade.alloys import Alloy, alloys
from webapp.trade.classes import PartClass
from webapp.trade.composition import Composition, mixed
from webapp.trade.practice import stencil_rule
from webapp.trade.ranges import Span, degrees_text, number_text
from webapp.trade.route import StepKind
from webapp.trade.sources import Kind, Source, Status

_ARRAY = int(PartClass.ARRAY)
_DETAILS = ("ball", "uptake", "dissolved_low", "dissolved_high", "height_low", "height_high")


def _ball_mixing(inputs: Inputs) -> Outcome:
    found = _Found(inputs)
    balls = inputs.mask("balls")
    is_array = (inputs.mask("classes") & _ARRAY) != 0
    for j, step in enumerate(inputs.steps):
        here = (inputs.made == j) & (balls != 0) & is_array
        paste = inputs.route.alloy(j)
        if not here.any() or step.joint_min_c is None or paste is None or step.joint_min_c < paste.melted_c:
            continue  # where the paste does not melt, there is no joint to speak of: see joint-forms
        for bits in np.unique(balls[here]).tolist():
            # Of several possible balls the one that melts highest decides at the worst.
            choose = max if inputs.is_worst("balls") else min
            ball = choose(ball_alloys(bits), key=lambda alloy: alloy.liquidus_c)
            found.add(here & (balls == bits), j, paste, ball, step.joint_min_c)
    return Outcome(found.verdict, found.value, found.limit, found.detail)


class _Found:
    """The arrays of the check, filled joint by joint kind."""

    def __init__(self, inputs: Inputs) -> None:
        shape = (len(inputs), len(inputs.steps))
        self._inputs = inputs
        self.verdict: Codes = np.full(shape, Verdict.NONE, dtype=np.int8)
        self.value, self.limit = blank(shape), blank(shape)
        self.detail = {name: blank(shape) for name in _DETAILS}

    def add(self, lines: Flags, position: int, paste: Alloy, ball: Alloy, coldest_c: float) -> None:
        """Joints of one paste and one ball; the least deposit decides whether they melt through."""
        self.value[lines, position] = coldest_c
        taken = uptake(paste, ball, coldest_c)
        self.detail["ball"][lines, position] = list(alloys()).index(ball.designation)
        if taken is None:
            self.verdict[lines, position] = Verdict.FINE if coldest_c >= ball.liquidus_c else Verdict.PROVE
            self.limit[lines, position] = ball.liquidus_c
            return
        least, most = volume_ratios(self._inputs, position, paste, lines)
        self.limit[lines, position] = full_melt_c(paste, ball, least)
        density = paste.density_g_cm3 / ball.density_g_cm3
        factor = self._inputs.figure("height_factor")
        ends = [mixed_at(of_mass, ratio, density, factor) for of_mass, ratio in zip(taken, (least, most), strict=True)]
        self.verdict[lines, position] = np.where(ends[0].through, Verdict.FINE, Verdict.PROVE)
        self._tell(lines, position, taken[1], [end.ball for end in ends], [end.height for end in ends])

    def _tell(self, lines: Flags, position: int, taken: Uptake, ball: list[Values], height: list[Values]) -> None:
        self.detail["uptake"][lines, position] = taken.ball
        for name, ends in (("dissolved", ball), ("height", height)):
            self.detail[f"{name}_low"][lines, position] = np.minimum(*ends)
            self.detail[f"{name}_high"][lines, position] = np.maximum(*ends)


def _say_ball_mixing(told: Told) -> str:
    coldest, melts = degrees_text(told.reached), number_text(round(told.allowed))
    if told.missing:
        return f"Not known for {told.who}: {told.missing}. Tin-silver-copper balls do not melt through at {coldest} °C."
    ball = list(alloys())[int(told.detail["ball"])]
    if math.isnan(told.detail["height_low"]):
        return f"The balls ({ball}) melt at {melts} °C, the joints reach {coldest} °C: the ball stays solid."
    dissolved = _per_cent(told.detail["dissolved_low"], told.detail["dissolved_high"])
    height = _per_cent(told.detail["height_low"], told.detail["height_high"])
    return (
        f"At {coldest} °C {dissolved} of each ball ({ball}) dissolves; the mixed band{_band(told, ball)} is {height} "
        f"of the joint's height. The whole joint would melt through from {melts} °C. {_attention(told)}"
    )


def _band(told: Told, ball: str) -> str:
    """Composition of the band where the paste takes up what it can."""
    taken = told.detail["uptake"]
    if told.joint is None or not math.isfinite(taken):
        return ""
    return f" at the board side ({_saturated(composition_of(told.joint), composition_of(alloys()[ball]), taken)})"


@lru_cache(maxsize=4096)
def _saturated(paste: Composition, ball: Composition, taken: float) -> Composition:
    """A mass of paste with what it takes up of the ball, to whole wt%; many findings share it."""
    return mixed({paste: 1.0, ball: taken}).rounded(0)


def _attention(told: Told) -> str:
    low, high = 100 * told.detail["height_low"], 100 * told.detail["height_high"]
    if high < told.figures["thin_band_pct"]:
        return "A thin brittle band carries the load and nothing collapses: prove it by section, drop and cycling."
    if low > told.figures["thick_band_pct"]:
        return "Nearly through: prove by section that every ball is."
    return "Look for hot tearing: the ball is solid while the band freezes slowly. Prove it by section and test."


def _per_cent(low: float, high: float) -> str:
    return Span(round(100 * low), round(100 * high)).text("%")


BALL_MIXING = register(
    Check(
        id="ball-mixing",
        title="Balls that do not melt through",
        family=Family.MELTING,
        scope=Scope.LINE_STEP,
        question="Do the balls of array packages melt into the paste, or do they make hybrid joints?",
        needs=(
            Need("classes", "whether it is an array package", bad=PartClass.ARRAY),
            Need("balls", "alloy of the balls", worse_is="a ball that melts higher"),
            *BALL_SIZES,
            POSITION,
        ),
        sources=(
            MIXING,
            Source(Kind.STANDARD, "IPC-7095", Status.MEMORY, "ball sizes by pitch"),
            stencil_rule("area_ratio_min").source,
        ),
        evaluate=_ball_mixing,
        explain=_say_ball_mixing,
        reaches=True,
        figures=("thin_band_pct", "thick_band_pct", "height_factor", *DEPOSIT_FIGURES),
        prints=True,
        version=2,
        remedies={
            Verdict.PROVE: (
                "Section and test the hybrid joint.",
                "Ask the maker for low-temperature balls.",
                "See under Joints which deposit or peak would melt it through, or keep it safely whole.",
            )
        },
    )
)


def _rework_alloy(inputs: Inputs) -> Outcome:
    shape = (len(inputs.steps),)
    verdict, value, limit = np.full(shape, Verdict.NONE, dtype=np.int8), blank(shape), blank(shape)
    detail = {name: blank(shape) for name in ("through_low", "through_high")}
    for j, step in enumerate(inputs.steps):
        before = _joints_before(inputs, j)
        if step.kind is not StepKind.REWORK or not before:
            continue
        limit[j] = min(_first_melting_c(joint) for joint in before)
        wire = inputs.route.alloy(j)
        if wire is None:
            verdict[j] = Verdict.PROVE
            continue
        others = [joint for joint in before if joint.composition_wt_pct != wire.composition_wt_pct]
        verdict[j] = _repair(wire, others)
        value[j] = min((_first_melting_c(wire, joint) for joint in others), default=limit[j])
        through = _through_c(inputs, wire, others)
        detail["through_low"][j], detail["through_high"][j] = through.low, through.high
    return Outcome(verdict, value, limit, detail)


def _joints_before(inputs: Inputs, position: int) -> list[Alloy]:
    """The alloys of joints made before a step."""
    made = np.unique(inputs.made[inputs.made < position]).tolist()
    found = {alloy.designation: alloy for alloy in map(inputs.route.alloy, made) if alloy is not None}
    return list(found.values())


def _repair(wire: Alloy, others: list[Alloy]) -> Verdict:
    if any((a.holds_lead and b.holds_bismuth) for joint in others for a, b in ((wire, joint), (joint, wire))):
        return Verdict.BLOCKS
    return Verdict.CHANGE if others else Verdict.FINE


def _first_melting_c(alloy: Alloy, joint: Alloy | None = None) -> float:
    parts = {composition_of(alloy): 1.0} | ({composition_of(joint): 1.0} if joint else {})
    solidus_c = min(found.solidus_c for found in (alloy, joint) if found)
    return first_melting_c(mixed(parts), solidus_c, 0, False)


def _through_c(inputs: Inputs, wire: Alloy, others: list[Alloy]) -> Span:
    """Where the repaired joint is melted through, for the least and the most new solder; not known is 0 to inf."""
    shares = (inputs.figure("repair_wire_low"), inputs.figure("repair_wire_high"))
    joints = [mixed({composition_of(wire): s, composition_of(joint): 1 - s}) for joint in others for s in shares]
    found = [r.matrix_liquidus_c for r in melting_ranges(joints) if not isinstance(r, NotCovered)]
    return Span(min(found), max(found)) if found and len(found) == len(joints) else Span(0, math.inf)


def _say_rework(told: Told) -> str:
    if told.verdict is Verdict.PROVE:
        return f"{told.step}: the alloy of the wire is not given; another than that of the joint changes its melting."
    onset = degrees_text(told.reached)
    if told.verdict is Verdict.BLOCKS:
        return f"{told.step}: {told.alloy} brings lead and bismuth together; the joint begins to melt at {onset} °C."
    through = Span(round(told.detail["through_low"]), round(told.detail["through_high"]))
    melting = f" and is liquid only at {through.text('°C')}" if through.bounded else ""
    return f"{told.step}: {told.alloy} in a joint of another alloy: the repaired joint melts from {onset} °C{melting}."


REWORK_ALLOY = register(
    Check(
        id="rework-alloy",
        title="Solder used in rework",
        family=Family.MELTING,
        scope=Scope.STEP,
        question="Is rework done with the joint's own alloy, and what does another make of the joint?",
        needs=(POSITION,),
        sources=(MIXING, Source(Kind.ASSUMED, "rework with the joint's own alloy", Status.PRACTICE)),
        evaluate=_rework_alloy,
        explain=_say_rework,
        reaches=True,
        figures=("repair_wire_low", "repair_wire_high"),
        remedies={
            Verdict.BLOCKS: (
                "Rework with the joint's own alloy, with iron tips, desoldering tools and pots that never held lead.",
            ),
            Verdict.CHANGE: (
                "Rework with wire or paste of the joint's own alloy, and a tip or nozzle kept for it.",
                "Remove all old solder first, then use one alloy.",
            ),
            Verdict.PROVE: ("Give the alloy of the wire at this step.",),
        },
    )
)
