"""What a joint of two solders becomes: ball and paste, solder and repair wire, solder and what the pads give up.

Composition by mass; what melts and what dissolves from :mod:`webapp.science.melting`. At the peak the solder that is
liquid takes up the other until the liquid is saturated, which is when its own (matrix) liquidus has risen to the peak:
one mass of liquid solder takes up k masses of the other,

    matrix liquidus((liquid + k other) / (1 + k)) = peak.

The share of a ball dissolved is then k m_paste / m_ball, 1 at most: a lower estimate of what is affected, as diffusion
in the solid comes on top; the mixed height takes that into account by a calibration factor (1 by default, 1 to 4 by
sections of one's own joints). A lower bound is given besides that counts tin, bismuth and lead only, since silver and
copper from the ball make the liquid take up more. Where nothing else is said, volumes add up, pads are round and
liquid solder has the shape of a truncated sphere without load, V = pi h / 6 (3 a1^2 + 3 a2^2 + h^2).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import asinh, pi, sinh, sqrt
from typing import Literal, TypeVar

import numpy as np

from webapp.errors import InvalidInputError
from webapp.science.alloy_points import grouped, not_covered
from webapp.science.equilibrium import equilibrium
from webapp.science.gibbs import ZERO_C, Array
from webapp.science.melting import (
    EXPOSURES_C,
    Freezing,
    MeltingRange,
    NotCovered,
    freezings,
    melting_ranges,
)
from webapp.science.transitions import Points, falling_root, liquid_mass_share, liquidus
from webapp.trade.composition import Composition, mixed

Shape = Literal["round", "square"]
_Found = TypeVar("_Found")

_MATRIX = ("Sn", "Bi", "Pb")
_PAD_OF_NO_ACCOUNT = 1e-12
_LARGEST_PART = 0.999999  # of the dissolving solder in the mixture, short of its own liquidus
_LIMITS: Mapping[str, tuple[float, float]] = {
    "ball_diameter_mm": (0.02, 3.0),
    "pad_package_mm": (0.01, 3.0),
    "pad_board_mm": (0.01, 3.0),
    "peak_c": (100.0, 400.0),
    "height_factor": (1.0, 4.0),
    "aperture_mm": (0.02, 10.0),
    "foil_mm": (0.01, 1.0),
    "transfer_efficiency": (0.0, 2.0),
    "metal_volume_share": (0.1, 1.0),
}


@dataclass(frozen=True, slots=True)
class Deposit:
    """Paste printed through one opening: width or diameter and foil in mm, shares as fractions.

    Raises :class:`InvalidInputError` naming the field that is out of range.
    """

    aperture_mm: float
    foil_mm: float
    shape: Shape = "round"
    transfer_efficiency: float = 1.0
    metal_volume_share: float = 0.5

    def __post_init__(self) -> None:
        if self.shape not in ("round", "square"):
            raise InvalidInputError("The opening is round or square.", field="aperture_shape")
        _check(self, ("aperture_mm", "foil_mm", "transfer_efficiency", "metal_volume_share"))

    @property
    def area_ratio(self) -> float:
        """Opening over wall: d / (4 t), round and square alike."""
        return self.aperture_mm / (4 * self.foil_mm)

    @property
    def metal_mm3(self) -> float:
        """Solder left when the flux is gone: area x foil x transfer efficiency x share of metal."""
        area = self.aperture_mm**2 * (pi / 4 if self.shape == "round" else 1.0)
        return area * self.foil_mm * self.transfer_efficiency * self.metal_volume_share


@dataclass(frozen=True, slots=True)
class BallJoint:
    """A ball on a paste deposit: alloys, mm, peak of the joint in °C; ``pad_metal_mg`` taken up from the pads.

    ``height_factor`` multiplies the mixed height for diffusion in the solid. Raises :class:`InvalidInputError`.
    """

    ball: Composition
    ball_diameter_mm: float
    pad_package_mm: float
    pad_board_mm: float
    paste: Composition
    deposit: Deposit
    peak_c: float
    pad_metal_mg: tuple[tuple[Composition, float], ...] = ()
    height_factor: float = 1.0

    def __post_init__(self) -> None:
        _check(self, ("ball_diameter_mm", "pad_package_mm", "pad_board_mm", "peak_c", "height_factor"))
        if any(mass < 0 for _, mass in self.pad_metal_mg):
            raise InvalidInputError("A mass is not negative.", field="pad_metal_mg")

    @property
    def ball_mm3(self) -> float:
        """Volume of the ball."""
        return pi / 6 * self.ball_diameter_mm**3

    @property
    def ball_mg(self) -> float:
        """Mass of the ball."""
        return self.ball_mm3 * self.ball.density_g_cm3

    @property
    def paste_mg(self) -> float:
        """Mass of the solder from the paste."""
        return self.deposit.metal_mm3 * self.paste.density_g_cm3

    @property
    def composition(self) -> Composition:
        """Of the whole joint, were it mixed."""
        parts = [(self.ball, self.ball_mg), (self.paste, self.paste_mg), *self.pad_metal_mg]
        return _mixed(parts)


@dataclass(frozen=True, slots=True)
class Band:
    """The part of a joint that was liquid at the peak: composition, share of the joint's height (volume share times
    the height factor), and what of it is liquid again at the exposures (°C -> mass fraction)."""

    composition: Composition
    height_share: float
    left_at: Mapping[float, float]
    melting: MeltingRange


@dataclass(frozen=True, slots=True)
class Mixing:
    """What the peak makes of a joint.

    ``full_melt_c``: matrix liquidus of the whole. ``dissolved_ball`` and ``dissolved_paste``: shares that are liquid
    at the peak (1 when molten), ``dissolved_ball_bound`` with silver and copper left out. ``band`` is ``None`` when
    neither solder is all liquid at the peak. ``left_at`` is for the whole, mixed.
    """

    whole: MeltingRange
    liquid_at_peak: float
    dissolved_ball: float
    dissolved_ball_bound: float
    dissolved_paste: float
    band: Band | None
    left_at: Mapping[float, float]

    @property
    def full_melt_c(self) -> float:
        """Where the last of the tin, bismuth or lead of the whole joint would melt, °C."""
        return self.whole.matrix_liquidus_c

    @property
    def melts_through(self) -> bool:
        """Whether ball and paste become one at the peak."""
        return self.dissolved_ball >= 1 and self.dissolved_paste >= 1


@dataclass(frozen=True, slots=True)
class MixedJoint:
    """A ball joint after its peak: composition of the whole, stand-off in mm were the ball molten and unmelted, and
    the mixing, or why it is not calculated."""

    composition: Composition
    standoff_collapsed_mm: float
    standoff_unmelted_mm: float
    mixing: Mixing | NotCovered


@dataclass(frozen=True, slots=True)
class Dilution:
    """Solders and metals melted into one: composition, melting, and freezing, each or why it is not calculated."""

    composition: Composition
    melting: MeltingRange | NotCovered
    freezing: Freezing | NotCovered


def mixed_joint(joint: BallJoint, exposures_c: Sequence[float] = EXPOSURES_C) -> MixedJoint:
    """One ball joint."""
    return mixed_joints([joint], exposures_c)[0]


def mixed_joints(joints: Sequence[BallJoint], exposures_c: Sequence[float] = EXPOSURES_C) -> list[MixedJoint]:
    """Many ball joints at once: alloys and peaks that repeat are calculated once; without exposures, which take the
    most time, ``left_at`` is empty."""
    wholes = [joint.composition for joint in joints]
    covered = [place for place, joint in enumerate(joints) if _reason(joint, wholes[place]) is None]
    mixings = _mixings([joints[place] for place in covered], exposures_c)
    found = dict(zip(covered, mixings, strict=True))
    return [
        MixedJoint(
            composition=whole,
            standoff_collapsed_mm=standoff_mm(
                joint.ball_mm3 + joint.deposit.metal_mm3, joint.pad_package_mm, joint.pad_board_mm
            ),
            standoff_unmelted_mm=standoff_mm(joint.ball_mm3, joint.pad_package_mm, 0.0),
            mixing=found[place] if place in found else NotCovered(whole, _reason(joint, whole) or ""),
        )
        for place, (joint, whole) in enumerate(zip(joints, wholes, strict=True))
    ]


def standoff_mm(volume_mm3: float, pad_one_mm: float, pad_two_mm: float) -> float:
    """Height of a truncated sphere of that volume between round pads of these diameters, no load on it.

    The root of V = pi h / 6 (3 a1^2 + 3 a2^2 + h^2), a = pad / 2 (one pad of 0: a ball standing on its round end).
    """
    linear, constant = 3 * (pad_one_mm**2 + pad_two_mm**2) / 4, 6 * volume_mm3 / pi
    sphere = float(constant ** (1 / 3))
    if linear < _PAD_OF_NO_ACCOUNT * sphere**2:
        return sphere
    return 2 * sqrt(linear / 3) * sinh(asinh(1.5 * constant / linear * sqrt(3 / linear)) / 3)


def diluted(parts_mg: Sequence[tuple[Composition, float]], exposures_c: Sequence[float] = EXPOSURES_C) -> Dilution:
    """Parts by mass (mg, or any one unit) as one melt: a joint and repair wire, solder and a pad's tin or gold."""
    composition = _mixed(parts_mg)
    return Dilution(composition, melting_ranges([composition])[0], freezings([composition], exposures_c)[0])


def layer_mg(metal: Composition, area_mm2: float, thickness_um: float) -> float:
    """Mass of a layer on a pad: area x thickness x density."""
    return area_mm2 * thickness_um / 1000 * metal.density_g_cm3


def taken_up(liquid: Composition, solid: Composition, peak_c: float, *, matrix_only: bool = False) -> float | None:
    """Mass of ``solid`` that a mass of ``liquid`` solder takes up at the peak; infinite where it melts by itself.

    ``None`` where ``liquid`` is not liquid at the peak. ``matrix_only`` counts silver and copper as tin. Both and
    their mixtures must be covered (:func:`webapp.science.alloy_points.not_covered`).
    """
    return taken_up_each([(liquid, solid, peak_c)], matrix_only=matrix_only)[0]


def taken_up_each(
    cases: Sequence[tuple[Composition, Composition, float]], *, matrix_only: bool = False
) -> list[float | None]:
    """The same for many (liquid, solid, peak) at once; those that repeat are calculated once."""
    distinct = list(dict.fromkeys(cases))
    alike = _matrix_of if matrix_only else lambda composition: composition
    pairs = [(alike(liquid), alike(solid)) for liquid, solid, _ in distinct]
    peaks = np.array([peak for _, _, peak in distinct])
    of_liquid = _matrix_liquidus_c([liquid for liquid, _ in pairs])
    of_solid = _matrix_liquidus_c([solid for _, solid in pairs])
    open_ = np.flatnonzero((of_liquid <= peaks) & (of_solid > peaks))

    def below_peak(points: Points, part: Array) -> Array:
        mixtures = [
            _mixed([(pairs[open_[point]][0], 1 - share), (pairs[open_[point]][1], share)])
            for point, share in zip(points.tolist(), part.tolist(), strict=True)
        ]
        return peaks[open_[points]] - _matrix_liquidus_c(mixtures)

    low, high = np.zeros(len(open_)), np.full(len(open_), _LARGEST_PART)
    part = falling_root(below_peak, low, high, (peaks - of_solid)[open_], 0.5 * (low + high)) if len(open_) else low
    ratios: list[float | None] = [
        None if of_liquid[place] > peaks[place] else float("inf") for place in range(len(distinct))
    ]
    for place, share in zip(open_.tolist(), part.tolist(), strict=True):
        ratios[place] = share / (1 - share)
    by_case = dict(zip(distinct, ratios, strict=True))
    return [by_case[case] for case in cases]


def _mixings(joints: Sequence[BallJoint], exposures_c: Sequence[float]) -> list[Mixing]:
    """For joints whose alloys are covered."""
    if not joints:
        return []
    by_paste = [(joint.paste, joint.ball, joint.peak_c) for joint in joints]
    by_ball = [(joint.ball, joint.paste, joint.peak_c) for joint in joints]
    ball_ratios, paste_ratios = (taken_up_each(cases) for cases in (by_paste, by_ball))
    bounds = taken_up_each(by_paste, matrix_only=True)
    shares = [_shares(*case) for case in zip(joints, ball_ratios, paste_ratios, strict=True)]
    wholes = [joint.composition for joint in joints]
    bands = [_band_composition(*case) for case in zip(joints, shares, strict=True)]
    some = wholes + [band or whole for band, whole in zip(bands, wholes, strict=True)]
    ranges, left = [_covered(span) for span in melting_ranges(some)], _left_at(some, exposures_c)
    liquid = _liquid_at(wholes, [joint.peak_c for joint in joints])
    result = []
    for place, joint in enumerate(joints):
        band, of_band = bands[place], len(joints) + place
        height = _height_share(joint, shares[place])
        result.append(
            Mixing(
                whole=ranges[place],
                liquid_at_peak=liquid[place],
                dissolved_ball=shares[place][0],
                dissolved_ball_bound=_shares(joint, bounds[place], paste_ratios[place])[0],
                dissolved_paste=shares[place][1],
                band=Band(band, height, left[of_band], ranges[of_band]) if band is not None else None,
                left_at=left[place],
            )
        )
    return result


def _shares(joint: BallJoint, ball_ratio: float | None, paste_ratio: float | None) -> tuple[float, float]:
    """Shares of ball and paste that are liquid at the peak, from how much of each a mass of the other takes up."""
    if ball_ratio is None and paste_ratio is None:
        return 0.0, 0.0
    ball = 1.0 if ball_ratio is None else min(1.0, ball_ratio * joint.paste_mg / joint.ball_mg)
    paste = 1.0 if paste_ratio is None else min(1.0, paste_ratio * joint.ball_mg / joint.paste_mg)
    return ball, paste


def _band_composition(joint: BallJoint, shares: tuple[float, float]) -> Composition | None:
    ball, paste = shares
    if not ball and not paste:
        return None
    if ball >= 1 and paste >= 1:
        return joint.composition
    return _mixed([(joint.ball, ball * joint.ball_mg), (joint.paste, paste * joint.paste_mg)])


def _height_share(joint: BallJoint, shares: tuple[float, float]) -> float:
    """By volume, as if the joint were as wide everywhere; times the factor for diffusion in the solid."""
    band = shares[0] * joint.ball_mm3 + shares[1] * joint.deposit.metal_mm3
    return min(1.0, joint.height_factor * band / (joint.ball_mm3 + joint.deposit.metal_mm3))


def _left_at(compositions: Sequence[Composition], exposures_c: Sequence[float]) -> list[Mapping[float, float]]:
    """What is liquid of each again; where nothing is asked for, nothing is frozen."""
    if not exposures_c:
        return [{} for _ in compositions]
    return [_covered(way).left_at for way in freezings(compositions, exposures_c)]


def _covered(found: _Found | NotCovered) -> _Found:
    if isinstance(found, NotCovered):
        raise TypeError("a mixture of covered alloys is not covered")
    return found


def _reason(joint: BallJoint, whole: Composition) -> str | None:
    """Why a joint cannot be calculated: a solder, or what they make together, is not covered."""
    return not_covered(joint.ball) or not_covered(joint.paste) or not_covered(whole)


def _liquid_at(compositions: Sequence[Composition], t_c: Sequence[float]) -> list[float]:
    """Mass fractions of liquid in equilibrium, each alloy at its temperature."""
    t_k, result = np.array(t_c) + ZERO_C, np.empty(len(compositions))
    for points in grouped(compositions):
        found = equilibrium(points.system, t_k[points.places], points.z)
        result[points.places] = liquid_mass_share(found, points.z, points.masses)
    return [float(value) for value in result]


def _matrix_liquidus_c(compositions: Sequence[Composition]) -> Array:
    """Unrounded, so that it is smooth along a line of mixtures."""
    result = np.empty(len(compositions))
    for points in grouped(compositions):
        result[points.places] = liquidus(points.system, points.z).matrix_t_k - ZERO_C
    return result


def _matrix_of(composition: Composition) -> Composition:
    """The same with silver and copper counted as tin."""
    shares = {symbol: share for symbol, share in composition.shares if symbol in _MATRIX}
    return Composition.of({**shares, "Sn": 100 - sum(share for symbol, share in shares.items() if symbol != "Sn")})


def _mixed(parts: Sequence[tuple[Composition, float]]) -> Composition:
    masses: dict[Composition, float] = {}
    for composition, mass in parts:
        masses[composition] = masses.get(composition, 0.0) + mass
    return mixed(masses)


def _check(values: object, names: Sequence[str]) -> None:
    for name in names:
        low, high = _LIMITS[name]
        if not low <= getattr(values, name) <= high or getattr(values, name) == 0:
            raise InvalidInputError(f"{name} is between {low:g} and {high:g}.", field=name)
