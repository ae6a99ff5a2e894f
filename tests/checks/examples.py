"""One example each of a check failing, passing, and short of a datum.

Expected verdicts follow from the figures beside them: limits stated here, melting from the table of alloys (eutectic
tin-bismuth 139 °C, with lead 95 °C), margins from the checks' own declarations.
"""

from dataclasses import replace

from tests.checks.build import BOARD, LOW, SAC, case, part, reflow, with_environment
from webapp.checks.verdicts import Verdict
from webapp.trade.facts import OVEN_NO
from webapp.trade.masks import BallAlloy, BoardFinish, Finish, Mounting
from webapp.trade.route import Side, Step, StepKind

FINE, PROVE, CHANGE, BLOCKS = Verdict.FINE, Verdict.PROVE, Verdict.CHANGE, Verdict.BLOCKS
BOTTOM, TOP = Side.BOTTOM, Side.TOP

BAKE_125 = Step(StepKind.BAKE, peak_c=125.0, spread_k=5.0, hours=24.0)
BAKE_60 = replace(BAKE_125, peak_c=60.0)
CURE_150 = Step(StepKind.CURE, peak_c=150.0, hours=0.5)
UNDERFILL_150 = Step(StepKind.UNDERFILL, peak_c=150.0, hours=0.5)
UNDERFILL_100 = replace(UNDERFILL_150, peak_c=100.0)
REWORK = Step(StepKind.REWORK, peak_c=330.0, neighbour_c=90.0)
SELECTIVE = Step(StepKind.SELECTIVE, alloy=SAC, peak_c=290.0, neighbour_c=90.0)


def both_sides(*then):
    return (reflow(side=BOTTOM), reflow(side=TOP), *then)


# check -> (failing case, its verdict), passing case, case short of a datum; None: there is nothing to be short of.
EXAMPLES = {
    # 180 °C against a limit of 170 °C; against 250 °C; against a film capacitor's 215 to 260 °C, 235 °C reached.
    "body-limit": (
        (case(part(limit_c=170.0)), BLOCKS),
        case(part(limit_c=250.0)),
        case(part("film_smd"), steps=(reflow(SAC, 235.0),)),
    ),
    # Two passes, one allowed; on the side soldered last there is one; without a side both are possible.
    "passes": (
        (case(part(passes=1.0), steps=both_sides(), sides=["bottom"]), CHANGE),
        case(part(passes=1.0), steps=both_sides(), sides=["top"]),
        case(part(passes=1.0), steps=both_sides()),
    ),
    "never-oven": (
        (case(part(oven=OVEN_NO)), BLOCKS),
        case(part()),
        case(part("connector")),
    ),
    # 125 + 5 °C is within 20 K of 139 °C; 60 + 5 °C is not; without a peak of the bake nothing is compared.
    "bake-after-join": (
        (case(steps=(reflow(), BAKE_125)), CHANGE),
        case(steps=(reflow(), BAKE_60)),
        case(steps=(reflow(), replace(BAKE_125, peak_c=None))),
    ),
    # Sn60Bi40 is 99 % liquid near 174 °C: 175 - 8 °C does not melt it.
    "joint-forms": (
        (case(steps=(reflow("Sn60Bi40", 175.0),)), BLOCKS),
        case(),
        case(steps=(replace(reflow(), peak_c=None),)),
    ),
    # SAC balls melt through above 210 °C; tin-bismuth balls at 139 °C; an unknown part may be an array.
    "ball-mixing": (
        (case(part("array", balls=BallAlloy.SAC_HIGH_SILVER)), PROVE),
        case(part("array", balls=BallAlloy.TIN_BISMUTH)),
        case(part("array no_lead_ic")),
    ),
    "lead-pickup": (
        (case(part(finish=Finish.E0)), BLOCKS),
        case(part(finish=Finish.E3)),
        None,  # what is not known of the finish is the next check's
    ),
    "finish-unknown": (
        (case(part("hermetic")), PROVE),
        case(part(finish=Finish.E3)),
        case(part(declared=())),
    ),
    # A cure at 150 °C melts a joint of 139 °C; a pass of the same alloy is meant; what is not given is the next one's.
    "later-heat": (
        (case(steps=(reflow(), CURE_150)), BLOCKS),
        case(steps=both_sides(), sides=["bottom"]),
        None,
    ),
    # What joints beside a soldering machine reach is not given; it is, at 90 °C.
    "heat-not-given": (
        (case(steps=(reflow(), replace(SELECTIVE, neighbour_c=None))), PROVE),
        case(steps=(reflow(), SELECTIVE)),
        None,
    ),
    # The cure itself is later heat: what is enclosed by it is looked at from then on.
    "inside-underfill": (
        (case(steps=(reflow(), UNDERFILL_100, CURE_150)), BLOCKS),
        case(steps=(reflow(), UNDERFILL_100)),
        case(steps=(reflow(), UNDERFILL_100, replace(CURE_150, peak_c=None))),
    ),
    # SAC wire in a bismuth joint; the joint's own; the wire not named.
    "rework-alloy": (
        (case(steps=(reflow(), replace(REWORK, alloy=SAC))), CHANGE),
        case(steps=(reflow(), replace(REWORK, alloy=LOW))),
        case(steps=(reflow(), REWORK)),
    ),
    # Pins and an oven; pins and a soldering machine; surface mount or pins is not known.
    "through-hole": (
        (case(part("connector", mounting=Mounting.THROUGH_HOLE)), PROVE),
        case(part("connector", mounting=Mounting.THROUGH_HOLE), steps=(reflow(), SELECTIVE)),
        None,
    ),
    "one-alloy-a-side": (
        (case(steps=(reflow(SAC, 245.0, TOP), reflow(LOW, 180.0, TOP))), BLOCKS),
        case(steps=both_sides()),
        None,
    ),
    # In kelvin of 139 °C: 110 °C is 0.93, above 0.919; 45 °C is 0.77; self-heating of a power part is open.
    "joint-runs-hot": (
        (case(environment=with_environment(t_max_c=105.0)), BLOCKS),
        case(),
        case(part("power_semi")),
    ),
    "board-finish": (
        (case(board=replace(BOARD, finish=BoardFinish.HASL_LEAD)), BLOCKS),
        case(),
        case(board=replace(BOARD, finish=BoardFinish.everything())),
    ),
}
