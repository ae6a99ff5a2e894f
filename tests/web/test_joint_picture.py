"""The picture of a joint: truncated spheres to scale."""

from dataclasses import replace
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.desk.test_joint_detail import joint
from webapp.desk.joint_detail import work_out
from webapp.science.mixing import standoff_mm
from webapp.web.joint_picture import Ball, fillet_around, joint_picture
from webapp.web.wording import NBSP

JOINT = joint()


def panels(changed):
    return {panel.key: panel for panel in joint_picture(work_out(changed)).panels}


@given(st.floats(0.02, 1.0), st.floats(0.01, 0.6), st.floats(0.0, 0.6))
def test_a_truncated_sphere_holds_its_volume_and_meets_its_pads(volume, top, foot):
    ball = Ball(standoff_mm(volume, 2 * top, 2 * foot), top, foot)
    assert ball.volume_below(ball.height) == pytest.approx(volume, rel=1e-6)
    assert ball.radius_at(0) == pytest.approx(foot, abs=1e-6)
    assert ball.radius_at(ball.height) == pytest.approx(top, abs=1e-6)
    assert ball.widest >= max(top, foot) - 1e-9


@given(st.floats(0.02, 0.2))
def test_the_solder_around_a_ball_holds_the_volume_of_the_paste(share):
    ball = Ball(standoff_mm(JOINT.ball_mm3, 0.36, 0.0), 0.18, 0.0)
    solder = fillet_around(ball, 0.18, share * JOINT.ball_mm3)
    held = solder.volume_below(solder.height) - ball.volume_below(solder.height)
    assert held == pytest.approx(share * JOINT.ball_mm3, rel=1e-6)
    assert solder.height <= ball.middle


def test_solder_that_would_rise_past_the_middle_stops_there():
    ball = Ball(standoff_mm(JOINT.ball_mm3, 0.36, 0.0), 0.18, 0.0)
    assert fillet_around(ball, 0.18, JOINT.ball_mm3).height == pytest.approx(ball.middle)


def test_stand_offs_are_those_of_the_check_values_at_one_scale():
    drawn = joint_picture(work_out(JOINT))
    by_key = {panel.key: panel for panel in drawn.panels}
    # Check values of tests/desk/test_joints.py; as printed the foil's 0.1 mm more.
    heights = {"printed": 0.479, "whole": 0.379, "one": 0.332}
    scale = drawn.bar.width / float(drawn.bar_text.split()[0])
    for key, height_mm in heights.items():
        dimension = by_key[key].dimension
        assert float(dimension.text.split()[0]) == pytest.approx(height_mm, abs=0.001)
        assert (dimension.bottom - dimension.top) / scale == pytest.approx(height_mm, abs=0.001)
    assert by_key["printed"].paste.width / scale == pytest.approx(0.40)
    assert by_key["printed"].paste.height / scale == pytest.approx(0.10)
    assert by_key["whole"].board_pad.width / scale == pytest.approx(0.36)
    assert all(panel.package.y >= 0 and panel.board.y + panel.board.height <= drawn.height for panel in drawn.panels)


@pytest.mark.parametrize(
    ("changed", "made", "hatched"),
    [
        ({}, "whole", {"whole": 2, "one": 0}),
        ({"peak_c": 220.0}, "one", {"whole": 0, "one": 1}),
        ({"peak_c": 130.0}, None, {"whole": 0, "one": 0}),
        ({"ball": "Sn50In50"}, None, {"whole": 0, "one": 0}),
        ({"ball": "Sn42Bi58", "paste": "Sn96.5Ag3Cu0.5", "peak_c": 143.0}, "one", {"whole": 0, "one": 1}),
    ],
)
def test_what_the_step_gives_is_marked_and_what_is_mixed_hatched(changed, made, hatched):
    found = panels(joint(**changed))
    assert found["printed"].is_made
    assert [key for key in ("whole", "one") if found[key].is_made] == ([made] if made else [])
    assert {key: len(found[key].mixed) for key in hatched} == hatched


def test_in_words():
    found = panels(JOINT)
    printed, whole, one = (found[key].words.replace(NBSP, " ") for key in ("printed", "whole", "one"))
    assert printed == "A ball of 0.45 mm on paste printed through a round opening 0.4 mm, foil 0.1 mm."
    assert whole.startswith("The ball stays whole and stands on the board. Stand-off 0.379 mm; mixed band")
    assert one == "Ball and solder have become one between the pads. Stand-off 0.332 mm."
    assert found["whole"].label == f"what 175{NBSP}°C gives"
    assert found["one"].label == f"not at 175{NBSP}°C"
    assert panels(joint(ball="Sn50In50"))["one"].label == "not covered"


def test_a_tiny_ball_on_a_wide_pad_is_drawn_too():
    wide = replace(JOINT, pad_board_mm=2.0, pad_package_mm=1.0)
    drawn = joint_picture(work_out(wide))
    assert max(panel.board_pad.width for panel in drawn.panels) == pytest.approx(140)
    assert pi / 6 * 0.45**3 == pytest.approx(wide.ball_mm3)
