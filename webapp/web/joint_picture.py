"""A ball joint to scale, as the page draws it: paths in px for inline SVG (templates/joints/_picture.html).

Heights are measured from the board upwards, in mm. Solder that is liquid between round pads has the shape of a
truncated sphere; a ball that stays whole is one on its pad, standing on the board, and the solder of the paste is one
around its foot. Nothing more is simulated.
"""

from dataclasses import dataclass
from math import pi, sqrt

from webapp.desk.joint_detail import Makes, Worked
from webapp.web.wording import number

_LARGEST = 140.0  # px of the widest and the highest of what is drawn
_LEFT, _RIGHT, _TOP, _BOTTOM = 16.0, 76.0, 14.0, 46.0  # px around it: the dimension stands at the right
_PLATE, _PAD = 10.0, 3.0  # px: thickness of package and board as drawn, of their pads
_OVERHANG = 10.0  # px by which package and board reach past the widest part
_BAR_SHARE = 0.4  # of the width: the longest bar of the scale
_HALVINGS = 60


@dataclass(frozen=True, slots=True)
class Ball:
    """A sphere cut by the pad of the package, and by that of the board unless it stands on its round end; mm."""

    height: float
    top: float
    foot: float

    @property
    def middle(self) -> float:
        """Height of the sphere's centre."""
        return (self.height**2 + self.top**2 - self.foot**2) / (2 * self.height)

    @property
    def radius(self) -> float:
        """Of the sphere."""
        return sqrt(self.foot**2 + self.middle**2)

    @property
    def widest(self) -> float:
        """Radius where it is widest between the pads."""
        inside = 0 <= self.middle <= self.height
        return self.radius if inside else max(self.top, self.foot)

    def radius_at(self, height: float) -> float:
        """Radius of the cut at a height between foot and top."""
        return sqrt(max(self.radius**2 - (height - self.middle) ** 2, 0.0))

    def volume_below(self, height: float) -> float:
        """Volume between the foot and a height, mm³."""
        cut = self.radius_at(height)
        return pi * height / 6 * (3 * self.foot**2 + 3 * cut**2 + height**2)


def fillet_around(ball: Ball, pad_radius: float, volume_mm3: float) -> Ball:
    """The solder of the paste around a ball on its round end, the ball inside: a truncated sphere too, from the edge of
    the pad to a cut of the ball, no higher than where the ball is widest."""

    def around(height: float) -> Ball:
        return Ball(height, ball.radius_at(height), pad_radius)

    low, high = 0.0, min(ball.middle, ball.height)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        is_enough = around(middle).volume_below(middle) - ball.volume_below(middle) >= volume_mm3
        low, high = (low, middle) if is_enough else (middle, high)
    return around(high)


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in px."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Dimension:
    """A vertical dimension line in px with its text."""

    x: float
    top: float
    bottom: float
    text: str


@dataclass(frozen=True, slots=True)
class Panel:
    """One state of the joint. ``solid``: what is ball, ``solder``: what is solder of the paste, ``mixed``: what both
    have become, paths each; ``paste``: the deposit as printed; ``is_made``: what the step gives, else what it is
    compared with, as ``label`` says. ``words`` tell it to a listener."""

    key: str
    title: str
    label: str
    note: str
    words: str
    is_made: bool
    solid: str
    solder: str
    mixed: tuple[str, ...]
    paste: Box | None
    package: Box
    package_pad: Box
    board: Box
    board_pad: Box
    dimension: Dimension


@dataclass(frozen=True, slots=True)
class Picture:
    """The states of a joint at one scale; px. ``bar`` is the length of ``bar_text`` (mm)."""

    width: float
    height: float
    bar: Box
    bar_text: str
    panels: tuple[Panel, ...]


def joint_picture(worked: Worked) -> Picture:
    """As printed; with the ball whole; with ball and solder as one: what the step gives is marked."""
    drawing = _Drawing(worked)
    panels = (drawing.printed(), drawing.whole(), drawing.collapsed())
    bar_mm = _round_below(_BAR_SHARE * drawing.width_mm)
    bar = Box(_LEFT, drawing.base + _PLATE + 14, bar_mm * drawing.scale, 0.0)
    return Picture(drawing.width, drawing.base + _BOTTOM, bar, number(bar_mm, "mm"), panels)


class _Drawing:
    """The scale that all panels share, and the panels."""

    def __init__(self, worked: Worked) -> None:
        self._worked, self._joint = worked, worked.joint
        joint, result = self._joint, worked.result
        self._ball = Ball(result.standoff_unmelted_mm, joint.pad_package_mm / 2, 0.0)
        self._one = Ball(result.standoff_collapsed_mm, joint.pad_package_mm / 2, joint.pad_board_mm / 2)
        self.width_mm = 2 * max(
            self._ball.widest, self._one.widest, joint.pad_board_mm / 2, joint.deposit.aperture_mm / 2
        )
        highest = max(joint.deposit.foil_mm + self._ball.height, self._one.height)
        self.scale = _LARGEST / max(self.width_mm, highest)
        self.base = _TOP + _PLATE + highest * self.scale
        self._centre = _LEFT + _OVERHANG + self.width_mm / 2 * self.scale
        self.width = 2 * self._centre - _LEFT + _RIGHT

    def printed(self) -> Panel:
        """The ball on the paste, before the step."""
        deposit = self._joint.deposit
        lifted = deposit.foil_mm
        half = deposit.aperture_mm / 2
        paste = Box(self._x(-half), self._y(lifted), 2 * half * self.scale, lifted * self.scale)
        opening = f"{deposit.shape} opening {_mm(deposit.aperture_mm)}, foil {_mm(deposit.foil_mm)}"
        height = lifted + self._ball.height
        return self._panel(
            "printed",
            "As printed",
            f"{opening[0].upper()}{opening[1:]}; ball {_mm(self._joint.ball_diameter_mm)}.",
            f"A ball of {_mm(self._joint.ball_diameter_mm)} on paste printed through a {opening}.",
            height,
            is_made=True,
            solid=self._cut(self._ball, 0.0, self._ball.height, lifted),
            paste=paste,
        )

    def whole(self) -> Panel:
        """The ball as it is, solder of the paste around its foot, the band of what is mixed hatched."""
        makes, mixing = self._worked.makes, self._worked.mixing
        is_made = makes is Makes.BALL_WHOLE
        band = mixing.band if mixing and is_made else None
        fillet = self._fillet(fillet_around(self._ball, self._joint.pad_board_mm / 2, self._joint.deposit.metal_mm3))
        share = band.height_share if band else 0.0
        mixed = (fillet, self._cut(self._ball, 0.0, share * self._ball.height)) if band else ()
        note = f"Stand-off {_mm(self._ball.height, 3)}"
        note += f"; mixed band {number(100 * share, '%', 0)} of the height, hatched." if band else "."
        return self._panel(
            "whole",
            "Ball whole",
            note,
            f"The ball stays whole and stands on the board. {note}",
            self._ball.height,
            is_made=is_made,
            solid=self._cut(self._ball, 0.0, self._ball.height),
            solder="" if band else fillet,
            mixed=mixed,
        )

    def collapsed(self) -> Panel:
        """Ball and solder as one between the pads."""
        makes, mixing = self._worked.makes, self._worked.mixing
        is_made = makes in (Makes.ONE, Makes.PASTE_WHOLE)
        share = mixing.band.height_share if mixing and mixing.band and is_made else 0.0
        below = (1 - share) * self._one.height
        note = f"Stand-off {_mm(self._one.height, 3)}."
        return self._panel(
            "one",
            "Melted through",
            note,
            f"Ball and solder have become one between the pads. {note}",
            self._one.height,
            is_made=is_made,
            solid=self._cut(self._one, 0.0, self._one.height),
            mixed=(self._cut(self._one, below, self._one.height),) if share else (),
        )

    def _panel(
        self,
        key: str,
        title: str,
        note: str,
        words: str,
        height_mm: float,
        *,
        is_made: bool,
        solid: str,
        solder: str = "",
        mixed: tuple[str, ...] = (),
        paste: Box | None = None,
    ) -> Panel:
        top, joint = self._y(height_mm), self._joint
        left, right = _LEFT, 2 * self._centre - _LEFT
        return Panel(
            key=key,
            title=title,
            label=self._label(key, is_made=is_made),
            note=note,
            words=words,
            is_made=is_made,
            solid=solid,
            solder=solder,
            mixed=mixed,
            paste=paste,
            package=Box(left, top - _PLATE, right - left, _PLATE),
            package_pad=self._pad(joint.pad_package_mm, top - _PAD),
            board=Box(left, self.base, right - left, _PLATE),
            board_pad=self._pad(joint.pad_board_mm, self.base),
            dimension=Dimension(right + 10, top, self.base, _mm(height_mm, 3)),
        )

    def _label(self, key: str, *, is_made: bool) -> str:
        """What the step has to do with a state."""
        if key == "printed":
            return "before the step"
        peak = number(round(self._joint.peak_c, 1), "°C")
        if is_made:
            return f"what {peak} gives"
        return "not covered" if self._worked.mixing is None else f"not at {peak}"

    def _pad(self, diameter_mm: float, y: float) -> Box:
        return Box(self._x(-diameter_mm / 2), y, diameter_mm * self.scale, _PAD)

    def _cut(self, ball: Ball, low: float, high: float, lifted: float = 0.0) -> str:
        """The outline of a ball between two heights."""
        foot, top, r = ball.radius_at(low), ball.radius_at(high), ball.radius * self.scale
        arc = f"A{r:.2f} {r:.2f} 0 0"
        start, down = self._at(top, high + lifted), self._at(foot, low + lifted)
        back, up = self._at(-foot, low + lifted), self._at(-top, high + lifted)
        return f"M{start}{arc} 1 {down}L{back}{arc} 1 {up}Z"

    def _fillet(self, outer: Ball) -> str:
        """The solder around the foot of the ball, which stands in it."""
        outside, inside = outer.radius * self.scale, self._ball.radius * self.scale
        out, along = f"A{outside:.2f} {outside:.2f} 0 0 1", f"A{inside:.2f} {inside:.2f} 0 0 0"
        rim = outer.height
        left = f"M{self._at(-outer.foot, 0)}{out} {self._at(-outer.top, rim)}{along} {self._at(0, 0)}"
        return f"{left}{along} {self._at(outer.top, rim)}{out} {self._at(outer.foot, 0)}Z"

    def _at(self, x_mm: float, height_mm: float) -> str:
        return f"{self._x(x_mm):.2f} {self._y(height_mm):.2f}"

    def _x(self, x_mm: float) -> float:
        return self._centre + x_mm * self.scale

    def _y(self, height_mm: float) -> float:
        return self.base - height_mm * self.scale


def _mm(value: float, places: int | None = None) -> str:
    return number(value, "mm", places)


def _round_below(value: float) -> float:
    """The largest of 1, 2, 5 times a power of ten that is not above ``value``."""
    power = 1.0
    while power > value:
        power /= 10
    return next(factor * power for factor in (5, 2, 1) if factor * power <= value)
