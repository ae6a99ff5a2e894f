"""Names of land patterns after IPC-7351."""

import re
from dataclasses import replace

from webapp.trade.classes import PartClass
from webapp.trade.masks import Joints, Mounting
from webapp.trade.package_tables import CHIP_CLASSES, Outline, families
from webapp.trade.ranges import Span

_LEAD_OVERHANG_MM = 2.3
"""Leads of both sides together reach at most this far beyond the body."""

_FEW_LEADS = 7
_LEADED = re.compile(
    r"(?<![A-Z])(?P<kind>SOP|SOIC|QFP|QFN|SON|SOT|DFN|TO|SOJ|PQFN|TSSOP|SOD)(?P<pitch>\d{2,3})P"
    r"(?P<a>\d{3,4})X(?P<b>\d{2,4})(?:X(?P<c>\d{2,4}))?-(?P<n>\d{1,3})"
)
_ARRAY = re.compile(
    r"BGA(?P<n>\d{1,4})[CN]?(?P<pitch>\d{2,3})P\d{1,3}X\d{1,3}_(?P<a>\d{3,4})X(?P<b>\d{3,4})(?:X(?P<c>\d{2,3}))?"
)
_CHIP = re.compile(
    r"(?<![A-Z])(?P<kind>CAP|RES|IND|LED|DIO|FUS|THRM|BEAD|FIL|FUSE|VAR|XTAL|OSC|CAPC|INDC)"
    r"(?P<form>CP|CAF|CAV|C|MP|M|AE|MELF|PM|P)(?P<a>\d{4}|\d{3})(?:X(?P<h>\d{2,4}))"
)
_FAMILIES = {"SON": "DFN", "PQFN": "QFN", "SOP": "SO"}


def land_pattern(text: str) -> Outline | None:
    """The outline of an IPC-7351 name in an upper-case ``text``: SOP65P640X120-20N, BGA256C80P16X16_1400X1400X150."""
    return _array(text) or _leaded(text) or _two_ends(text)


def _array(text: str) -> Outline | None:
    match = _ARRAY.search(text)
    if match is None:
        return None
    base = families()["BGA"].outline
    sides = sorted((int(match["a"]) / 100, int(match["b"]) / 100), reverse=True)
    return replace(
        base,
        name=f"BGA-{match['n']}",
        words=match[0],
        length_mm=_near(sides[0]),
        width_mm=_near(sides[1]),
        height_mm=Span.exactly(int(match["c"]) / 100) if match["c"] else base.height_mm,
        pitch_mm=Span.exactly(int(match["pitch"]) / 100),
        terminals=Span.exactly(int(match["n"])),
    )


def _leaded(text: str) -> Outline | None:
    """Hundredths of mm. Two figures: span over the leads, height. Three: span or side one way, the other, height."""
    match = _LEADED.search(text)
    if match is None:
        return None
    base = families()[_FAMILIES.get(match["kind"], match["kind"])].outline
    pitch, count = int(match["pitch"]) / 100, int(match["n"])
    figures = [int(figure) / 100 for figure in (match["a"], match["b"], match["c"]) if figure]
    across = _side(base, figures[0])
    along = _side(base, figures[1]) if len(figures) == 3 else _row(base, count, pitch)
    sides = sorted((across, along), key=lambda span: (span.high, span.low), reverse=True)
    joints = base.joints
    if count % 2 and count > 5 and not joints & Joints.LANDS:
        joints |= Joints.THERMAL_PAD
    return replace(
        base,
        name=f"{base.name}-{count}",
        words=match[0],
        joints=joints,
        length_mm=sides[0],
        width_mm=sides[1],
        height_mm=Span.exactly(figures[-1]),
        pitch_mm=Span.exactly(pitch),
        terminals=Span.exactly(count),
    )


def _side(base: Outline, figure: float) -> Span:
    """A side of the body from a figure: the body itself where there are no leads, else what the leads leave."""
    if base.joints & Joints.LANDS:
        return _near(figure)
    return Span(max(0.5, figure - _LEAD_OVERHANG_MM), figure)


def _row(base: Outline, count: int, pitch: float) -> Span:
    """The side along two rows of leads; packages of few leads have wider bodies than their rows."""
    if count <= _FEW_LEADS:
        return base.width_mm
    row = (count // 2 - 1) * pitch
    return Span(max(0.5, row), row + 2.6)


def _near(side: float) -> Span:
    return Span(max(0.0, side - 0.1), side + 0.1)


_KINDS = {
    "CAP": PartClass.CHIP_CAPACITOR,
    "RES": PartClass.CHIP_RESISTOR,
    "IND": PartClass.CHIP_INDUCTOR | PartClass.POWER_INDUCTOR,
    "BEAD": PartClass.CHIP_INDUCTOR,
    "LED": PartClass.LED,
    "DIO": PartClass.SMALL_SEMI,
    "FUS": PartClass.FUSE_SMD,
    "FUSE": PartClass.FUSE_SMD,
    "THRM": PartClass.CHIP_PROTECTION,
    "VAR": PartClass.CHIP_PROTECTION,
    "FIL": PartClass.CERAMIC_RF | PartClass.CHIP_INDUCTOR,
    "XTAL": PartClass.CRYSTAL,
    "OSC": PartClass.CRYSTAL,
}
_CANS = PartClass.from_keys("can_small can_8x10 can_10 can_large can_polymer")


def _two_ends(text: str) -> Outline | None:
    """RESC1608X55N: two sides in tenths of mm and the height in hundredths; CAPAE660X770N: base and height."""
    match = _CHIP.search(text)
    if match is None:
        return None
    form, figure = match["form"], match["a"]
    height = Span.exactly(int(match["h"]) / 100)
    classes = _KINDS.get(match["kind"], CHIP_CLASSES)
    joints = Joints.CHIP_ENDS
    if form == "AE" or len(figure) == 3:
        side = _near(int(figure) / 100)
        return Outline(
            "can", match[0], _CANS, _CANS, Mounting.SMD, Joints.LANDS, side, side, height, terminals=Span(2, 2)
        )
    if match["kind"] == "CAP" and form in ("MP", "M", "PM"):
        classes, joints = PartClass.TANTALUM | PartClass.CAN_POLYMER | PartClass.FILM_SMD, Joints.LANDS
    sides = sorted((int(figure[:2]) / 10, int(figure[2:]) / 10), reverse=True)
    return Outline(
        f"{figure} metric",
        match[0],
        classes,
        PartClass.TANTALUM if classes & PartClass.TANTALUM else classes,
        Mounting.SMD,
        joints,
        _near(sides[0]),
        _near(sides[1]),
        height,
        terminals=Span(2, 2),
    )
