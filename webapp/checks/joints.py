"""The joints of a case: which alloy makes them and where they first melt again.

"Lowest onset" is the first melting of that joint with no credit for mixing: the eutectic of the paste for a hybrid,
95 °C once lead joins bismuth and tin (trade.alloys.lowest_onset).
"""

from collections.abc import Callable, Mapping
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from webapp.checks.inputs import Inputs
from webapp.checks.verdicts import Flags, Values
from webapp.trade.alloys import Alloy, alloys, lowest_onset
from webapp.trade.composition import Composition
from webapp.trade.masks import LEAD_BALLS, BallAlloy, Finish

KELVIN = 273.15

_BALL_ALLOYS = {
    BallAlloy.TIN_LEAD: "Sn63Pb37",
    BallAlloy.SAC_HIGH_SILVER: "Sn96.5Ag3.0Cu0.5",
    BallAlloy.SAC_LOW_SILVER: "Sn98.5Ag1.0Cu0.5",
    BallAlloy.TIN_COPPER_OR_SILVER: "Sn99.3Cu0.7",
    BallAlloy.TIN_BISMUTH: "Sn42Bi58",
    BallAlloy.HIGH_LEAD: "Sn10Pb90",
}
_RARE_BALLS = BallAlloy.TIN_BISMUTH | BallAlloy.TIN_LEAD | BallAlloy.HIGH_LEAD
_LEAD_PLATING: Mapping[str, float] = {"Sn": 90.0, "Pb": 10.0}


@lru_cache(maxsize=1024)
def composition_of(alloy: Alloy) -> Composition:
    """The alloy's composition as science takes it."""
    return Composition.of(alloy.composition_wt_pct)


def ball_alloys(bits: int) -> list[Alloy]:
    """Typical alloys of the balls that are possible.

    What is not stated is taken for the usual balls: others are rare and would be named (common practice, no source).
    """
    usual = BallAlloy(bits) & ~_RARE_BALLS or BallAlloy(bits)
    return [alloys()[_BALL_ALLOYS[member]] for member in usual]


def joint_onsets_c(inputs: Inputs) -> Values:
    """For every line the temperature at which its joints first melt again; NaN where no step makes them."""
    masks = inputs.columns.masks
    # One number for the three: sorting rows of numbers takes ten times as long.
    balls_bits = int(BallAlloy.everything()).bit_length()
    keys = (inputs.made << (balls_bits + 1)) | (masks["balls"] << 1) | _certain_lead(inputs)
    distinct, index = np.unique(keys, return_inverse=True)
    parts = [(key >> (balls_bits + 1), key >> 1 & (1 << balls_bits) - 1, key & 1) for key in distinct.tolist()]
    values = [_onset_c(inputs.route.alloy(made), balls, bool(lead)) for made, balls, lead in parts]
    onsets: Values = np.array(values, dtype=np.float64)[index.reshape(-1)]
    return onsets


def made_solidus_c(inputs: Inputs) -> Values:
    """For every line the solidus of the alloy that makes its joints; NaN where no step makes them."""
    solidi = [alloy.solidus_c if alloy else np.nan for alloy in map(inputs.route.alloy, range(len(inputs.steps)))]
    return np.array([*solidi, np.nan], dtype=np.float64)[inputs.made]


def made_with_bismuth(inputs: Inputs) -> Flags:
    """For every line whether its joints are made with a bismuth alloy."""
    return _by_step(inputs, lambda alloy: alloy.holds_bismuth)


def is_lead_certain(inputs: Inputs) -> Flags:
    """For every line whether nothing but a finish or balls with lead is possible."""
    return _certain_lead(inputs).astype(np.bool_)


def _certain_lead(inputs: Inputs) -> NDArray[np.int64]:
    masks = inputs.columns.masks
    finish = masks["finish"] == int(Finish.E0)
    balls = (masks["balls"] != 0) & ((masks["balls"] & ~LEAD_BALLS) == 0)
    certain: NDArray[np.int64] = (finish | balls).astype(np.int64)
    return certain


def _by_step(inputs: Inputs, test: Callable[[Alloy], bool]) -> Flags:
    holds = [bool(alloy and test(alloy)) for alloy in map(inputs.route.alloy, range(len(inputs.steps)))]
    return np.array([*holds, False], dtype=np.bool_)[inputs.made]


def _onset_c(paste: Alloy | None, balls: int, lead: bool) -> float:
    return float("nan") if paste is None else first_melting_c(composition_of(paste), paste.solidus_c, balls, lead)


@lru_cache(maxsize=4096)
def first_melting_c(paste: Composition, solidus_c: float, balls: int, lead: bool) -> float:
    """The lowest onset of joints of ``paste``, which begins to melt at ``solidus_c``, on balls of these bits."""
    parts: list[Mapping[str, float]] = [paste.wt_pct]
    parts += [alloy.composition_wt_pct for alloy in ball_alloys(balls) if lead or not alloy.holds_lead]
    if lead:
        parts.append(_LEAD_PLATING)
    onset = lowest_onset(*parts)
    return min(onset.onset_c, solidus_c) if onset else solidus_c
