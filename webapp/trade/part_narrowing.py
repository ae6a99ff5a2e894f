"""Narrowing what a part may be by the outline it comes in: classes that differ by size, and what mostly comes in it."""

from dataclasses import replace

from webapp.trade.classes import PartClass
from webapp.trade.masks import Joints
from webapp.trade.package_tables import MOULDED, Outline
from webapp.trade.part_words import Kind
from webapp.trade.ranges import Span

_FEW_TERMINALS = 6
_SMALL_BODY_MM = 2.2
_POWER_BODY_MM = 2.9


def typical(classes: PartClass, outline: Outline) -> PartClass:
    """What mostly comes in the outline, where several classes are left; small DIL and SO hold optocouplers too."""
    few = outline.terminals.high <= _FEW_TERMINALS
    if classes.certain or (
        few and outline.classes & _OPTO and classes & _OPTO and outline.name.startswith(("SO-", "DIP"))
    ):
        return classes
    return classes & outline.typical or classes


_MOULDED_SIZES = frozenset({"1411", "2312", "2917"})
"""Inch codes of 3528, 6032 and 7343: the sizes of moulded capacitors, in which no ceramic ones are usual."""


def of_capacitor(outline: Outline, kind: Kind) -> Outline:
    """The outline of a capacitor: 7343 and its like are moulded cases, unless the words say ceramic."""
    if outline.name not in _MOULDED_SIZES or not kind.classes & MOULDED:
        return outline
    return replace(outline, classes=MOULDED, typical=MOULDED, joints=Joints.LANDS)


_OPTO = PartClass.OPTOCOUPLER | PartClass.OPTO_LEADED
_SEMIS = PartClass.SMALL_SEMI | PartClass.POWER_SEMI
_COILS = PartClass.CHIP_INDUCTOR | PartClass.POWER_INDUCTOR
_CRYSTALS = PartClass.CRYSTAL | PartClass.CRYSTAL_LEADED
_LONGEST_FLAT_MM = 8.2
_SLIM = 2.3
CANS = PartClass.from_keys("can_small can_8x10 can_10 can_large")


def sized(classes: PartClass, outline: Outline) -> PartClass:
    """Classes that differ by size, told apart where the outline gives one."""
    side = outline.length_mm
    if classes & _SEMIS == _SEMIS and side.bounded:
        classes &= ~_by_side(side, PartClass.SMALL_SEMI, PartClass.POWER_SEMI)
    if classes & _COILS == _COILS and side.bounded:
        classes &= ~_by_side(side, PartClass.CHIP_INDUCTOR, PartClass.POWER_INDUCTOR, factor=1.5)
    if classes & _CRYSTALS == _CRYSTALS and _flat(outline):
        classes &= ~PartClass.CRYSTAL_LEADED
    if classes & CANS and not (classes & CANS).certain and outline.width_mm.bounded:
        classes = classes & ~CANS | _can_classes(outline)
    return classes


def _flat(outline: Outline) -> bool:
    """Whether the sides are those of a flat crystal: leaded ones are longer, or slim cylinders."""
    length, width = outline.length_mm, outline.width_mm
    return length.high <= _LONGEST_FLAT_MM and width.low > 0 and length.high <= _SLIM * width.high


def _by_side(side: Span, small: PartClass, large: PartClass, factor: float = 1.0) -> PartClass:
    """Which of the two classes a body of this side cannot be; none in between."""
    if side.high <= _SMALL_BODY_MM * factor:
        return large
    return small if side.low >= _POWER_BODY_MM * factor else PartClass(0)


def _can_classes(outline: Outline) -> PartClass:
    """Classes of aluminium cans by diameter; where only two sides are known, either may be the diameter."""
    if outline.name == "can":
        return _can_class(outline.width_mm.low + 0.3, outline.height_mm)
    sides = (outline.length_mm, outline.width_mm)
    centres = [(side.low + side.high) / 2 for side in sides]
    return _can_class(centres[0], sides[1]) | _can_class(centres[1], sides[0])


def _can_class(diameter_mm: float, height_mm: Span) -> PartClass:
    if diameter_mm > 11.0:
        return PartClass.CAN_LARGE
    if diameter_mm > 9.0:
        return PartClass.CAN_10
    if diameter_mm < 7.5 or height_mm.high < 9.0:
        return PartClass.CAN_SMALL
    return PartClass.CAN_8X10 if height_mm.low >= 8.5 else PartClass.CAN_SMALL | PartClass.CAN_8X10
