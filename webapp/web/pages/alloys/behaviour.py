"""What is calculated of one alloy beyond its melting range: curves, later heat, slopes, tolerance."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from webapp.science.diagrams import Slope, ToleranceRange, slopes, tolerance_range
from webapp.science.melting import (
    EXPOSURES_C,
    Freezing,
    MeltingRange,
    NotCovered,
    PhaseFractions,
    drawn_curve,
    freezing,
)
from webapp.trade.practice import practice_figure
from webapp.web.charts import Chart
from webapp.web.pages.alloys.drawing import liquid_chart
from webapp.web.wording import MINUS, NOT_KNOWN


@dataclass(frozen=True, slots=True)
class Behaviour:
    """Of an alloy of melting range ``span``. ``again``: at each exposure, °C, the share that is liquid in equilibrium,
    and as soldered; what the search did not find is None."""

    span: MeltingRange
    curve: PhaseFractions
    way: Freezing | None
    again: tuple[tuple[float, float, float | None], ...]
    slopes: Mapping[str, Slope] = field(hash=False)
    tolerance: ToleranceRange | None

    @property
    def moves(self) -> list[tuple[str, str, str, str]]:
        """Each element with what 1 wt% more of it does to solidus, matrix and last solid, K, in words."""
        return [
            (symbol, _slope_words(slope.solidus), _slope_words(slope.matrix_liquidus), _slope_words(slope.liquidus))
            for symbol, slope in self.slopes.items()
        ]

    @property
    def chart(self) -> Chart:
        """The liquid over temperature."""
        return liquid_chart(self.span, self.curve, self.way)


def _slope_words(sides: tuple[float | None, float | None]) -> str:
    """ "+2.5"; "−2.4 / +2.5" where it is another towards less and more of the element."""
    known = [_signed(side) for side in sides if side is not None]
    if not known:
        return NOT_KNOWN
    below, above = known[0], known[-1]
    return above if below == above else f"{below} / {above}"


def _signed(value: float) -> str:
    text = f"{value:+.1f}"
    return "0" if text[1:] == "0.0" else text.replace("-", MINUS)


def behaviour_of(span: MeltingRange, *, with_tolerance: bool = False) -> Behaviour | None:
    """All of it for the alloy of ``span``, the tolerance only on demand; None where its curve is not found."""
    alloy = span.composition
    curve, way, moves = drawn_curve(alloy, EXPOSURES_C), freezing(alloy), slopes(alloy)
    if isinstance(curve, NotCovered):
        return None
    tolerance_wt_pct = practice_figure("composition_tolerance_wt_pct").value
    within = tolerance_range(alloy, tolerance_wt_pct) if with_tolerance else None
    liquid = dict(zip(curve.t_c, curve.liquid, strict=True))
    frozen = way if isinstance(way, Freezing) else None
    return Behaviour(
        span,
        curve,
        frozen,
        tuple((t_c, liquid[t_c], frozen.left_at[t_c] if frozen else None) for t_c in EXPOSURES_C),
        moves if isinstance(moves, dict) else {},
        within if isinstance(within, ToleranceRange) else None,
    )
