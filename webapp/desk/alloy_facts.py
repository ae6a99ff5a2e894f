"""What the screens tell of alloys: melting calculated and listed, price, limits in use, properties, oven power."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from webapp.science.energy import oven_power_ratio
from webapp.science.melting import MeltingRange, NotCovered, melting_ranges
from webapp.science.parameters import data_version
from webapp.trade.alloy_properties import AlloyProperty, Property, ductility_class, properties_of, strength_class
from webapp.trade.alloy_use import UseLimits, use_limits
from webapp.trade.alloys import Alloy
from webapp.trade.composition import Composition
from webapp.trade.figures import Figures, price_per_kg
from webapp.trade.pastes import Paste
from webapp.trade.practice import practice_figure
from webapp.trade.ranges import Span, number_text, spanning
from webapp.trade.site import Site
from webapp.trade.sources import Kind, Source, Status

FAR_APART_K = 10.0
"""How far a stated temperature may lie from the calculated one before that is said: K, common practice, no source."""


@dataclass(frozen=True, slots=True)
class FarApart:
    """A temperature, °C, as it is stated and as it is calculated, more than FAR_APART_K apart."""

    name: str
    stated_c: float
    calculated_c: float


def far_apart(
    melting: MeltingRange | NotCovered, solidus_c: float | None, liquidus_c: float | None
) -> tuple[FarApart, ...]:
    """What of the stated melting (None: not stated) lies far from the calculated; nothing where that is not covered.

    A liquidus may be stated as where the matrix goes or as where the last trace of a compound does: either will do.
    """
    if isinstance(melting, NotCovered):
        return ()
    liquid = Span(melting.matrix_gone_c, max(melting.matrix_gone_c, melting.liquidus_c))
    compared = (("Solidus", solidus_c, Span.exactly(melting.solidus_c)), ("Liquidus", liquidus_c, liquid))
    return tuple(
        FarApart(name, stated_c, nearest)
        for name, stated_c, calculated in compared
        if stated_c is not None
        and abs(stated_c - (nearest := min(max(stated_c, calculated.low), calculated.high))) > FAR_APART_K
    )


@dataclass(frozen=True, slots=True)
class AlloyFacts:
    """One alloy with all that is known of it. Temperatures in °C, ``price_per_kg`` in figures.CURRENCY.

    ``oven_power``: of the peaks of its pastes, over that at 240 °C; None where no paste names one.
    """

    alloy: Alloy
    composition: Composition
    melting: MeltingRange | NotCovered
    price_per_kg: float | None
    use: UseLimits
    properties: Mapping[Property, AlloyProperty] = field(hash=False)
    pastes: tuple[Paste, ...] = ()
    oven_power: Span | None = None

    @property
    def span(self) -> MeltingRange | None:
        """The melting calculated; None where the data do not cover the alloy."""
        return self.melting if isinstance(self.melting, MeltingRange) else None

    @property
    def not_covered(self) -> str:
        """Why no melting is calculated; "" when it is."""
        return self.melting.reason if isinstance(self.melting, NotCovered) else ""

    @property
    def listed_solidus_c(self) -> float | None:
        """The solidus of a list or data sheet; None where none is known."""
        if not self.alloy.own:
            return self.alloy.listed_c.low if self.alloy.listed_c else None
        return None if self.alloy.solidus_source.status is Status.DERIVED else self.alloy.solidus_c

    @property
    def listed_liquidus_c(self) -> float | None:
        """The liquidus of a list or data sheet; None where none is known."""
        if not self.alloy.own:
            return self.alloy.listed_c.high if self.alloy.listed_c else None
        return None if self.alloy.liquid_source.status is Status.DERIVED else self.alloy.liquidus_c

    @property
    def listed_source(self) -> Source:
        """Where the listed solidus, or without one the liquidus, comes from."""
        if self.alloy.listed_source is not None:
            return self.alloy.listed_source
        return self.alloy.solidus_source if self.listed_solidus_c is not None else self.alloy.liquid_source

    @property
    def far_apart(self) -> tuple[FarApart, ...]:
        """Of an alloy of the site's own what is stated far from what is calculated."""
        return far_apart(self.melting, self.listed_solidus_c, self.listed_liquidus_c) if self.alloy.own else ()

    @property
    def listed(self) -> str:
        """What lists print, in words: "217 to 220", "183", "from 138"; "" for nothing."""
        low, high = self.listed_solidus_c, self.listed_liquidus_c
        if low is not None and high is not None:
            return Span(low, high).text()
        if low is not None:
            return f"from {number_text(low)}"
        return "" if high is None else f"up to {number_text(high)}"

    @property
    def solidus_c(self) -> float:
        """Where melting begins: calculated, else listed."""
        return self.span.solidus_c if self.span else self.alloy.solidus_c

    @property
    def melted_c(self) -> float:
        """Where 99 % of the mass is liquid: calculated, else listed."""
        return self.span.mostly_liquid_c if self.span else self.alloy.melted_c

    @property
    def liquidus_c(self) -> float:
        """Where the last solid goes: calculated, else listed."""
        return self.span.liquidus_c if self.span else self.alloy.liquidus_c

    @property
    def strength(self) -> str | None:
        """Tensile strength beside SAC305, in words."""
        return strength_class(self.properties)

    @property
    def ductility(self) -> str | None:
        """How it gives before it breaks, in words."""
        return ductility_class(self.alloy, self.properties)

    @property
    def peak_c(self) -> Span | None:
        """The peaks that its pastes allow."""
        return spanning(paste.peak_c for paste in self.pastes) if self.pastes else None


def facts_of(alloys: Sequence[Alloy], site: Site) -> list[AlloyFacts]:
    """The facts of ``alloys``, their melting calculated together."""
    compositions = [Composition.of(alloy.composition_wt_pct) for alloy in alloys]
    meltings = melting_ranges(compositions)
    return [
        _facts(alloy, composition, melting, site)
        for alloy, composition, melting in zip(alloys, compositions, meltings, strict=True)
    ]


def _facts(alloy: Alloy, composition: Composition, melting: MeltingRange | NotCovered, site: Site) -> AlloyFacts:
    pastes = tuple(paste for paste in site.materials.pastes.values() if paste.alloy == alloy.designation)
    peaks = spanning(paste.peak_c for paste in pastes) if pastes else None
    return AlloyFacts(
        alloy=alloy,
        composition=composition,
        melting=melting,
        price_per_kg=price_per_kg(alloy.composition_wt_pct, site.figures),
        use=use_limits(alloy.composition_wt_pct, alloy.solidus_c, alloy.solidus_source, site.figures),
        properties=properties_of(alloy),
        pastes=pastes,
        oven_power=oven_power_ratio(peaks, practice_figure("oven_load_share").span) if peaks else None,
    )


@dataclass(frozen=True, slots=True)
class TrialFacts:
    """What is known of a composition that is no alloy yet; ``use`` is None where its melting is not calculated."""

    composition: Composition
    melting: MeltingRange | NotCovered
    price_per_kg: float | None
    use: UseLimits | None

    @property
    def span(self) -> MeltingRange | None:
        """The melting calculated; None where the data do not cover the composition."""
        return self.melting if isinstance(self.melting, MeltingRange) else None


def trial_facts(composition: Composition, figures: Figures) -> TrialFacts:
    """The facts of a composition."""
    (melting,) = melting_ranges([composition])
    use = None
    if isinstance(melting, MeltingRange):
        source = Source(Kind.ENTERED, f"calculated, thermodynamic data {data_version()}", Status.DERIVED)
        use = use_limits(composition.wt_pct, melting.solidus_c, source, figures)
    return TrialFacts(composition, melting, price_per_kg(composition.wt_pct, figures), use)
