"""How hot joints of an alloy may run in service, by the site's shares of their first melting."""

from collections.abc import Mapping
from dataclasses import dataclass

from webapp.trade.alloys import lowest_onset
from webapp.trade.figures import Figures
from webapp.trade.sources import Source

KELVIN = 273.15


@dataclass(frozen=True, slots=True)
class UseLimits:
    """Joint temperatures in °C: fine up to ``fine_c``, to be proved up to ``prove_c``, blocked above ``blocks_c``.

    ``onset_c``: the first melting they are shares of, no credit for mixing, with its source.
    """

    onset_c: float
    onset_source: Source
    fine_c: float
    prove_c: float
    blocks_c: float


def use_limits(
    composition_wt_pct: Mapping[str, float], solidus_c: float, solidus_source: Source, figures: Figures
) -> UseLimits:
    """The limits for joints of this alloy alone; on other balls or finishes they may melt earlier."""
    onset = lowest_onset(composition_wt_pct)
    onset_c, source = solidus_c, solidus_source
    if onset is not None and onset.onset_c < onset_c:
        onset_c, source = onset.onset_c, onset.source
    keys = ("service_fine_share", "service_prove_share", "service_change_share")
    fine, prove, change = (figures[key].value * (onset_c + KELVIN) - KELVIN for key in keys)
    return UseLimits(onset_c, source, fine, prove, change)
