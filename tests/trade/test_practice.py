"""Figures by name, and warpage limits between pitches."""

import pytest

from webapp.trade.practice import practice_figure, stencil_rule, warpage_limits_for


def test_a_figure_has_unit_and_meaning() -> None:
    figure = practice_figure("gold_limit_wt_pct")
    assert (figure.value, figure.unit) == (3, "wt%")
    assert "brittle" in figure.meaning
    assert practice_figure("low_peak_c").span.low == practice_figure("low_peak_c").value


def test_a_name_that_is_none() -> None:
    with pytest.raises(KeyError):
        practice_figure("nothing")
    with pytest.raises(KeyError):
        stencil_rule("nothing")


@pytest.mark.parametrize(("pitch", "taken"), [(1.0, 1.0), (0.9, 0.8), (0.8, 0.8), (0.75, 0.65), (2.0, 1.27)])
def test_between_pitches_the_finer_and_stricter_row_counts(pitch: float, taken: float) -> None:
    assert {limit.pitch_mm for limit in warpage_limits_for(pitch)} == {taken}


def test_finer_than_the_table_there_is_no_limit() -> None:
    assert warpage_limits_for(0.3) == ()
