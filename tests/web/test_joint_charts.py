"""The chart of what is liquid again."""

from tests.checks.build import SAC
from tests.desk.test_joint_detail import CURE, exposures, joint
from webapp.desk.joint_detail import reheated, work_out
from webapp.trade.route import Step, StepKind
from webapp.web.joint_charts import liquid_chart
from webapp.web.wording import NBSP


def chart(*later, **changed):
    worked = work_out(joint(**changed))
    return liquid_chart(worked, reheated(worked, exposures(*later)))


def test_band_and_whole_with_peak_first_melting_and_every_later_heat():
    drawn = chart(CURE)
    assert [(curve.style, curve.label.text) for curve in drawn.curves] == [
        (1, "mixed band"),
        (2, "whole joint, were it mixed"),
    ]
    marks = {mark.label.text.replace(NBSP, " "): mark.kind for mark in drawn.marks}
    assert marks == {
        "in use 45 °C": "exposure",
        "first melts 137 °C": "limit",
        "coating cure 150 °C": "exposure",
        "peak 175 °C": "note",
    }
    # What is looked at in any case stands in the table and in words, not as lines.
    assert f"At 138{NBSP}°C (looked at in any case)" in drawn.words
    assert drawn.x.scale.low < 45
    assert drawn.x.scale.high > 210


def test_its_table_holds_the_marks_and_rises():
    drawn = chart(CURE)
    rows = {row[0]: row[1:] for row in drawn.values.rows}
    assert {"137", "150", "175"} <= set(rows)
    assert rows["100"] == ("0.0", "0.0")
    band = [float(row[1]) for row in drawn.values.rows]
    assert band == sorted(band)
    assert band[-1] == 100


def test_heats_of_one_temperature_share_a_line_and_long_names_are_cut():
    bake = Step(StepKind.BAKE, "drying of the populated panel before coating", None, None, 150.0)
    texts = [mark.label.text.replace(NBSP, " ") for mark in chart(bake, CURE).marks]
    assert "drying of the populated p… +1 150 °C" in texts


def test_one_curve_where_all_is_one_and_none_where_it_is_not_covered():
    through = chart(CURE, ball=SAC, paste=SAC, peak_c=240.0)
    assert [curve.label.text for curve in through.curves] == ["whole joint, were it mixed"]
    assert chart(CURE, ball="Sn50In50") is None
