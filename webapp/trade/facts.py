"""What is known of a part, field by field, each a range or a mask with its source.

A real BOM holds little more than part numbers, so most fields start as what the part's class allows; statements
(entered values, declarations) replace or narrow them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cached_property, lru_cache
from typing import TypeVar

from webapp.trade.blanket import settles_limit, settles_passes
from webapp.trade.class_bounds import WHAT_MATTERS, ClassBounds, Oven, Relevance, bounds_of, self_heating
from webapp.trade.classes import PartClass
from webapp.trade.masks import LEAD_FREE_BALLS, LEAD_FREE_FINISHES, BallAlloy, Finish, Mounting, Msl, Suits
from webapp.trade.moisture import classification_temperature_c, matching_cells
from webapp.trade.parts import PartGuess
from webapp.trade.ranges import NOT_NEGATIVE, Span
from webapp.trade.sources import FROM_CLASS, FROM_PACKAGE, Kind, Source, Status

_T = TypeVar("_T", bound=int)


class PartField(StrEnum):
    """The fields of a part that people may state; the value is stored and written in forms."""

    CLASSES = "classes"
    MOUNTING = "mounting"
    LIMIT_C = "limit_c"
    LIMIT_S = "limit_s"
    PASSES = "passes"
    OVEN = "oven"
    FINISH = "finish"
    BALLS = "balls"
    MSL = "msl"
    SELF_HEATING_K = "self_heating_k"
    CURRENT_A = "current_a"
    MATING_FORCE_N = "mating_force_n"
    WASH = "wash"
    VACUUM = "vacuum"
    LENGTH_MM = "length_mm"
    WIDTH_MM = "width_mm"
    HEIGHT_MM = "height_mm"
    PITCH_MM = "pitch_mm"
    TERMINALS = "terminals"
    MASS_G = "mass_g"
    BALL_DIAMETER_MM = "ball_diameter_mm"
    STANDOFF_MM = "standoff_mm"


OVEN_YES, OVEN_NO = Suits.YES, Suits.NO
"""The values of the field OVEN: rated for an oven, or not."""

_SIZES = frozenset(
    {
        PartField.LENGTH_MM,
        PartField.WIDTH_MM,
        PartField.HEIGHT_MM,
        PartField.PITCH_MM,
        PartField.TERMINALS,
        PartField.MASS_G,
        PartField.BALL_DIAMETER_MM,
        PartField.STANDOFF_MM,
    }
)


@dataclass(frozen=True, slots=True)
class Stated:
    """One stated value: a range for numbers, a mask for kinds; ``source`` says who says so."""

    value: Span | int
    source: Source


class Scope(StrEnum):
    """What a declaration holds for."""

    SITE = "site"
    MAKER = "maker"
    BOM = "bom"
    PART = "part"


class Claim(StrEnum):
    """What a declaration says of every part in its scope."""

    LEAD_FREE = "lead-free"
    LIMIT_AT_LEAST = "limit-at-least"
    PASSES_AT_LEAST = "passes-at-least"
    SELF_HEATING_AT_MOST = "self-heating-at-most"


@dataclass(frozen=True, slots=True)
class Declaration:
    """A sourced statement over a scope, such as "terminations lead-free since 2008".

    ``scope_key``: folded maker for MAKER, part key for PART, anything for BOM and SITE. ``number``: °C, passes or
    K for the claims that need one. ``reference`` names the document, ``stated_on`` its date (ISO).
    """

    claim: Claim
    scope: Scope
    reference: str
    scope_key: str = ""
    number: float | None = None
    stated_on: str = ""

    def covers(self, *, maker: str, part_key: str) -> bool:
        """Whether a part of this folded maker and key is meant."""
        if self.scope is Scope.MAKER:
            return bool(maker) and maker == self.scope_key
        return self.scope is not Scope.PART or part_key == self.scope_key

    @property
    def source(self) -> Source:
        """The declaration as a source of values."""
        return Source(Kind.DECLARATION, self.reference, Status.DECLARED, note=self.stated_on)


def settles_lead(lead_risk: str, scope: Scope) -> bool:
    """Whether a lead-free declaration of that scope settles a part of that ``PartFacts.lead_risk``.

    Old stock of risky kinds is where lead turns up, which a statement over everything does not look at; and what the
    list itself calls tin-lead, only a word about that part can call lead-free.
    """
    if lead_risk == "said":
        return scope is Scope.PART
    return lead_risk != "high" or scope not in (Scope.SITE, Scope.BOM)


class Sources(dict[str, Source]):
    """Field -> where its value comes from. Not to be changed: parts of which the same is known share one."""

    @cached_property
    def firm(self) -> frozenset[str]:
        """The fields whose source may decide; asked of every part by most checks."""
        return frozenset(name for name, source in self.items() if source.may_block)


@dataclass(frozen=True, slots=True)
class PartFacts:
    """A part as the checks see it. ``sources`` gives the origin of every field that is not wide open;
    ``stated`` are those that people stated. ``limit_s``: how long the part stands its highest body temperature;
    ``current_a``: through one joint. ``lead_risk``: "high" for kinds in whose old stock lead turns up, "said" where the
    list calls it tin-lead, else "low". ``sizes``: by field, in mm and g; only those of which something is known."""

    key: str
    label: str
    maker: str
    classes: PartClass
    mounting: Mounting
    limit_c: Span
    limit_s: Span
    passes: Span
    ovens: frozenset[Oven]
    finish: Finish
    balls: BallAlloy
    msl: Msl
    self_heating_k: Span
    current_a: Span
    mating_force_n: Span
    wash: Suits
    vacuum: Suits
    lead_risk: str
    caution: bool
    sizes: Mapping[str, Span] = field(hash=False)
    sources: "Sources" = field(hash=False)
    stated: frozenset[PartField]

    @property
    def firm(self) -> frozenset[str]:
        """The fields whose source may decide that something is not possible."""
        return self.sources.firm

    def source(self, name: str) -> Source:
        """Where the field ``name`` comes from."""
        return self.sources.get(name, FROM_CLASS)

    def value(self, name: PartField) -> Span | int | None:
        """What is known of a field but OVEN, of which ``ovens`` holds what is possible; None where nothing is."""
        value: Span | int | None = getattr(self, name.value, None) or self.sizes.get(name.value)
        return value


def facts_of(
    *,
    key: str,
    label: str,
    maker: str,
    guess: PartGuess,
    stated: Mapping[PartField, Stated],
    declarations: Iterable[Declaration] = (),
) -> PartFacts:
    """All that is known of one part. A stated value replaces what the class allows; declarations narrow it.

    Raises InvalidInputError where a declaration contradicts a stated value.
    """
    covering = tuple(d for d in declarations if d.covers(maker=maker, part_key=key))
    return replace(known_of(guess, tuple(stated.items()), covering), key=key, label=label, maker=maker)


@lru_cache(maxsize=50_000)
def known_of(
    guess: PartGuess, stated: tuple[tuple[PartField, Stated], ...], declarations: tuple[Declaration, ...]
) -> PartFacts:
    """What is known of every part that may be ``guess`` and of which the same is said, without key, label and maker."""
    known = _Known(guess, dict(stated))
    for declaration in declarations:
        known.declare(declaration)
    return PartFacts(
        key="",
        label="",
        maker="",
        classes=known.classes,
        mounting=known.mounting,
        limit_c=known.limit_c,
        limit_s=known.limit_s,
        passes=known.passes,
        ovens=known.ovens,
        finish=known.finish,
        balls=known.balls,
        msl=known.msl,
        self_heating_k=known.self_heating_k,
        current_a=known.current_a,
        mating_force_n=known.mating_force_n,
        wash=known.wash,
        vacuum=known.vacuum,
        lead_risk=known.lead_risk,
        caution=known.caution,
        sizes=known.sizes,
        sources=Sources(known.sources),
        stated=frozenset(name for name, _ in stated),
    )


class _Known:
    """The fields of one part while statements are laid over what its class allows."""

    def __init__(self, guess: PartGuess, stated: Mapping[PartField, Stated]) -> None:
        self._stated = stated
        self._from_class = FROM_CLASS
        self.sources: dict[str, Source] = {}
        self.classes = self._mask(PartField.CLASSES, guess.classes)
        bounds = bounds_of(self.classes)
        self.sources.setdefault("classes", Source(Kind.ASSUMED, guess.why, _certainty(self.classes)))
        # What the line says stays, usual or not, while nobody says that the part is of another kind.
        unusual = guess.mounting if self.classes == guess.classes else bounds.mounting
        self.mounting = self._mask(PartField.MOUNTING, guess.mounting & bounds.mounting or unusual)
        sizes = {PartField(name): span for name, span in guess.sizes.items()}
        sizes |= dict.fromkeys(_SIZES & stated.keys() - sizes.keys(), NOT_NEGATIVE)
        self.sizes = {name.value: self._span(name, span, FROM_PACKAGE) for name, span in sizes.items()}
        risky = all(bounds_of(single).lead_risk == "high" for single in self.classes)
        self.lead_risk, self.caution = "high" if risky else "low", bounds.caution
        self.ovens = bounds.ovens
        if (oven := stated.get(PartField.OVEN)) is not None:
            self.ovens = frozenset({Oven.YES if oven.value == OVEN_YES else Oven.NEVER})
            self.sources["oven"] = oven.source
        self._from_class = bounds.sources[0]
        limit, limit_source = self._package_limit(bounds.limit_c, moisture_classified=bounds.moisture_classified)
        if guess.plastic is not None and guess.plastic.limit_c.overlaps(limit) and self.classes == guess.classes:
            limit, limit_source = limit.narrowed_by(guess.plastic.limit_c), guess.plastic.source
        self.limit_c = self._span(PartField.LIMIT_C, limit, limit_source)
        self.limit_s = self._span(PartField.LIMIT_S, bounds.limit_s, replace(self._from_class, note=bounds.time_note))
        self.passes = self._span(PartField.PASSES, bounds.passes)
        self.finish, self.balls = self._solderable(guess, bounds)
        self.msl = self._mask(PartField.MSL, bounds.msl)
        self.self_heating_k = self._span(PartField.SELF_HEATING_K, *self_heating(self.classes, guess.power))
        self.sources.setdefault("oven", self._from_class)
        self._service(bounds)

    def _solderable(self, guess: PartGuess, bounds: ClassBounds) -> tuple[Finish, BallAlloy]:
        """Terminals and balls: without a declaration or a word any that the class may carry, lead included."""
        finish = bounds.finishes | Finish.E0 if bounds.finishes else bounds.finishes
        balls = bounds.balls | BallAlloy.TIN_LEAD if bounds.balls else bounds.balls
        said = guess.said
        source = Source(Kind.ASSUMED, f"the list says “{said.words}”", Status.DERIVED)
        if finish and said.holds_lead:
            self.lead_risk = "said"
        if finish and said.finish:
            finish = finish & said.finish or said.finish
            self.sources["finish"] = source
        if balls and said.balls:
            balls = balls & said.balls or said.balls
            self.sources["balls"] = source
        return self._mask(PartField.FINISH, finish), self._mask(PartField.BALLS, balls)

    def _service(self, bounds: ClassBounds) -> None:
        """What a part bears and carries beside the heat of soldering."""
        mates = bounds.mating_force is not Relevance.NO
        self.current_a = self._span(PartField.CURRENT_A, NOT_NEGATIVE, WHAT_MATTERS)
        self.mating_force_n = self._span(
            PartField.MATING_FORCE_N, NOT_NEGATIVE if mates else Span(0.0, 0.0), WHAT_MATTERS
        )
        self.wash = self._suits(PartField.WASH, bounds.wash_sensitive)
        self.vacuum = self._suits(PartField.VACUUM, bounds.vacuum_sensitive)

    def _suits(self, name: PartField, sensitive: Relevance) -> Suits:
        self.sources[name.value] = WHAT_MATTERS
        return self._mask(name, Suits.YES if sensitive is Relevance.NO else Suits.everything())

    def declare(self, declaration: Declaration) -> None:
        """Narrow what is possible by one declaration."""
        if declaration.claim is Claim.LEAD_FREE:
            if settles_lead(self.lead_risk, declaration.scope):
                self._declare_lead_free(declaration.source)
        elif declaration.claim is Claim.LIMIT_AT_LEAST and PartField.LIMIT_C not in self._stated:
            low = declaration.number or 0.0
            if declaration.scope is Scope.PART or (low <= self.limit_c.high and settles_limit(self.classes, low)):
                self.limit_c = Span(max(self.limit_c.low, low), max(self.limit_c.high, low))
                self.sources["limit_c"] = declaration.source
        elif declaration.claim is Claim.PASSES_AT_LEAST and PartField.PASSES not in self._stated:
            low = declaration.number or 0.0
            if declaration.scope is Scope.PART or settles_passes(self.classes, low):
                self.passes = Span(max(self.passes.low, low), max(self.passes.high, low))
                self.sources["passes"] = declaration.source
        elif declaration.claim is Claim.SELF_HEATING_AT_MOST and PartField.SELF_HEATING_K not in self._stated:
            high = min(self.self_heating_k.high, declaration.number or 0.0)
            if high < self.self_heating_k.high:
                self.self_heating_k = Span(min(self.self_heating_k.low, high), high)
                self.sources["self_heating_k"] = declaration.source

    def _declare_lead_free(self, source: Source) -> None:
        if PartField.FINISH not in self._stated:
            self.finish = self.finish & LEAD_FREE_FINISHES or LEAD_FREE_FINISHES
            self.sources["finish"] = source
        if PartField.BALLS not in self._stated and self.balls:
            self.balls = self.balls & LEAD_FREE_BALLS or LEAD_FREE_BALLS
            self.sources["balls"] = source

    def _package_limit(self, class_limit: Span, *, moisture_classified: bool) -> tuple[Span, Source | None]:
        """J-STD-020's classification temperature where it applies and the size says enough, else the class's limit."""
        height, length, width = (self.sizes.get(name) for name in ("height_mm", "length_mm", "width_mm"))
        if not moisture_classified or not (height and length and width):
            return class_limit, None
        volume = height.times(length).times(width)
        cells = matching_cells(height, volume)
        if not cells:
            return class_limit, None
        return classification_temperature_c(height, volume), cells[0].source

    def _span(self, name: PartField, otherwise: Span, source: Source | None = None) -> Span:
        stated = self._stated.get(name)
        if stated is not None and isinstance(stated.value, Span):
            self.sources[name.value] = stated.source
            return stated.value
        self.sources[name.value] = source or self._from_class
        return otherwise

    def _mask(self, name: PartField, otherwise: _T) -> _T:
        stated = self._stated.get(name)
        if stated is not None and not isinstance(stated.value, Span):
            self.sources[name.value] = stated.source
            return type(otherwise)(stated.value)
        return otherwise


def _certainty(classes: PartClass) -> Status:
    """One possible class is derived from the words of the BOM; several are assumed."""
    return Status.DERIVED if classes.certain else Status.ASSUMED
