"""Steps against the window of their paste."""

from dataclasses import replace

from webapp.trade.paste_windows import outside_window, window_words
from webapp.trade.pastes import paste_examples
from webapp.trade.ranges import Span
from webapp.trade.route import Step, StepKind

PASTE = replace(paste_examples()[0], peak_c=Span(165, 190), above_liquidus_s=Span(30, 90))
STEP = Step(StepKind.REFLOW, "", None, PASTE.alloy, 180.0, 8.0, 60.0)


def test_within_it_nothing_is_said():
    assert outside_window(STEP, PASTE) == ()
    assert outside_window(replace(STEP, peak_c=190.0, spread_k=25.0, above_melting_s=30.0), PASTE) == ()


def test_each_way_out_is_a_sentence():
    assert outside_window(replace(STEP, peak_c=195.0), PASTE) == (
        "The peak, 195 °C, is above the paste's 165 to 190 °C.",
    )
    assert outside_window(replace(STEP, spread_k=18.0, above_melting_s=95.0), PASTE) == (
        "The coldest joint, 162 °C, is below the paste's 165 to 190 °C.",
        "The time above melting, 95 s, is outside the paste's 30 to 90 s.",
    )


def test_what_is_not_known_and_what_is_no_reflow_lie_nowhere():
    assert outside_window(replace(STEP, peak_c=None, above_melting_s=None), PASTE) == ()
    assert outside_window(replace(STEP, kind=StepKind.HAND, peak_c=350.0), PASTE) == ()


def test_the_window_in_words():
    assert window_words(PASTE) == "165 to 190 °C, 30 to 90 s"
