"""Two-ended packages by name: chip sizes inch and metric, moulded cases, cans, and bodies known by their sides only."""

import re
from dataclasses import replace
from enum import StrEnum

from webapp.trade.classes import PartClass
from webapp.trade.masks import Joints, Mounting
from webapp.trade.package_sizes import body_of, with_body
from webapp.trade.package_tables import Outline, inch_chips, metric_chips, moulded_cases
from webapp.trade.ranges import NOT_NEGATIVE, Span, number_text

UNSURE = ", inch or metric"
"""Ends the name of a chip size whose system is not known."""


class SizeSystem(StrEnum):
    """Which system the four-digit chip codes of a list are in."""

    INCH = "inch"
    METRIC = "metric"


CHIP_CODE = re.compile(r"(?<![0-9.])(?<!\d,)(\d{4,6})(?![0-9]|\.\d)")
_METRIC_CODE = re.compile(r"(?<!\d)(\d{4,5})[-_ ]?METRIC")


def chip_in(text: str, system: SizeSystem | None, *, metric_alone: bool) -> Outline | None:
    metric = _METRIC_CODE.search(text)
    if metric is not None and metric[1] in metric_chips():
        chip = metric_chips()[metric[1]]
        return replace(chip, words=chip.name if chip.name in text else f"{metric[1]} metric")
    for code in CHIP_CODE.findall(text):
        found = _coded_chip(code, system, metric_alone=metric_alone)
        if found is not None:
            return found
    return None


def _coded_chip(code: str, system: SizeSystem | None, *, metric_alone: bool) -> Outline | None:
    inch, metric = inch_chips().get(code), metric_chips().get(code)
    if inch is not None and metric is not None:
        if system is SizeSystem.METRIC:
            return replace(metric, words=f"{code} metric")
        if system is SizeSystem.INCH:
            return replace(inch, words=code)
        return replace(
            inch,
            name=code + UNSURE,
            words=code,
            length_mm=inch.length_mm.union(metric.length_mm),
            width_mm=inch.width_mm.union(metric.width_mm),
            height_mm=inch.height_mm.union(metric.height_mm),
        )
    if inch is not None:
        return replace(inch, words=code)
    if metric is not None and (metric_alone or system is SizeSystem.METRIC):
        return replace(metric, words=f"{code} metric")
    return None


_CASE_LETTER = re.compile(
    r"(?:CASE|TANT[A-Z]*|SIZE)[-_ :]*(?:CASE[-_ :]*|SIZE[-_ :]*)?(?P<a>[A-EJPR-X])(?![A-Z0-9])"
    r"|(?<![A-Z0-9])(?P<b>[A-EJPR-X])[-_ ]CASE(?![A-Z])"
)
_CASE_EIA = re.compile(r"(?<!\d)(\d{4})-(\d{2})(?!\d)")


def moulded_in(text: str) -> Outline | None:
    eia = _CASE_EIA.search(text)
    if eia is not None:
        for case in moulded_cases():
            if case.eia == eia[0]:
                return replace(case.outline, words=eia[0])
    letter = _CASE_LETTER.search(text)
    if letter is not None:
        for case in moulded_cases():
            if case.letter == (letter["a"] or letter["b"]):
                return replace(case.outline, words=letter[0].strip())
    return None


_NUM = r"\d{1,2}(?:[.,]\d{1,2})?"
_SMD_CAN = re.compile(
    rf"(?:CP_ELEC|C_ELEC|ELEC|ELKO|ELCO|CAN|ALU)[A-Z]*[-_ ](?:D)?(?P<d>{_NUM})(?:MM)?X(?:L|H)?(?P<h>{_NUM})"
)
_CAN_OF_DIAMETER = re.compile(rf"CAP[-_]SMD[-_]B?D(?P<d>{_NUM})(?:[-_][LH](?P<h>{_NUM})(?![-_]W|\d))?")
_DIAMETER_BY_LENGTH = re.compile(rf"(?<![A-Z0-9])D(?P<d>{_NUM})\s?(?:MM)?\s?X\s?[LH](?P<h>{_NUM})")
_LEADED_CAN = re.compile(rf"^E(?P<pitch>{_NUM})-(?P<d>{_NUM})(?![A-Z0-9])")
_ROUND = re.compile(rf"(?P<kind>RADIAL|DISC)[A-Z]*_?D(?P<d>{_NUM})")
_LED_ROUND = re.compile(r"LED[-_]?D?(?P<d>[358](?:[.,]\d)?)[-_ ]?MM")
_SQUARE = re.compile(r"(?<![A-Z])(?:C_RECT|C_AXIAL|R_AXIAL|L_AXIAL|CP_AXIAL|AXIAL[-_]?0?\.?\d)")
CANS_SMD = PartClass.from_keys("can_small can_8x10 can_10 can_large can_polymer")
_RADIAL = PartClass.from_keys("can_leaded supercap ceramic_leaded film_leaded wound_leaded resistor_leaded sounder")
_BLOCKS = PartClass.FILM_LEADED | PartClass.CERAMIC_LEADED
_LEADED_BODIES = PartClass.from_keys("film_leaded ceramic_leaded can_leaded resistor_leaded wound_leaded semi_leaded")


def _value(text: str) -> float:
    return float(text.replace(",", "."))


def can_in(text: str) -> Outline | None:
    """Cans and other round or leaded bodies, by the figures in their names."""
    smd = _SMD_CAN.search(text)
    if smd is not None:
        return round_body("can", smd[0], CANS_SMD, Mounting.SMD, _value(smd["d"]), _near_height(smd["h"]))
    named = _CAN_OF_DIAMETER.search(text)
    if named is not None:
        return round_body("can", named[0], CANS_SMD, Mounting.SMD, _value(named["d"]), _near_height(named["h"]))
    leaded = _LEADED_CAN.search(text)
    if leaded is not None:
        can = round_body("radial can", leaded[0], PartClass.CAN_LEADED, Mounting.THROUGH_HOLE, _value(leaded["d"]))
        return replace(can, pitch_mm=Span.exactly(_value(leaded["pitch"])))
    led = _LED_ROUND.search(text)
    if led is not None:
        return round_body("round LED", led[0], PartClass.OPTO_LEADED, Mounting.THROUGH_HOLE, _value(led["d"]))
    found = _ROUND.search(text)
    if found is not None:
        classes = _RADIAL if found["kind"] == "RADIAL" else PartClass.CERAMIC_LEADED | PartClass.RESISTOR_LEADED
        return round_body(found["kind"].lower(), found[0], classes, Mounting.THROUGH_HOLE, _value(found["d"]))
    square = _SQUARE.search(text)
    if square is not None:
        bodies = _BLOCKS if square[0] == "C_RECT" else _LEADED_BODIES
        return Outline("leaded body", square[0], bodies, bodies, Mounting.THROUGH_HOLE, Joints.PINS, whole=False)
    return None


def _near_height(text: str | None) -> Span:
    return Span(_value(text) - 0.5, _value(text) + 0.5) if text else NOT_NEGATIVE


_ROUND_BODIES = CANS_SMD | _RADIAL | PartClass.from_keys("crystal_leaded power_inductor opto_leaded semi_leaded")


def round_in_words(text: str) -> Outline | None:
    """A round body of which a description gives diameter and length, "D8.0xL6.9": a can, if it is a capacitor."""
    match = _DIAMETER_BY_LENGTH.search(text)
    if match is None:
        return None
    body = round_body("can", match[0], _ROUND_BODIES, Mounting.SMD, _value(match["d"]), _near_height(match["h"]))
    return replace(body, mounting=Mounting.everything(), joints=Joints(0), whole=False)


def round_body(
    name: str, words: str, classes: PartClass, mounting: Mounting, diameter: float, height: Span = NOT_NEGATIVE
) -> Outline:
    """A round body standing on the board; the base of a surface-mount can is up to 0.7 mm wider than the can."""
    smd = mounting is Mounting.SMD
    side = Span(max(0.0, diameter - 0.3), diameter + (0.7 if smd else 0.5))
    joints = Joints.LANDS if smd else Joints.PINS
    return Outline(
        name,
        words,
        classes,
        classes,
        mounting,
        joints,
        length_mm=side,
        width_mm=side,
        height_mm=Span(max(0.0, height.low), height.high),
        terminals=Span(2, 2),
    )


_METRIC_BODIES = frozenset(
    "1515 1612 2016 2020 2520 2835 3014 3030 3215 3225 3528 3535 4014 5032 5050 5630 5730 6035 7050".split()
)
_BODY_CLASSES = PartClass.from_keys("led crystal ceramic_rf power_inductor chip_inductor")


def metric_body_in(text: str) -> Outline | None:
    """Crystals and LEDs named by their sides in tenths of a millimetre: 3225, 5050."""
    for code in CHIP_CODE.findall(text):
        if code in _METRIC_BODIES:
            outline = Outline(
                code, code, _BODY_CLASSES, _BODY_CLASSES, Mounting.SMD, Joints.LANDS, terminals=Span(2, 8), whole=False
            )
            return with_body(outline, *sorted((int(code[:2]) / 10, int(code[2:]) / 10), reverse=True))
    return None


_COIL_CLASSES = PartClass.from_keys("power_inductor chip_inductor transformer_smd")
_COIL_NEAR_MM = 0.35


def flat_coil_in(text: str) -> Outline | None:
    """A flat coil named by side and height, where the sides beside it say the same: 6045 with 6x6x4.5.

    The side stands in tenths of a millimetre, from 10 mm on in millimetres (1040: 10 mm, 4.0 mm high).
    """
    body = body_of(text, bare=True)
    if body is None or body.height is None or body.length > body.width * 1.2:
        return None
    for code in CHIP_CODE.findall(text):
        side, height = int(code[:2]), int(code[2:]) / 10
        near = min(abs(body.width - side), abs(body.width - side / 10)) <= _COIL_NEAR_MM
        if len(code) == len("6045") and near and abs(body.height - height) <= _COIL_NEAR_MM:
            outline = Outline(
                code, code, _COIL_CLASSES, _COIL_CLASSES, Mounting.SMD, Joints.LANDS, terminals=Span(2, 4), whole=False
            )
            return with_body(outline, body.length, body.width, body.height)
    return None


_COUNT_SMD = re.compile(r"(?<![A-Z0-9.,])(\d{1,3})[- ]?SMD(?![A-Z])")


def body_only(text: str) -> Outline | None:
    """Sides, or a count before "SMD", and nothing more."""
    body, count = body_of(text, bare=False), _COUNT_SMD.search(text)
    if body is None and count is None:
        return None
    sides = f"{number_text(body.length)} × {number_text(body.width)} mm" if body else ""
    outline = Outline(
        "size only" if body else f"{count[1] if count else ''}-SMD",
        count[0] if count else sides,
        PartClass.everything(),
        PartClass.everything(),
        Mounting.SMD if count else Mounting.everything(),
        Joints(0),
        terminals=Span.exactly(int(count[1])) if count else NOT_NEGATIVE,
        whole=False,
    )
    return with_body(outline, body.length, body.width, body.height) if body else outline
