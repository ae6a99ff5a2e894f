"""Sizes and pitches written in names of packages, and what they say of the outline."""

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from webapp.trade.masks import Joints
from webapp.trade.package_tables import Outline, ball_pitches_mm
from webapp.trade.ranges import Span

_NUM = r"\d{1,3}(?:[.,]\d{1,3})?"
_BODY = re.compile(
    rf"(?<![A-Z0-9.,])(?P<a>{_NUM})\s?(?:MM)?\s?[X*]\s?(?P<b>{_NUM})"
    rf"(?:\s?(?:MM)?\s?[X*]\s?(?P<c>{_NUM}))?\s?(?P<mm>MM)?(?![0-9])"
)
_PITCH = re.compile(r"(?<![A-Z0-9])(?:PITCH[\s:=]{0,3}|P|RM)(?P<p>\d(?:[.,]\d{1,3})?)\s?(?:MM)?(?![A-Z0-9.])")
_PITCH_AFTER = re.compile(r"(?P<p>\d(?:[.,]\d{1,3})?)\s?MM[\s-]?(?:BALL[\s-]?)?PITCH")
_OTHER_LENGTHS = (
    "HEIGHT|HIGH|THICK(?:NESS)?|DIA(?:M|METER)?|SIZE|STAND[- ]?OFF|MAX|MIN|LID|HEAT ?(?:SINK|SPREADER)|PCB|BOARD"
    "|HÖHE|HOCH|DICKE|DICK|KUGEL|DURCHMESSER"
)
"""Words for what a length beside them is, when it is no pitch."""
_LONE_LENGTH = re.compile(
    r"(?:(?<![^\s,;_(/])(?P<p>\d[.,]\d{1,2})|(?<![^\s;_(/])(?P<whole>\d))\s?MM(?![A-Z0-9²])"
    rf"(?!\s?[X*±+~])(?!\s?[-–/]\s?\d[.,]\d)(?![\s-]?(?:{_OTHER_LENGTHS}|BALL)(?!\w{{2}}))"
)
_NO_PITCH_AFTER = re.compile(
    rf"(?:[X*±+=~]|(?<![X*\d.,])\d[.,]\d{{1,3}}\s?(?:MM\s?)?[-–/]|(?<!\w)(?:{_OTHER_LENGTHS})"
    r"|(?<!\d)(?<!\d-)BALL)[\s:=]*$"
)
"""Ends of what stands before a length that is no pitch; "324-ball" counts, "ball" alone names the ball's size."""
_LOOK_BACK = 30
_LONGEST_SIDE_MM = 150.0


@dataclass(frozen=True, slots=True)
class Body:
    """Sides found in a text, mm: longer, shorter, and the third where given."""

    length: float
    width: float
    height: float | None


def body_of(text: str, *, bare: bool) -> Body | None:
    """The first "5x3.2mm" of an upper-case ``text``; ``bare`` allows whole numbers without mm, as in "(3x3)"."""
    for match in _BODY.finditer(text):
        sides = (match["a"], match["b"])
        padded = any(len(side) > 1 and side[0] == "0" and side[1].isdigit() for side in sides)
        marked = match["mm"] or any(mark in side for side in sides for mark in ".,")
        lengths = sorted(_mm(side) for side in sides)
        if not padded and (marked or bare) and 0 < lengths[0] <= lengths[1] <= _LONGEST_SIDE_MM:
            return Body(lengths[1], lengths[0], _mm(match["c"]) if match["c"] else None)
    return None


def pitch_of(text: str) -> float | None:
    """The pitch an upper-case ``text`` gives, 0.2 to 9.9 mm."""
    match = _PITCH.search(text) or _PITCH_AFTER.search(text)
    value = _mm(match["p"]) if match else 0.0
    return value if value >= 0.2 else None


def with_pitch_in(text: str, outline: Outline) -> Outline:
    """The outline with the pitch an upper-case ``text`` says, also as a length alone: "BGA-324, 0.8 mm".

    A length alone is the pitch where it is usual, fits the outline's joints and body, is the only such length, and,
    for other joints than balls, is no height of the package.
    """
    if outline.pitch_mm.known:
        return outline
    said = pitch_of(text)
    found = {said} if said is not None else {value for value in _lone_lengths(text) if _may_be_pitch(value, outline)}
    pitch = found.pop() if len(found) == 1 else None
    if pitch is None or not outline.pitch_mm.contains(pitch):
        return outline
    return replace(outline, pitch_mm=Span.exactly(pitch))


def _lone_lengths(text: str) -> Iterator[float]:
    for match in _LONE_LENGTH.finditer(text):
        before = text[max(0, match.start() - _LOOK_BACK) : match.start()]
        if _NO_PITCH_AFTER.search(before) is None:
            yield _mm(match["p"] or match["whole"])


def _may_be_pitch(length: float, outline: Outline) -> bool:
    if length not in ball_pitches_mm() or not outline.pitch_mm.contains(length):
        return False
    return bool(outline.joints & Joints.BALLS) or not outline.height_mm.contains(length)


def _mm(text: str) -> float:
    return float(text.replace(",", "."))


def with_body(outline: Outline, length: float, width: float, height: float | None = None) -> Outline:
    """The outline with a body as named (0.1 mm either way), the height where it makes sense, the pitch it allows."""
    sized = replace(
        outline, length_mm=Span(max(0.0, length - 0.1), length + 0.1), width_mm=Span(max(0.0, width - 0.1), width + 0.1)
    )
    if height is not None and sized.height_mm.contains(height):
        sized = replace(sized, height_mm=Span(max(0.0, height - 0.1), height + 0.1))
    return replace(sized, pitch_mm=_possible_pitch(sized, length, width))


def _possible_pitch(outline: Outline, length: float, width: float) -> Span:
    """A grid or a ring of so many joints on this body allows no coarser pitch."""
    if outline.pitch_mm.known or not outline.terminals.known:
        return outline.pitch_mm
    count = outline.terminals.low
    if outline.joints & Joints.BALLS:
        coarsest = math.sqrt(length * width / count) * 1.05
    elif _around(outline):
        coarsest = max(length, width) / max(1.0, count / 4 - 1)
    else:
        coarsest = max(length, width) / max(1.0, count / 2 - 1)
    low = outline.pitch_mm.low
    return Span(low, max(low, min(outline.pitch_mm.high, coarsest)))


def _around(outline: Outline) -> bool:
    """Whether the terminals stand on all four sides."""
    return any(name in outline.name for name in ("QFP", "QFN", "LFCSP", "LCC"))


def with_size_of_count(outline: Outline, count: int) -> Outline:
    """Bounds of the body that so many joints at the family's pitches need."""
    pitch = outline.pitch_mm
    if outline.joints & Joints.BALLS:
        side = Span(math.sqrt(count) * pitch.low * 0.95, math.sqrt(count) * pitch.high * 2)
        return replace(outline, length_mm=side, width_mm=side)
    if _around(outline):
        side = Span(max(1.0, (count / 4 - 1) * pitch.low), (count / 4 - 1) * pitch.high + 5.0)
        return replace(outline, length_mm=side, width_mm=side)
    if outline.joints & Joints.LANDS:
        return replace(outline, length_mm=Span(outline.width_mm.low, outline.width_mm.high))
    row = Span((count / 2 - 1) * pitch.low, (count / 2 - 1) * pitch.high + 2.6)
    return replace(outline, length_mm=row.union(outline.width_mm))
