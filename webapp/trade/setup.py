"""What a product is and where it is used: the board and the environment. None and full masks are "not known"."""

from dataclasses import dataclass, field

from webapp.trade.masks import BoardFinish


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
    ``cycles_per_day`` and ``years`` make the life; ``drop_class`` is none, occasional or handheld.
    """

    t_min_c: float | None = None
    t_max_c: float | None = None
    board_heating_k: float | None = None
    cycles_per_day: float | None = None
    years: float | None = None
    drop_class: str | None = None
    humidity_pct: float | None = None
    bias_v: float | None = None
