"""J-STD-609: categories of terminal finishes and codes of board finishes."""

from dataclasses import dataclass
from functools import cache

from webapp.trade.masks import BoardFinish, Finish
from webapp.trade.sources import Source
from webapp.trade.tables import rows


@dataclass(frozen=True, slots=True)
class FinishCategory:
    """One category: what it means, and what it means beside bismuth solder (our reading)."""

    finish: Finish
    meaning: str
    for_conversion: str
    source: Source


@cache
def finish_categories() -> dict[Finish, FinishCategory]:
    """The ten categories e0 to e9. Do not change the dictionary."""
    return {
        Finish.from_keys(row.text("code")): FinishCategory(
            Finish.from_keys(row.text("code")), row.text("meaning"), row.text("for_conversion"), row.source()
        )
        for row in rows("terminal_finish")
    }


@cache
def board_finish_codes() -> dict[BoardFinish, tuple[str, Source]]:
    """Board finish -> its code b0 to b6 (several finishes share one). Do not change the dictionary."""
    return {BoardFinish.from_keys(row.text("finish")): (row.text("code"), row.source()) for row in rows("board_finish")}
