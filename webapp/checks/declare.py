"""What a check is: a declaration. One file a family holds them; the registry collects them.

To add a check see DEVELOPERS.md. Findings, the list of wanted data and most of its help page follow from the
declaration; what people read beside it stands in ``explained``, what may clear it in ``planning.ways``.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from importlib import import_module
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from webapp.checks.verdicts import Codes, Values, Verdict
from webapp.trade.alloys import Alloy
from webapp.trade.figures import Figures, default_figures
from webapp.trade.masks import Possible
from webapp.trade.sources import Source

if TYPE_CHECKING:
    from webapp.checks.inputs import Inputs


class Family(StrEnum):
    """The subject of a check, in the order in which they are shown."""

    MELTING = "melting"
    ROUTE = "route"
    HEAT = "heat"
    SERVICE = "service"
    BOARD = "board"


class Scope(StrEnum):
    """What a check speaks of: its arrays have one entry a line, a line and step, a step, or one in all."""

    LINE = "line"
    LINE_STEP = "line and step"
    STEP = "step"
    PRODUCT = "product"

    @property
    def is_of_lines(self) -> bool:
        """Whether its findings are about lines."""
        return self in (Scope.LINE, Scope.LINE_STEP)


class Worse(StrEnum):
    """Which end of a range is worse."""

    LOW = "low"
    HIGH = "high"


@dataclass(frozen=True, slots=True)
class Need:
    """One input of a check.

    ``name``: column of the lines, or value of board, environment or route. ``datum``: what people call it, as it
    stands in "not known: ...". ``worse``: the worse end of a range; for masks ``bad``, the kinds that are worse.
    ``worse_is``: what is worse in words, where neither tells.
    """

    name: str
    datum: str
    worse: Worse | None = None
    bad: int = 0
    worse_is: str = ""

    @property
    def worse_words(self) -> str:
        """Which direction is worse: "a lower value", "contains lead (e0)"."""
        if self.worse is not None:
            return f"a {'lower' if self.worse is Worse.LOW else 'higher'} value"
        return "; ".join(kind.words for kind in self.bad) if isinstance(self.bad, Possible) else self.worse_is


@dataclass(frozen=True, slots=True)
class Outcome:
    """What ``evaluate`` returns: verdict codes (NONE where the check does not apply), and the value and the limit it
    compared, all of the shape of the check's scope; ``detail``: further numbers for the sentence, by name."""

    verdict: Codes
    value: Values
    limit: Values
    detail: Mapping[str, Values] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Today:
    """Value and limit that a line has on today's route."""

    value: float | None
    limit: float | None


@dataclass(frozen=True, slots=True)
class Told:
    """What ``explain`` may use: the element that decides, with its ``detail``, and how many stand with it; ``figures``:
    those of the site that the check names; ``joint``: the alloy that makes its joints; ``today``: what the same
    line has on today's route."""

    verdict: Verdict
    value: float | None
    limit: float | None
    step: str
    alloy: str
    parts: int
    missing: str
    classes: str
    figures: Mapping[str, float] = field(default_factory=dict)
    detail: Mapping[str, float] = field(default_factory=dict)
    joint: Alloy | None = None
    today: Today | None = None

    @property
    def reached(self) -> float:
        """The value, where the verdict spoken of has one; ValueError for one that is not known."""
        return _known(self.value)

    @property
    def allowed(self) -> float:
        """The limit, likewise."""
        return _known(self.limit)

    @property
    def who(self) -> str:
        """The parts spoken of: "this part (LED, surface mount)", "3 parts (crystal or relay)", "24 parts"."""
        count = "this part" if self.parts == 1 else f"{self.parts} parts"
        return f"{count} ({self.classes})" if self.classes else count


@dataclass(frozen=True, slots=True)
class Check:
    """A check; see design in DEVELOPERS.md, "Adding a check".

    ``may_pass`` False marks a screening model: it warns or asks for proof and never gives fine or gain.
    ``reaches``: the value has to reach the limit; of all other checks it has to stay below. ``by_part`` False: what
    fails alike for many parts has one cause outside them (a hot step, the ambient) and is one finding. ``can_gain``: a
    value past its limit today that the candidate keeps is a gain. ``wrong_fine_hurts``: nothing known is prove.
    ``figures``: keys of the site's figures (trade.figures) that it decides by. ``prints``: paste and foil of a step
    count, not only its alloy.
    """

    id: str
    title: str
    family: Family
    scope: Scope
    question: str
    needs: tuple[Need, ...]
    sources: tuple[Source, ...]
    evaluate: Callable[["Inputs"], Outcome]
    explain: Callable[[Told], str]
    unit: str = "°C"
    version: int = 1
    may_pass: bool = True
    reaches: bool = False
    by_part: bool = True
    can_gain: bool = False
    wrong_fine_hurts: bool = False
    remedies: Mapping[Verdict, tuple[str, ...]] = field(default_factory=dict)
    caution: str = ""
    figures: tuple[str, ...] = ()
    prints: bool = False

    def figures_of(self, site: Figures) -> dict[str, float]:
        """The values of the figures it names."""
        return {key: site[key].value for key in self.figures}


def _known(number: float | None) -> float:
    if number is None:
        raise ValueError("a sentence speaks of a number that is not known")
    return number


_REGISTRY: dict[str, Check] = {}


def register(check: Check) -> Check:
    """Add a check to the registry; ValueError for an id that is there already, or a check without a source."""
    if check.id in _REGISTRY:
        raise ValueError(f"there are two checks with the id {check.id}")
    if not check.sources:
        raise ValueError(f"the check {check.id} names no source")
    if unknown := set(check.figures) - default_figures().keys():
        raise ValueError(f"the check {check.id} names figures that there are not: {unknown}")
    _REGISTRY[check.id] = check
    return check


def arrange(modules: Sequence[str]) -> None:
    """Put the checks in the order of their modules, whichever was imported first."""
    ordered = sorted(_REGISTRY.values(), key=lambda check: modules.index(check.evaluate.__module__))
    _REGISTRY.clear()
    _REGISTRY.update({check.id: check for check in ordered})


def registry() -> Mapping[str, Check]:
    """All checks by id, in the order of their families' files."""
    import_module("webapp.checks.catalogue")
    return _REGISTRY


def blank(shape: tuple[int, ...]) -> NDArray[np.float64]:
    """An array of values that are not known."""
    return np.full(shape, np.nan)
