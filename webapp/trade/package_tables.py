"""The tables behind ``packages``: named outlines, families with a count, chip sizes, moulded cases, balls by pitch."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from webapp.trade.classes import PartClass
from webapp.trade.masks import Joints, Mounting
from webapp.trade.ranges import NOT_NEGATIVE, Span, spanning
from webapp.trade.tables import Row, rows


@dataclass(frozen=True, slots=True)
class Outline:
    """The outline a text names. ``classes``: what comes in it; ``typical``: what mostly does, of those.

    Lengths in mm over the body, ``length_mm`` the longer side; ``terminals`` counts joints. ``words``: what was read.
    ``whole``: whether the name says what the package is; a size alone does not.
    """

    name: str
    words: str
    classes: PartClass
    typical: PartClass
    mounting: Mounting
    joints: Joints
    length_mm: Span = NOT_NEGATIVE
    width_mm: Span = NOT_NEGATIVE
    height_mm: Span = NOT_NEGATIVE
    pitch_mm: Span = NOT_NEGATIVE
    terminals: Span = NOT_NEGATIVE
    whole: bool = True


@dataclass(frozen=True, slots=True)
class Family:
    """Packages that differ in count and size: what they have in common."""

    name: str
    spellings: tuple[str, ...]
    outline: Outline
    without_count: bool


def _optional_span(row: Row, name: str) -> Span:
    return row.span(name) if row.text(name) else NOT_NEGATIVE


@cache
def families() -> Mapping[str, Family]:
    """All families by name."""
    return {row.text("family"): _family(row) for row in rows("package_families")}


def _family(row: Row) -> Family:
    outline = Outline(
        name=row.text("family"),
        words="",
        classes=PartClass.from_keys(row.text("classes")),
        typical=PartClass.from_keys(row.text("typical")),
        mounting=Mounting.from_keys(row.text("mounting")),
        joints=Joints.from_keys(row.text("joints")),
        width_mm=row.span("width_mm"),
        height_mm=row.span("height_mm"),
        pitch_mm=_optional_span(row, "pitch_mm"),
        terminals=row.span("terminals"),
    )
    spellings = tuple(filter(None, row.text("spellings").split("|")))
    return Family(row.text("family"), spellings, outline, row.flag("without_count"))


@cache
def family_spellings() -> Mapping[str, Family]:
    """Spelling -> family."""
    return {spelling: family for family in families().values() for spelling in family.spellings}


@cache
def named_outlines() -> Mapping[str, Outline]:
    """Spelling without signs, "SOT235" -> outline."""
    return {
        spelling: _named(row) for row in rows("outlines") for spelling in filter(None, row.text("names").split("|"))
    }


def _named(row: Row) -> Outline:
    classes = PartClass.from_keys(row.text("classes"))
    return Outline(
        name=row.text("key"),
        words="",
        classes=classes,
        typical=classes & ~PartClass.OPTOCOUPLER,
        mounting=Mounting.from_keys(row.text("mounting")),
        joints=Joints.from_keys(row.text("joints")),
        length_mm=row.span("length_mm"),
        width_mm=row.span("width_mm"),
        height_mm=row.span("height_mm"),
        pitch_mm=_optional_span(row, "pitch_mm"),
        terminals=_optional_span(row, "terminals"),
    )


CHIP_CLASSES = PartClass.from_keys(
    "chip_resistor chip_capacitor chip_inductor chip_protection power_inductor tantalum film_smd led fuse_smd "
    "small_semi ceramic_rf crystal transformer_smd"
)
_CHIP_TYPICAL = PartClass.from_keys(
    "chip_resistor chip_capacitor chip_inductor chip_protection led fuse_smd small_semi ceramic_rf"
)
_SIDE_TOLERANCE = 0.1


def _chip(row: Row, name: str) -> Outline:
    sides = sorted((row.number("length_mm"), row.number("width_mm")), reverse=True)
    return Outline(
        name=name,
        words="",
        classes=CHIP_CLASSES,
        typical=_CHIP_TYPICAL,
        mounting=Mounting.SMD,
        joints=Joints.CHIP_ENDS,
        length_mm=_around(sides[0]),
        width_mm=_around(sides[1]),
        height_mm=row.span("height_mm"),
        terminals=Span(2, 2),
        whole=False,
    )


def _around(side: float) -> Span:
    """A nominal side with its tolerance: a tenth, at least 0.05 mm."""
    slack = max(0.05, side * _SIDE_TOLERANCE)
    return Span(side - slack, side + slack)


@cache
def inch_chips() -> Mapping[str, Outline]:
    """Inch code -> chip outline."""
    return {row.text("inch"): _chip(row, row.text("inch")) for row in rows("chips")}


@cache
def metric_chips() -> Mapping[str, Outline]:
    """Metric code -> chip outline, named by its inch code."""
    return {row.text("metric"): _chip(row, row.text("inch")) for row in rows("chips") if row.text("metric")}


MOULDED = PartClass.TANTALUM | PartClass.CAN_POLYMER
"""What comes in the cases of EIA-535: tantalum, with manganese dioxide or polymer, and aluminium with polymer."""


@dataclass(frozen=True, slots=True)
class MouldedCase:
    """A case of moulded tantalum and polymer capacitors."""

    letter: str
    metric: str
    eia: str
    outline: Outline


@cache
def moulded_cases() -> tuple[MouldedCase, ...]:
    """All cases, the usual letters first."""
    return tuple(
        MouldedCase(row.text("case"), row.text("metric"), row.text("eia"), _moulded(row))
        for row in rows("moulded_cases")
    )


def _moulded(row: Row) -> Outline:
    return Outline(
        name=f"case {row.text('case')}",
        words="",
        classes=MOULDED,
        typical=MOULDED,
        mounting=Mounting.SMD,
        joints=Joints.LANDS,
        length_mm=row.span("length_mm"),
        width_mm=row.span("width_mm"),
        height_mm=row.span("height_mm"),
        terminals=Span(2, 2),
    )


@cache
def _balls() -> tuple[tuple[float, Span], ...]:
    found = ((row.number("pitch_mm"), row.span("diameter_mm")) for row in rows("balls"))
    return tuple(sorted(found, key=lambda item: item[0]))


@cache
def ball_pitches_mm() -> frozenset[float]:
    """The usual pitches of balls, mm."""
    return frozenset(pitch for pitch, _ in _balls())


def ball_diameter_mm(pitch_mm: Span) -> Span:
    """Diameters of the balls usual at these pitches, mm (IPC-7095, from memory); 0.1 to 0.9 when none is in range."""
    near = [span for pitch, span in _balls() if pitch_mm.low - 0.03 <= pitch <= pitch_mm.high + 0.03]
    return spanning(near) if near else Span(0.1, 0.9)
