"""What holds for a whole site: its materials and the figures it decides by."""

from dataclasses import dataclass, field

from webapp.trade.figures import Figures, default_figures
from webapp.trade.materials import Materials, tabulated


@dataclass(frozen=True, slots=True)
class Site:
    """Materials and figures; by default those of the tables."""

    materials: Materials = field(default_factory=tabulated)
    figures: Figures = field(default_factory=default_figures, hash=False)
