"""A route: the ordered steps by which a product is soldered and heated, and what each step does to the joints.

Temperatures in °C, differences in K. A step is typed as the hottest body (``peak_c``) and how much cooler the coldest
joint stays (``spread_k``).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from webapp.trade.ranges import Span

NAME_LENGTH = 80
"""Longest name of a route or step."""


class StepKind(StrEnum):
    """What a step does. The value is stored and written in forms."""

    REFLOW = "reflow"
    WAVE = "wave"
    SELECTIVE = "selective"
    HAND = "hand"
    REWORK = "rework"
    HOT_BAR = "hot-bar"
    UNDERFILL = "underfill"
    POTTING = "potting"
    CURE = "cure"
    BAKE = "bake"
    WASH = "wash"
    PRESS_FIT = "press-fit"
    DEPANEL = "depanel"
    TEST = "test"
    BURN_IN = "burn-in"
    STRESS_SCREEN = "stress-screen"
    TRANSPORT = "transport"

    @property
    def words(self) -> str:
        """The kind as people read it."""
        return _WORDS[self]

    @property
    def makes_joints(self) -> bool:
        """Whether solder joints are made."""
        return self in _SOLDERING

    @property
    def is_local(self) -> bool:
        """Whether only some joints are heated to the peak; their neighbours stay at ``neighbour_c``."""
        return self in _LOCAL

    @property
    def encloses(self) -> bool:
        """Whether joints are enclosed, so that solder melting later is pressed out."""
        return self in (StepKind.UNDERFILL, StepKind.POTTING)

    @property
    def heats_all(self) -> bool:
        """Whether the whole assembly reaches the peak without new joints."""
        return self in _HEATING


_WORDS = {
    StepKind.REFLOW: "reflow",
    StepKind.WAVE: "wave soldering",
    StepKind.SELECTIVE: "selective soldering",
    StepKind.HAND: "soldering by hand",
    StepKind.REWORK: "rework",
    StepKind.HOT_BAR: "hot-bar soldering",
    StepKind.UNDERFILL: "underfill and its cure",
    StepKind.POTTING: "potting and its cure",
    StepKind.CURE: "cure of adhesive or coating",
    StepKind.BAKE: "drying bake",
    StepKind.WASH: "wash and dry",
    StepKind.PRESS_FIT: "press-fit",
    StepKind.DEPANEL: "depanelling",
    StepKind.TEST: "electrical test",
    StepKind.BURN_IN: "burn-in",
    StepKind.STRESS_SCREEN: "stress screen",
    StepKind.TRANSPORT: "storage and transport",
}
_SOLDERING = frozenset(
    {StepKind.REFLOW, StepKind.WAVE, StepKind.SELECTIVE, StepKind.HAND, StepKind.REWORK, StepKind.HOT_BAR}
)
_LOCAL = _SOLDERING - {StepKind.REFLOW}
_HEATING = frozenset(
    {
        StepKind.UNDERFILL,
        StepKind.POTTING,
        StepKind.CURE,
        StepKind.BAKE,
        StepKind.WASH,
        StepKind.BURN_IN,
        StepKind.STRESS_SCREEN,
        StepKind.TRANSPORT,
    }
)


class Side(StrEnum):
    """A side of the board."""

    TOP = "top"
    BOTTOM = "bottom"


@dataclass(frozen=True, slots=True)
class Step:
    """One step.

    ``alloy``: designation of trade.materials, for steps that make joints; that of the paste where ``paste`` (its name)
    is given. ``foil_mm``: thickness of the stencil. ``peak_c``: hottest body, or the temperature
    of a cure, bake, burn-in. ``spread_k``: hottest body less coldest joint. ``above_melting_s``: time above melting.
    ``hours``: how long, for cures, bakes and the like. ``neighbour_c``: what joints beside a local step reach (for a
    wave: the side away from it). ``wave_side_c``: what joints made before on the side that meets the wave reach: the
    bath's temperature, or less under a pallet. None is "not known".
    """

    kind: StepKind
    name: str = ""
    side: Side | None = None
    alloy: str | None = None
    peak_c: float | None = None
    spread_k: float = 0.0
    above_melting_s: float | None = None
    hours: float | None = None
    neighbour_c: float | None = None
    paste: str | None = None
    foil_mm: float | None = None
    wave_side_c: float | None = None

    @property
    def side_in_wave(self) -> Side:
        """The side that meets the wave: the bottom unless the step says otherwise."""
        return self.side or Side.BOTTOM

    @property
    def joint_min_c(self) -> float | None:
        """Coldest joint."""
        return None if self.peak_c is None else self.peak_c - self.spread_k

    @property
    def title(self) -> str:
        """ "reflow, bottom side" unless the step has a name of its own."""
        return self.name or (f"{self.kind.words}, {self.side} side" if self.side else self.kind.words)


STEP_LIMITS: dict[str, Span] = {
    "peak_c": Span(-80, 450),
    "spread_k": Span(0, 100),
    "above_melting_s": Span(0, 3600),
    "hours": Span(0, 100_000),
    "neighbour_c": Span(-80, 450),
    "wave_side_c": Span(-80, 450),
    "foil_mm": Span(0.02, 0.5),
}
"""Number of a step -> values that make sense, in its unit."""


@dataclass(frozen=True, slots=True)
class Route:
    """Steps in the order they are done."""

    name: str
    steps: tuple[Step, ...] = ()

    def numbered(self) -> Iterator[tuple[int, Step]]:
        """(position from 0, step), in order."""
        return enumerate(self.steps)

    def prints(self) -> list[tuple[int, Step]]:
        """The reflow steps: positions and steps."""
        return [(i, step) for i, step in self.numbered() if step.kind is StepKind.REFLOW]
