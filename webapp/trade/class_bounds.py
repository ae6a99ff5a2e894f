"""What is known of a part from its class alone: bounds, and which questions matter."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache, reduce
from operator import or_

from webapp.trade.classes import PartClass
from webapp.trade.masks import BallAlloy, Finish, Joints, Mounting, Msl
from webapp.trade.part_power import Power
from webapp.trade.ranges import NOT_NEGATIVE, Span, spanning
from webapp.trade.sources import FROM_CLASS, Kind, Source, Status
from webapp.trade.tables import Row, rows


class Oven(StrEnum):
    """Whether a part of the class may go through an oven."""

    YES = "yes"
    WITHOUT_CELL = "without_cell"
    DATASHEET = "datasheet"
    UNLESS_RATED = "unless_rated"
    AFTER = "after"
    NEVER = "never"
    UNKNOWN = "unknown"

    @property
    def words(self) -> str:
        """The policy in words."""
        return _OVEN_WORDS[self]


_OVEN_WORDS = {
    Oven.YES: "suits the oven",
    Oven.WITHOUT_CELL: "suits the oven without its cell",
    Oven.DATASHEET: "suits the oven only where the data sheet says so",
    Oven.UNLESS_RATED: "not for the oven unless the maker rates it",
    Oven.AFTER: "fitted after soldering",
    Oven.NEVER: "never in the oven",
    Oven.UNKNOWN: "not known whether it suits the oven",
}


class Relevance(StrEnum):
    """Whether a question matters to the class: to all of it, to those that carry power, to none, to some perhaps."""

    YES = "yes"
    POWER = "power"
    NO = "no"
    UNKNOWN = "unknown"


WHAT_MATTERS = Source(Kind.ASSUMED, "what matters to the class of part", Status.MEMORY)
"""Where the relevances of the table come from, whatever the source of a row's limits."""


_HEATING = Source(Kind.ASSUMED, "self-heating by kind of part, common practice", Status.MEMORY)


@dataclass(frozen=True, slots=True)
class ClassBounds:
    """Bounds that hold for a part of one class, or of any of several.

    ``limit_c``: the true limit of the body lies in this range, °C; ``limit_s``: how long it is sure to stand that, up
    to what some stand, s; ``passes``: reflow passes likewise. ``msl`` and ``finishes`` are what is possible (finishes:
    once lead-free is declared); ``balls`` is empty where there are none. ``lead_risk`` is low, medium or high without a
    declaration. ``current``, ``mating_force``, ``stand_off``: whether these data matter.
    """

    classes: PartClass
    limit_c: Span
    limit_s: Span
    time_note: str
    passes: Span
    ovens: frozenset[Oven]
    msl: Msl
    finishes: Finish
    balls: BallAlloy
    lead_risk: str
    moisture_classified: bool
    self_heating: Relevance
    current: Relevance
    mating_force: Relevance
    stand_off: Relevance
    wash_sensitive: Relevance
    vacuum_sensitive: Relevance
    warpage: bool
    heavy: bool
    mounting: Mounting
    joints: Joints
    caution: bool
    note: str
    sources: tuple[Source, ...]


@cache
def _by_class() -> dict[PartClass, ClassBounds]:
    return {single: _bounds(row) for single, row in _rows_by_class().items()}


def _bounds(row: Row) -> ClassBounds:
    return ClassBounds(
        classes=PartClass.from_keys(row.text("class")),
        limit_c=row.span("limit_c"),
        limit_s=row.span("limit_s"),
        time_note=row.text("time_note"),
        passes=row.span("passes"),
        ovens=frozenset({Oven(row.text("oven"))}),
        msl=Msl.from_keys(row.text("msl")),
        finishes=Finish.from_keys(row.text("finishes_lead_free")),
        balls=BallAlloy.from_keys(row.text("balls")),
        lead_risk=row.text("lead_risk"),
        moisture_classified=row.flag("moisture_classified"),
        self_heating=Relevance(row.text("self_heating")),
        current=Relevance(row.text("current")),
        mating_force=Relevance(row.text("mating_force")),
        stand_off=Relevance(row.text("stand_off")),
        wash_sensitive=Relevance(row.text("wash_sensitive")),
        vacuum_sensitive=Relevance(row.text("vacuum_sensitive")),
        warpage=row.flag("warpage"),
        heavy=row.flag("heavy"),
        mounting=Mounting.from_keys(row.text("mounting")),
        joints=Joints.from_keys(row.text("joints")),
        caution=row.flag("caution"),
        note=row.text("note"),
        sources=(row.source(kind=Kind.ASSUMED),),
    )


@cache
def bounds_of(classes: PartClass) -> ClassBounds:
    """The bounds of one class; for several possible classes the ranges and masks that hold all of them.

    A flag is set when it is set for any of the classes, ``moisture_classified`` when it is for all; the highest
    lead risk and the strongest relevance of self-heating are taken. What else matters to some of the classes only is
    not known to matter. ValueError for no class at all.
    """
    found = [_by_class()[single] for single in classes]
    if len(found) == 1:
        return found[0]
    if not found:
        raise ValueError("no part class is possible")
    return ClassBounds(
        classes=classes,
        limit_c=spanning(item.limit_c for item in found),
        limit_s=spanning(item.limit_s for item in found),
        time_note=_same(item.time_note for item in found),
        passes=spanning(item.passes for item in found),
        ovens=frozenset().union(*(item.ovens for item in found)),
        msl=reduce(or_, (item.msl for item in found)),
        finishes=reduce(or_, (item.finishes for item in found)),
        balls=reduce(or_, (item.balls for item in found)),
        lead_risk=max((item.lead_risk for item in found), key=_RISKS.index),
        moisture_classified=all(item.moisture_classified for item in found),
        self_heating=max((item.self_heating for item in found), key=_RELEVANCES.index),
        current=_common(item.current for item in found),
        mating_force=_common(item.mating_force for item in found),
        stand_off=_common(item.stand_off for item in found),
        wash_sensitive=_common(item.wash_sensitive for item in found),
        vacuum_sensitive=_common(item.vacuum_sensitive for item in found),
        warpage=any(item.warpage for item in found),
        heavy=any(item.heavy for item in found),
        mounting=reduce(or_, (item.mounting for item in found)),
        joints=reduce(or_, (item.joints for item in found)),
        caution=any(item.caution for item in found),
        note=_same(item.note for item in found),
        sources=tuple(dict.fromkeys(source for item in found for source in item.sources)),
    )


_RISKS = ("low", "medium", "high")
_RELEVANCES = (Relevance.NO, Relevance.POWER, Relevance.UNKNOWN, Relevance.YES)


def _common(relevances: Iterable[Relevance]) -> Relevance:
    different = set(relevances)
    return different.pop() if len(different) == 1 else Relevance.UNKNOWN


def _same(texts: Iterable[str]) -> str:
    different = set(texts)
    return different.pop() if len(different) == 1 else ""


@cache
def self_heating(classes: PartClass, power: Power) -> tuple[Span, Source]:
    """By how much a part that may be any of these may warm its own joints, K; inf where it may be one that runs hot.

    Kinds that seldom carry power are bounded unless the line says power, others only where it says a job of signals.
    """
    found = [_self_heating(single, power) for single in classes]
    span = spanning(span for span, _ in found)
    if not span.bounded or not span.high:
        return span, FROM_CLASS
    notes = dict.fromkeys(note for _, note in found if note)
    return span, replace(_HEATING, note="; ".join(notes))


def _self_heating(single: PartClass, power: Power) -> tuple[Span, str]:
    row, relevance = _rows_by_class()[single], bounds_of(single).self_heating
    if relevance is Relevance.NO:
        return Span(0.0, 0.0), ""
    bounded = power is Power.SIGNAL or (relevance is Relevance.POWER and power is Power.NOT_TOLD)
    if not bounded or not row.text("self_heating_k"):
        return NOT_NEGATIVE, ""
    return Span(0.0, row.number("self_heating_k")), row.text("heating_note")


@cache
def _rows_by_class() -> dict[PartClass, Row]:
    return {PartClass.from_keys(row.text("class")): row for row in rows("part_classes")}


@cache
def classes_mounted(mounting: Mounting) -> PartClass:
    """All classes of parts that may be mounted in one of these ways."""
    return reduce(or_, (single for single, bounds in _by_class().items() if bounds.mounting & mounting), PartClass(0))
