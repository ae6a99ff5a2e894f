"""Solder alloys by generic designation, and where a joint of given elements first melts."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache

from webapp.trade.practice import practice_figure
from webapp.trade.ranges import Span
from webapp.trade.sources import Source
from webapp.trade.tables import Row, rows

TRACE_WT_PCT = 0.1
"""Below this share an element counts as an impurity (the limit for lead in lead-free solder)."""

_SHORT_NAME = re.compile(r"[A-Z]+\d+")
_LISTS = "J-STD-006, Appendix A, and ISO 9453"


@dataclass(frozen=True, slots=True)
class Alloy:
    """A solder alloy, composition in wt% (sum 100).

    ``solidus_c``: first melting. ``melted_c``: 99 % liquid, what a joint needs to form. ``liquidus_c``: the last
    solid gone, which for alloys with a little silver or copper is far above ``melted_c``. ``listed_c``: solidus
    and liquidus as the lists of standards print them, where that is known. ``own``: the site's, not of the tables.
    """

    designation: str
    name: str
    composition_wt_pct: Mapping[str, float] = field(hash=False)
    solidus_c: float
    liquidus_c: float
    melted_c: float
    density_g_cm3: float
    solidus_source: Source
    liquid_source: Source
    listed_c: Span | None = None
    listed_source: Source | None = None
    own: bool = False

    @property
    def low_temperature(self) -> bool:
        """Whether it begins to melt below the tin-lead eutectic."""
        return self.solidus_c < practice_figure("low_temperature_solidus_c").value

    @property
    def holds_lead(self) -> bool:
        """Whether lead is more than an impurity."""
        return self.composition_wt_pct.get("Pb", 0.0) > TRACE_WT_PCT

    @property
    def holds_bismuth(self) -> bool:
        """Whether bismuth is more than an impurity."""
        return self.composition_wt_pct.get("Bi", 0.0) > TRACE_WT_PCT


def _alloy(row: Row) -> Alloy:
    words = row.text("composition_wt_pct").split()
    return Alloy(
        designation=row.text("designation"),
        name=row.text("name"),
        composition_wt_pct=dict(zip(words[::2], map(float, words[1::2]), strict=True)),
        solidus_c=row.number("solidus_c"),
        liquidus_c=row.number("liquidus_c"),
        melted_c=row.number("melted_c"),
        density_g_cm3=row.number("density_g_cm3"),
        solidus_source=row.source("solidus_", reference="solidus of the alloy"),
        liquid_source=row.source("liquid_", reference="liquidus of the alloy"),
        listed_c=row.span("listed_c") if row.text("listed_c") else None,
        listed_source=row.source("listed_", reference=_LISTS) if row.text("listed_c") else None,
    )


@cache
def alloys() -> dict[str, Alloy]:
    """Designation -> alloy, in the order of the table. Do not change the dictionary."""
    return {row.text("designation"): _alloy(row) for row in rows("alloys")}


def alloy_named(text: str, *, among: Iterable[Alloy] | None = None) -> Alloy | None:
    """The alloy that is called so, whatever the case: by its designation, or one of the table by its short name
    ("SAC305"; "tin-lead" describes several). None when there is none. ``among``: by default those of the table.
    """
    wanted = "".join(text.split()).casefold()
    every = list(alloys().values() if among is None else among)
    for alloy in every:
        if alloy.designation.casefold() == wanted:
            return alloy
    short = (alloy for alloy in every if not alloy.own and _SHORT_NAME.fullmatch(alloy.name))
    return next((alloy for alloy in short if alloy.name.casefold() == wanted), None)


def find_alloy(
    composition_wt_pct: Mapping[str, float], tolerance_wt_pct: float = 0.05, *, among: Iterable[Alloy] | None = None
) -> Alloy | None:
    """The alloy with this composition, each element within the tolerance; ``None`` when there is none.

    ``among``: by default the alloys of the table.
    """
    for alloy in alloys().values() if among is None else among:
        elements = alloy.composition_wt_pct.keys() | composition_wt_pct.keys()
        if all(
            abs(alloy.composition_wt_pct.get(element, 0.0) - composition_wt_pct.get(element, 0.0)) <= tolerance_wt_pct
            for element in elements
        ):
            return alloy
    return None


@dataclass(frozen=True, slots=True)
class Onset:
    """The temperature at which a joint may first hold liquid, and which elements make it so."""

    onset_c: float
    elements: tuple[str, ...]
    source: Source


@cache
def _onsets() -> tuple[Onset, ...]:
    return tuple(
        Onset(row.number("onset_c"), tuple(row.text("elements").split()), row.source()) for row in rows("onsets")
    )


def lowest_onset(*compositions_wt_pct: Mapping[str, float], trace_wt_pct: float = TRACE_WT_PCT) -> Onset | None:
    """The lowest first melting of a joint made of these alloys (paste, ball, finish), no credit for mixing.

    The lowest melting of any system whose elements are all present above ``trace_wt_pct`` in some of them: a hybrid
    of SAC ball and tin-bismuth paste keeps the bismuth eutectic, and 95 °C holds once lead joins bismuth and tin.
    ``None`` when no system of the table is made of the elements.
    """
    present = {
        element for composition in compositions_wt_pct for element, share in composition.items() if share > trace_wt_pct
    }
    possible = [onset for onset in _onsets() if present.issuperset(onset.elements)]
    return min(possible, key=lambda onset: onset.onset_c, default=None)
