"""The fields of a part that people state: what they are called, their unit, how they are typed and written out."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from webapp.errors import InvalidInputError
from webapp.trade.class_bounds import ClassBounds, Oven, Relevance, bounds_of
from webapp.trade.classes import PartClass
from webapp.trade.facts import PartField
from webapp.trade.lengths import parse_length
from webapp.trade.masks import BallAlloy, Finish, Joints, Mounting, Msl, Possible, Suits
from webapp.trade.ranges import ANYTHING, Span
from webapp.trade.temperatures import BODY_LIMIT, parse_temperature, temperature_text
from webapp.trade.units import factor_of, is_degrees


@dataclass(frozen=True, slots=True)
class FieldRule:
    """What a field is called, its unit ("" for none), and the values that make sense (numbers) or the kinds there are.

    ``whole``: only whole numbers.
    """

    label: str
    unit: str = ""
    plausible: Span = ANYTHING
    kinds: type[Possible] | None = None
    whole: bool = False


RULES: Mapping[PartField, FieldRule] = {
    PartField.CLASSES: FieldRule("kind of part", kinds=PartClass),
    PartField.MOUNTING: FieldRule("mounting", kinds=Mounting),
    PartField.LIMIT_C: FieldRule("highest body temperature", "°C", BODY_LIMIT),
    PartField.LIMIT_S: FieldRule("time at the highest body temperature", "s", Span(1, 600)),
    PartField.PASSES: FieldRule("allowed reflow passes", "passes", Span(0, 99), whole=True),
    PartField.OVEN: FieldRule("rated for reflow", kinds=Suits),
    PartField.FINISH: FieldRule("terminal finish", kinds=Finish),
    PartField.BALLS: FieldRule("ball alloy", kinds=BallAlloy),
    PartField.MSL: FieldRule("moisture level", kinds=Msl),
    PartField.SELF_HEATING_K: FieldRule("self-heating of the joints", "K", Span(0, 200)),
    PartField.CURRENT_A: FieldRule("current per joint", "A", Span(0, 500)),
    PartField.MATING_FORCE_N: FieldRule("mating force", "N", Span(0, 1_000)),
    PartField.WASH: FieldRule("suits a wash", kinds=Suits),
    PartField.VACUUM: FieldRule("suits a vacuum", kinds=Suits),
    PartField.LENGTH_MM: FieldRule("body length", "mm", Span(0.1, 500)),
    PartField.WIDTH_MM: FieldRule("body width", "mm", Span(0.1, 500)),
    PartField.HEIGHT_MM: FieldRule("body height", "mm", Span(0.05, 200)),
    PartField.PITCH_MM: FieldRule("pitch", "mm", Span(0.1, 50)),
    PartField.TERMINALS: FieldRule("terminals", "", Span(1, 10_000), whole=True),
    PartField.MASS_G: FieldRule("mass", "g", Span(0.00001, 5_000)),
    PartField.BALL_DIAMETER_MM: FieldRule("ball diameter", "mm", Span(0.05, 2)),
    PartField.STANDOFF_MM: FieldRule("stand-off", "mm", Span(0, 5)),
}


@dataclass(frozen=True, slots=True)
class TypedValue:
    """What was understood: a range, or the bits of what is possible, and the echo to show beside the field."""

    value: Span | int
    echo: str


def parse_value(field: PartField, text: str) -> TypedValue:
    """Read what was typed for ``field``.

    Numbers: "245", "240…260", "at least 245", "260 max", "≤ 3"; temperatures in °C or °F; lengths in mm, µm, mil or
    inch; kinds by their keys ("e3 e4", "MSL 3", "yes"). The most a part stands is its limit: "max. 260 °C" of a body
    temperature is 260 °C, not anything up to it. InvalidInputError, naming the field, says what was expected.
    """
    rule = RULES[field]
    words = text.strip()
    if not words:
        raise InvalidInputError(f"Nothing is given for the {rule.label}.", field=field)
    if rule.kinds is Suits:
        return _yes_or_no(field, words)
    if rule.kinds is not None:
        return _kinds(field, rule.kinds, words)
    bound, rest = _bound(words, rule.unit)
    if field is PartField.LIMIT_C:
        span = parse_temperature(rest, plausible=rule.plausible, field=field).span_c
    elif rule.unit == "mm":
        span = parse_length(rest, plausible=rule.plausible, field=field).span
    else:
        span = _number(field, rule, rest)
    is_open_below = bound == "at most" and field not in _LIMITS
    value = Span(rule.plausible.low if is_open_below else span.low, _upper(span, bound, rule))
    return TypedValue(value, value_text(field, value))


def value_text(field: PartField, value: Span | int) -> str:
    """A value as people read it: "245 °C", "2 to 3 passes", "tin (e3)", "yes"."""
    rule = RULES[field]
    if isinstance(value, Span):
        if field is PartField.LIMIT_C and value.bounded:
            return temperature_text(value)
        return value.text(rule.unit)
    return rule.kinds(value).words if rule.kinds else str(value)


def relevant_fields(classes: PartClass) -> tuple[PartField, ...]:
    """The fields that matter for a part of these classes, in the order of forms; what is irrelevant is not asked."""
    bounds = bounds_of(classes)
    left_out = {field for field, relevance in _relevances(bounds).items() if relevance is not Relevance.YES}
    if bounds.self_heating in (Relevance.NO, Relevance.POWER):
        left_out.add(PartField.SELF_HEATING_K)
    if not bounds.moisture_classified and bounds.msl == Msl.L1:
        left_out.add(PartField.MSL)
    in_no_oven = bounds.ovens == {Oven.NEVER} or not bounds.mounting & Mounting.SMD
    if in_no_oven and not classes & PartClass.UNKNOWN_LEADED:
        left_out |= {PartField.LIMIT_S, PartField.PASSES, PartField.MSL}
    return tuple(field for field in PartField if field not in left_out)


def offered_fields(classes: PartClass) -> tuple[PartField, ...]:
    """Those fields and the others that may matter to some part of these classes; what none of them has is left out."""
    left_out = {field for field, relevance in _relevances(bounds_of(classes)).items() if relevance is Relevance.NO}
    return tuple(field for field in PartField if field not in left_out)


def _relevances(bounds: ClassBounds) -> dict[PartField, Relevance]:
    """The fields that not every kind of part has."""
    balls = Relevance.YES if bounds.balls else Relevance.NO
    has_pitch = bounds.joints & (Joints.BALLS | Joints.LEADS | Joints.LANDS)
    return {
        PartField.BALLS: balls,
        PartField.BALL_DIAMETER_MM: balls,
        PartField.PITCH_MM: Relevance.YES if has_pitch else Relevance.NO,
        PartField.CURRENT_A: bounds.current,
        PartField.MATING_FORCE_N: bounds.mating_force,
        PartField.STANDOFF_MM: bounds.stand_off,
        PartField.WASH: bounds.wash_sensitive,
        PartField.VACUUM: bounds.vacuum_sensitive,
    }


_LIMITS = frozenset({PartField.LIMIT_C, PartField.LIMIT_S, PartField.PASSES})
"""What a part stands: makers print the limit itself as a maximum."""
_LOW = r"≥|>=?|at least|not (?:less than|below|under)|no less than|min(?:imum|\.)?"
_HIGH = r"≤|<=?|at most|not (?:more than|above|over)|no more than|max(?:imum|\.)?|up to"
_BEFORE = re.compile(rf"(?:(?P<low>{_LOW})|(?P<high>{_HIGH}))(?![a-z])", re.IGNORECASE)
_AFTER = re.compile(
    r"(?<![a-z])(?:(?P<low>min(?:imum|\.)?|or (?:more|above))|(?P<high>max(?:imum|\.)?|or (?:less|below)))$",
    re.IGNORECASE,
)
_NUMBER = re.compile(
    r"(?P<low>\d{1,7}(?:[.,]\d{1,6})?)\s*(?:(?:…|\.{2,3}|–|—|-|\bto\b)\s*(?P<high>\d{1,7}(?:[.,]\d{1,6})?))?\s*(?P<unit>\D*)"
)


def _bound(text: str, unit: str) -> tuple[str, str]:
    """Which end is meant ("at least", "at most" or none), and the number without the words for it."""
    match = _BEFORE.match(text) or _AFTER.search(text)
    if match is None or (unit == "s" and match[0] == "min" and match.start()):  # "1 min" of a time is a minute
        return "", text
    return ("at least" if match["low"] else "at most"), (text[: match.start()] + text[match.end() :]).strip()


def _upper(span: Span, bound: str, rule: FieldRule) -> float:
    return rule.plausible.high if bound == "at least" else span.high


def _number(field: PartField, rule: FieldRule, text: str) -> Span:
    unit = f" {rule.unit}" if rule.unit else ""
    match = _NUMBER.fullmatch(text)
    if match is not None and rule.unit == "K" and is_degrees(match["unit"]):
        raise InvalidInputError(
            f"“{text}” is a temperature; a difference in K is wanted: write {match['low']} K if that is meant.",
            field=field,
        )
    factor = factor_of(match["unit"], rule.unit) if match else None
    if match is None or factor is None:
        raise InvalidInputError(f"“{text}” is no {rule.label}; write 3{unit}, or 2…4{unit}.", field=field)
    low = float(match["low"].replace(",", ".")) * factor
    high = float((match["high"] or match["low"]).replace(",", ".")) * factor
    if low > high:
        raise InvalidInputError(f"“{text}” runs from the higher to the lower value.", field=field)
    span = Span(low, high)
    if not rule.plausible.contains(span):
        raise InvalidInputError(f"{span.text(rule.unit)} is outside {rule.plausible.text(rule.unit)}.", field=field)
    if rule.whole and not (low.is_integer() and high.is_integer()):
        raise InvalidInputError(f"The number of {rule.label} is whole, not {span.text()}.", field=field)
    return span


def _yes_or_no(field: PartField, text: str) -> TypedValue:
    value = {"yes": Suits.YES, "no": Suits.NO, "never": Suits.NO}.get(text.casefold())
    if value is None:
        raise InvalidInputError(f"Write yes or no, not “{text}”.", field=field)
    return TypedValue(int(value), value.words)


def _kinds(field: PartField, kinds: type[Possible], text: str) -> TypedValue:
    words = text.replace(",", " ")
    try:
        if kinds is Msl:
            mask: Possible = Msl(0)
            for level in re.sub(r"\bMSL\b|\bor\b", " ", words, flags=re.IGNORECASE).split():
                mask |= Msl.from_level(level)
        else:
            mask = kinds.from_keys(words)
    except InvalidInputError as error:
        raise InvalidInputError(error.message, field=field) from None
    if not mask:
        raise InvalidInputError(f"Nothing is given for the {RULES[field].label}.", field=field)
    return TypedValue(int(mask), mask.words)
