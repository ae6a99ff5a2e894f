"""What joints and bodies on the board reach at a step, by the side they are on.

An oven heats everything to its peak, a cure or bake to its set temperature. A local step heats what it solders and,
less, what stands beside. In a wave the side that meets the solder reaches the bath's temperature, or what a pallet lets
through; the other side far less.
"""

import numpy as np
from numpy.typing import NDArray

from webapp.checks.inputs import Inputs
from webapp.checks.verdicts import Flags, Values
from webapp.trade.route import Side, Step, StepKind

SIDES = (None, *Side)


def heats_finished(step: Step) -> bool:
    """Whether the step heats joints made before, be it known how much or not."""
    return step.kind is StepKind.REFLOW or step.kind.heats_all or step.kind.is_local


def reached_c(step: Step, side: Side | None = None) -> float | None:
    """What joints made before, and bodies, on that side of the board reach at ``step``, °C; None where they are not
    heated or that is not known. Without a side the most that is known of either."""
    known = [heat for heat in _reached(step, side) if heat is not None]
    return max(known, default=None)


def is_given(step: Step, side: Side | None = None) -> bool:
    """Whether the heat on that side is given; without a side, on both."""
    return None not in _reached(step, side)


def _reached(step: Step, side: Side | None) -> tuple[float | None, ...]:
    if step.kind is StepKind.REFLOW or step.kind.heats_all:
        return (step.peak_c,)
    if step.kind is not StepKind.WAVE:
        return (step.neighbour_c,)
    if side is None:
        return step.neighbour_c, step.wave_side_c
    return (step.wave_side_c if side is step.side_in_wave else step.neighbour_c,)


def sides_made(inputs: Inputs) -> NDArray[np.int64]:
    """For every line the side its joints are on, as the oven pass that makes them says: position in ``SIDES``."""
    sides = [SIDES.index(step.side if step.kind is StepKind.REFLOW else None) for step in inputs.steps]
    return np.array([*sides, SIDES.index(None)], dtype=np.int64)[inputs.made]


def reached_by_lines_c(inputs: Inputs, step: Step) -> Values:
    """``reached_c`` for the joints of every line; NaN for None."""
    by_side = [reached_c(step, side) for side in SIDES]
    return np.array([np.nan if heat is None else heat for heat in by_side])[sides_made(inputs)]


def given_by_lines(inputs: Inputs, step: Step) -> Flags:
    """``is_given`` for the joints of every line."""
    return np.array([is_given(step, side) for side in SIDES], dtype=np.bool_)[sides_made(inputs)]
