"""What a product is and where it is used: the board and the environment. None and full masks are "not known"."""

from dataclasses import dataclass, field
from enum import StrEnum

from webapp.trade.masks import BoardFinish
from webapp.trade.ranges import Span

LIMITS: dict[str, Span] = {
    "length_mm": Span(1, 1500),
    "width_mm": Span(1, 1500),
    "thickness_mm": Span(0.05, 10),
    "layers": Span(1, 100),
    "copper_um": Span(1, 500),
    "laminate_tg_c": Span(20, 400),
    "laminate_td_c": Span(100, 700),
    "cte_ppm_k": Span(0, 500),
    "t_min_c": Span(-80, 200),
    "t_max_c": Span(-80, 200),
    "board_heating_k": Span(0, 150),
    "cycles_per_day": Span(0, 10_000),
    "years": Span(0, 100),
    "humidity_pct": Span(0, 100),
    "bias_v": Span(0, 10_000),
}
"""Field of board or environment -> values that make sense, in the field's unit."""


class DropClass(StrEnum):
    """How often the product is dropped."""

    NONE = "none"
    OCCASIONAL = "occasional"
    HANDHELD = "handheld"


@dataclass(frozen=True, slots=True)
class Board:
    """The bare board: mm, µm, °C, ppm/K."""

    length_mm: float | None = None
    width_mm: float | None = None
    thickness_mm: float | None = None
    layers: int | None = None
    copper_um: float | None = None
    laminate_tg_c: float | None = None
    laminate_td_c: float | None = None
    cte_ppm_k: float | None = None
    finish: BoardFinish = field(default_factory=BoardFinish.everything)


@dataclass(frozen=True, slots=True)
class Environment:
    """Where the product works.

    ``t_min_c`` and ``t_max_c`` bound the air around the board, ``board_heating_k`` is what the whole board adds to it;
    ``cycles_per_day`` and ``years`` make the life; ``drop_class``: how often it is dropped.
    """

    t_min_c: float | None = None
    t_max_c: float | None = None
    board_heating_k: float | None = None
    cycles_per_day: float | None = None
    years: float | None = None
    drop_class: DropClass | None = None
    humidity_pct: float | None = None
    bias_v: float | None = None
