"""Finishes: what a category means for the conversion."""

from webapp.trade.finishes import board_finish_codes, finish_categories
from webapp.trade.masks import BoardFinish, Finish


def test_every_category_says_what_it_means_beside_bismuth() -> None:
    assert set(finish_categories()) == set(Finish)
    assert all(category.for_conversion for category in finish_categories().values())
    assert "95 °C" in finish_categories()[Finish.E0].for_conversion


def test_gold_finishes_share_a_code() -> None:
    gold = (BoardFinish.ENIG, BoardFinish.ENEPIG, BoardFinish.HARD_GOLD)
    assert {board_finish_codes()[finish][0] for finish in gold} == {"b4"}
