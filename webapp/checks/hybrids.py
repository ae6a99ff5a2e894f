"""What a ball and the paste printed under it become at a step, for many lines at once.

The solder's volume from paste over the ball's is, with a round opening that is a share f of the ball's diameter d,
foil t, transfer efficiency e and s the metal's share of the paste's volume:

    (pi / 4) (f d)^2 t e s / ((pi / 6) d^3) = 1.5 f^2 t e s / d.

What of it is not given is a range of the site's figures; a foil that is not given is no thicker than releases paste
(area ratio of IPC-7525: opening over four times the foil). What dissolves is of science.mixing.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from webapp.checks.columns import Columns
from webapp.checks.declare import Need
from webapp.checks.inputs import Inputs
from webapp.checks.joints import composition_of
from webapp.checks.verdicts import Flags, Values
from webapp.science.alloy_points import not_covered
from webapp.science.melting import NotCovered, melting_ranges
from webapp.science.mixing import taken_up_each
from webapp.trade.alloys import Alloy
from webapp.trade.composition import Composition, mixed
from webapp.trade.package_tables import ball_diameter_mm
from webapp.trade.practice import stencil_rule
from webapp.trade.ranges import Span
from webapp.trade.sources import Kind, Source, Status

DEPOSIT_FIGURES = (
    "opening_share_low",
    "opening_share_high",
    "foil_low_mm",
    "foil_high_mm",
    "transfer_low",
    "transfer_high",
    "plain_metal_share",
)
_EITHER = "either: it tells how much paste meets how much ball"
BALL_SIZES = (
    Need("ball_diameter_mm", "ball diameter", worse_is=_EITHER),
    Need("pitch_mm", "pitch", worse_is=_EITHER),
)
MIXING = Source(
    Kind.STANDARD,
    "melting and mixing calculated from published assessments of Sn-Bi-Ag-Cu-Pb",
    Status.DERIVED,
    "see Validation",
)
Lines: TypeAlias = NDArray[np.int64] | Flags | slice
"""Positions, flags or a slice of the lines."""
ALL = slice(None)

_Number = TypeVar("_Number", float, Values)
_SHARE_STEP = 0.002


def foil_mm(inputs: Inputs, position: int) -> Span:
    """Foil of a step, or the range of the site's figures."""
    given = inputs.steps[position].foil_mm
    return Span(inputs.figure("foil_low_mm"), inputs.figure("foil_high_mm")) if given is None else Span.exactly(given)


def metal_share(inputs: Inputs, position: int, alloy: Alloy) -> float:
    """Share of solder in the volume printed at a step."""
    paste = inputs.route.site.materials.paste(inputs.steps[position].paste)
    return inputs.figure("plain_metal_share") if paste is None else paste.metal_volume_share(alloy.density_g_cm3)


def volume_ratios(inputs: Inputs, position: int, alloy: Alloy, lines: Lines = ALL) -> tuple[Values, Values]:
    """For every one of ``lines`` the least and the most solder from paste over that of the ball, by volume."""
    small, large = ball_diameters_mm(inputs.columns, lines)
    share = metal_share(inputs, position, alloy)
    openings = Span(inputs.figure("opening_share_low"), inputs.figure("opening_share_high"))
    transfer = Span(inputs.figure("transfer_low"), inputs.figure("transfer_high"))
    thin, thick = _foils_mm(inputs, position, openings.low * large, openings.high * small)
    least = 1.5 * openings.low**2 * thin * transfer.low * share / large
    most = 1.5 * openings.high**2 * thick * transfer.high * share / small
    return least, np.maximum(least, most)


def _foils_mm(inputs: Inputs, position: int, *openings_mm: Values) -> tuple[Values, Values]:
    """The thinnest and the thickest foil for two openings of every line."""
    foil = foil_mm(inputs, position)
    if foil.known:
        return np.full(openings_mm[0].shape, foil.low), np.full(openings_mm[0].shape, foil.high)
    releases = [thickest_foil_mm(opening) for opening in openings_mm]
    return np.minimum(foil.low, releases[0]), np.minimum(foil.high, releases[1])


def thickest_foil_mm(opening_mm: _Number) -> _Number:
    """The foil that an opening still releases paste from (area ratio of IPC-7525)."""
    return opening_mm / (4 * stencil_rule("area_ratio_min").value)


def ball_diameters_mm(columns: Columns, lines: Lines = ALL) -> tuple[Values, Values]:
    """For every one of ``lines`` the smallest and the greatest diameter: as known, else those usual at the pitch."""
    low, high = (ends[lines].copy() for ends in columns.sizes["ball_diameter_mm"])
    finest, coarsest = (ends[lines] for ends in columns.sizes["pitch_mm"])
    unknown = np.flatnonzero((low <= 0) | ~np.isfinite(high))
    pitches = np.stack([finest[unknown], coarsest[unknown]], axis=1)
    distinct, index = np.unique(pitches, axis=0, return_inverse=True)
    usual = [ball_diameter_mm(Span(a, b)) for a, b in distinct.tolist()]
    if usual:
        low[unknown] = np.array([span.low for span in usual])[index.reshape(-1)]
        high[unknown] = np.array([span.high for span in usual])[index.reshape(-1)]
    return low, high


@dataclass(frozen=True, slots=True)
class Uptake:
    """What of each other two solders take up at a peak: mass of ball a mass of paste takes up and the other way round
    (inf: melts by itself; nan: the solder that should take up is not liquid)."""

    ball: float
    paste: float


def uptake(paste: Alloy, ball: Alloy, peak_c: float) -> tuple[Uptake, Uptake] | None:
    """The least and the most: with silver and copper counted as tin, and with all of them in the liquid.

    None where the thermodynamic data do not cover the alloys or what they make together.
    """
    return _uptake(composition_of(paste), composition_of(ball), peak_c)


@lru_cache(maxsize=4096)
def _uptake(one: Composition, other: Composition, peak_c: float) -> tuple[Uptake, Uptake] | None:
    if not_covered(one) or not_covered(other) or not_covered(mixed({one: 1.0, other: 1.0})):
        return None
    cases = [(one, other, peak_c), (other, one, peak_c)]
    most, of_tin = (
        [np.nan if ratio is None else ratio for ratio in taken_up_each(cases, matrix_only=matrix_only)]
        for matrix_only in (False, True)
    )
    # What melts by itself does so whatever is counted; a paste that melts only for its silver has no other figure.
    least = [m if np.isinf(m) or np.isnan(t) else t for m, t in zip(most, of_tin, strict=True)]
    return Uptake(*least), Uptake(*most)


@dataclass(frozen=True, slots=True)
class Mixed:
    """For every line shares from 0 to 1 at one amount of paste: of the ball dissolved, of the joint's height mixed."""

    ball: Values
    height: Values

    @property
    def through(self) -> Flags:
        """Where ball and paste become one."""
        return (self.ball >= 1) & (self.height >= 1)


def mixed_at(found: Uptake, ratio: Values, density_ratio: float, height_factor: float) -> Mixed:
    """``ratio``: volume of paste solder over ball; ``density_ratio``: density of the paste's alloy over the ball's."""
    by_mass = ratio * density_ratio
    neither = np.isnan(found.ball) and np.isnan(found.paste)
    ball = np.zeros_like(ratio) if neither else _share(found.ball, by_mass)
    paste = np.zeros_like(ratio) if neither else _share(found.paste, 1 / by_mass)
    height = height_factor * (ball + paste * ratio) / (1 + ratio)
    return Mixed(ball, np.minimum(1.0, height))


def _share(uptake_ratio: float, amount: Values) -> Values:
    """Dissolved share of a solder, all of it where it is the one that is liquid."""
    if np.isnan(uptake_ratio):
        return np.ones_like(amount)
    shares: Values = np.minimum(1.0, uptake_ratio * amount)
    return shares


def full_melt_c(paste: Alloy, ball: Alloy, ratio: Values) -> Values:
    """Where the whole joint, mixed, would be melted (its matrix liquidus), °C; to 0.2 % of paste and 0.1 K."""
    by_mass = ratio * paste.density_g_cm3 / ball.density_g_cm3
    shares = np.round(by_mass / (1 + by_mass) / _SHARE_STEP) * _SHARE_STEP
    distinct, index = np.unique(shares, return_inverse=True)
    one, other = composition_of(paste), composition_of(ball)
    wholes = [_whole(one, other, share) for share in distinct.tolist()]
    found = [np.nan if isinstance(r, NotCovered) else r.matrix_liquidus_c for r in melting_ranges(wholes)]
    melted: Values = np.array(found, dtype=np.float64).round(1)[index.reshape(-1)]
    return melted


def _whole(paste: Composition, ball: Composition, share: float) -> Composition:
    return mixed({paste: share, ball: 1 - share})
