"""Sizes of a part against each other: what cannot be true together."""

from collections.abc import Mapping

from webapp.trade.class_bounds import bounds_of
from webapp.trade.facts import PartFacts, PartField
from webapp.trade.masks import Joints
from webapp.trade.part_fields import value_text
from webapp.trade.ranges import NOT_NEGATIVE, Span

SIZES = (PartField.LENGTH_MM, PartField.WIDTH_MM, PartField.PITCH_MM, PartField.BALL_DIAMETER_MM)
_BODY = (PartField.LENGTH_MM, PartField.WIDTH_MM)


def size_contradiction(facts: PartFacts, new: Mapping[PartField, Span | int]) -> tuple[PartField, str] | None:
    """The field of ``new`` to blame and why, where its sizes (mm) cannot be true with the others of the part.

    The pitch of leads, lands or balls is no larger than the longer side of the body (pins of through-hole parts may be
    bent outwards), and balls are smaller than their pitch: geometry, no source needed.
    """
    if not any(field in new for field in SIZES):
        return None
    joints = bounds_of(facts.classes).joints
    sizes = {field: _size(facts, field, new) for field in SIZES}
    pitch, ball = sizes[PartField.PITCH_MM], sizes[PartField.BALL_DIAMETER_MM]
    longest = max(sizes[field].high for field in _BODY)
    if not joints & Joints.PINS and pitch.low > longest:
        blamed = next(field for field in (PartField.PITCH_MM, *_BODY) if field in new)
        body = " × ".join(_words(sizes[field]) for field in _BODY if sizes[field] != NOT_NEGATIVE)
        return blamed, f"A pitch of {_words(pitch)} does not fit a body of {body}: correct one of them."
    if joints & Joints.BALLS and ball.low >= pitch.high:
        wrong = next((field for field in (PartField.BALL_DIAMETER_MM, PartField.PITCH_MM) if field in new), None)
        if wrong is not None:
            return wrong, f"Balls of {_words(ball)} do not fit a pitch of {_words(pitch)}: correct one of them."
    return None


def _words(length: Span) -> str:
    return value_text(PartField.PITCH_MM, length)


def _size(facts: PartFacts, field: PartField, new: Mapping[PartField, Span | int]) -> Span:
    value = new.get(field)
    return value if isinstance(value, Span) else facts.sizes.get(field.value, NOT_NEGATIVE)
