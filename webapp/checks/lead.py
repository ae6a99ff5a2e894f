"""How much lead a terminal's finish or a ball brings into the joint.

A finish of thickness p and lead share w under solder of height h gives, by mass, p rho_f w / (p rho_f + h rho): the
wetted area falls out. Solder printed is as high as the foil times transfer efficiency times the metal's share of the
volume; around a lead in a hole it is as thick as the gap. A ball gives its lead over ball and paste together.
"""

import numpy as np
from numpy.typing import NDArray

from webapp.checks.hybrids import foil_mm, metal_share, volume_ratios
from webapp.checks.inputs import Inputs
from webapp.checks.joints import ball_alloys
from webapp.checks.verdicts import Values
from webapp.trade.alloys import Alloy
from webapp.trade.composition import Composition
from webapp.trade.masks import LEAD_BALLS, Finish
from webapp.trade.ranges import Span
from webapp.trade.route import StepKind

LEAD_FIGURES = (
    "lead_plating_low_um",
    "lead_plating_high_um",
    "lead_plating_low_wt_pct",
    "lead_plating_high_wt_pct",
    "fillet_low_um",
    "fillet_high_um",
)


def lead_wt_pct(inputs: Inputs, position: int, lines: NDArray[np.int64]) -> tuple[Values, Values]:
    """The least and the most lead, wt%, in joints made at a step, for ``lines`` whose finish or balls hold it."""
    alloy = inputs.route.alloy(position)
    low, high = np.zeros(len(lines)), np.zeros(len(lines))
    if alloy is None or not len(lines):
        return low, high
    finish, balls = (inputs.columns.masks[name][lines] for name in ("finish", "balls"))
    plated = finish == int(Finish.E0)
    from_plating = _from_plating(inputs, _solder_um(inputs, position, alloy), alloy)
    low[plated], high[plated] = from_plating.low, from_plating.high
    least, most = volume_ratios(inputs, position, alloy, lines)
    for bits in np.unique(balls).tolist():
        here = (balls == bits) & (bits & LEAD_BALLS != 0) & (bits & ~LEAD_BALLS == 0)
        shares = [_from_ball(ball, ratio[here], alloy) for ball in ball_alloys(bits) for ratio in (least, most)]
        if here.any():
            low[here] = np.minimum.reduce(shares)
            high[here] = np.maximum.reduce(shares)
    return low, high


def _solder_um(inputs: Inputs, position: int, alloy: Alloy) -> Span:
    """Height of the solder over the wetted finish."""
    if inputs.steps[position].kind is not StepKind.REFLOW:
        return Span(inputs.figure("fillet_low_um"), inputs.figure("fillet_high_um"))
    printed = Span(inputs.figure("transfer_low"), inputs.figure("transfer_high")).times(foil_mm(inputs, position))
    return printed.scaled(1000 * metal_share(inputs, position, alloy))


def _from_plating(inputs: Inputs, solder_um: Span, alloy: Alloy) -> Span:
    least, most = (
        _plated(inputs.figure(f"lead_plating_{end}_um"), inputs.figure(f"lead_plating_{end}_wt_pct"), height, alloy)
        for end, height in (("low", solder_um.high), ("high", solder_um.low))
    )
    return Span(least, most)


def _plated(thickness_um: float, lead_wt_pct: float, solder_um: float, alloy: Alloy) -> float:
    finish = Composition.of({"Sn": 100 - lead_wt_pct, "Pb": lead_wt_pct})
    mass = thickness_um * finish.density_g_cm3
    return lead_wt_pct * mass / (mass + solder_um * alloy.density_g_cm3)


def _from_ball(ball: Alloy, ratio: Values, paste: Alloy) -> Values:
    by_mass = ratio * paste.density_g_cm3 / ball.density_g_cm3
    shares: Values = (ball.composition_wt_pct.get("Pb", 0.0) + by_mass * paste.composition_wt_pct.get("Pb", 0.0)) / (
        1 + by_mass
    )
    return shares
