"""Which deposit or which peak would melt a ball through, and which would keep it whole: solved from the dissolution.

The share of a ball that dissolves is k m_paste / m_ball, with k a property of the two alloys and the peak
(:func:`webapp.science.mixing.taken_up`); so the paste needed for a share s is s m_ball / k, and the peak at which a
share s dissolves is the matrix liquidus of the paste with that share of the ball. Transfer efficiency is taken as it
is: a smaller opening may release less, which the area ratio shows.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import inf, isfinite, sqrt
from typing import Literal

from webapp.errors import InvalidInputError
from webapp.science.alloy_points import not_covered
from webapp.science.melting import MeltingRange, melting_range
from webapp.science.mixing import BallJoint, taken_up
from webapp.trade.composition import mixed

UNMELTED_SHARE = 0.05
MARGIN_K = 5.0
FOILS_MM = (0.05, 0.25)  # stencil foils in use: common practice


@dataclass(frozen=True, slots=True)
class MixingRemedy:
    """One change that reaches the aim: of the opening, of the foil, or of the peak; ``joint`` is the joint changed.

    ``change_share`` is new over old, of the dimension changed; for the peak the change in K is ``peak_change_k``.
    """

    change: Literal["aperture", "foil", "peak"]
    joint: BallJoint
    change_share: float
    peak_change_k: float

    @property
    def area_ratio(self) -> float:
        """Of the opening as changed; below 0.66 (IPC-7525) paste releases badly."""
        return self.joint.deposit.area_ratio


def to_melt_through(joint: BallJoint, margin_k: float = MARGIN_K) -> list[MixingRemedy]:
    """Changes after which the ball melts through even at ``margin_k`` below the peak; none where it does already.

    Empty too where the alloys are not covered.
    """
    if not _covered(joint):
        return []
    ratio = taken_up(joint.paste, joint.ball, joint.peak_c - margin_k)
    if ratio is not None and ratio * joint.paste_mg >= joint.ball_mg:
        return []
    ratio = ratio or 0.0
    found = _of_deposit(joint, joint.ball_mg / ratio) if ratio else []
    return found + _of_peak(joint, 1.0, lambda melted_c, paste_c: max(melted_c, paste_c) + margin_k)


def to_keep_unmelted(joint: BallJoint, share: float = UNMELTED_SHARE, margin_k: float = MARGIN_K) -> list[MixingRemedy]:
    """Changes after which at most ``share`` of the ball dissolves even at ``margin_k`` above the peak.

    None where that holds already, where the alloys are not covered, or where the paste would not melt.
    """
    if not _covered(joint):
        return []
    ratio = taken_up(joint.paste, joint.ball, joint.peak_c + margin_k)
    if ratio is None or ratio * joint.paste_mg <= share * joint.ball_mg:
        return []
    found = _of_deposit(joint, share * joint.ball_mg / ratio) if isfinite(ratio) else []
    return found + _of_peak(
        joint, share, lambda melted_c, paste_c: melted_c - margin_k if melted_c - 2 * margin_k > paste_c else inf
    )


def _of_deposit(joint: BallJoint, paste_mg: float) -> list[MixingRemedy]:
    """The opening, and the foil, that print so much solder; each left out where no stencil is like that."""
    factor, deposit = paste_mg / joint.paste_mg, joint.deposit
    found = []
    changes: tuple[tuple[Literal["aperture", "foil"], float], ...] = (("aperture", sqrt(factor)), ("foil", factor))
    for change, share in changes:
        name = f"{change}_mm"
        try:
            changed = replace(deposit, **{name: getattr(deposit, name) * share})
        except InvalidInputError:
            continue
        if change == "foil" and not FOILS_MM[0] <= changed.foil_mm <= FOILS_MM[1]:
            continue
        found.append(MixingRemedy(change, replace(joint, deposit=changed), share, 0.0))
    return found


def _of_peak(joint: BallJoint, share: float, choose: Callable[[float, float], float]) -> list[MixingRemedy]:
    """The peak chosen from where ``share`` of the ball dissolves and where the paste is melted, °C."""
    melted = melting_range(mixed({joint.paste: joint.paste_mg, joint.ball: share * joint.ball_mg}))
    paste = melting_range(joint.paste)
    if not isinstance(melted, MeltingRange) or not isinstance(paste, MeltingRange):
        return []
    peak_c = choose(melted.matrix_liquidus_c, paste.matrix_liquidus_c)
    if not isfinite(peak_c):
        return []
    return [MixingRemedy("peak", replace(joint, peak_c=peak_c), 1.0, peak_c - joint.peak_c)]


def _covered(joint: BallJoint) -> bool:
    return not (not_covered(joint.ball) or not_covered(joint.paste))
