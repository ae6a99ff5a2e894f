"""Scales, ticks, labels and paths of charts."""

import pytest

from webapp.web.charts import (
    Band,
    Curve,
    Label,
    Mark,
    RangeBar,
    Scale,
    Spot,
    Values,
    across,
    drawn_bar,
    path,
    rounded_out,
    tick_step,
    tick_values,
    upwards,
    value_at,
    xy_chart,
)

NO_VALUES = Values(("x",), ())


def chart(**what):
    return xy_chart("c", "title", "words", across("X", "m", 0, 200), upwards("Y", "%", 0, 100), NO_VALUES, **what)


class TestScales:
    def test_a_scale_is_linear_and_goes_on_outside(self):
        scale = Scale(100, 300, 0, 50)
        assert [scale(value) for value in (100, 200, 300, 400)] == [0, 25, 50, 75]
        assert [scale.shows(value) for value in (99, 100, 300, 301)] == [False, True, True, False]

    def test_a_scale_may_fall(self):
        assert Scale(0, 10, 200, 100)(2.5) == 175

    @pytest.mark.parametrize(
        ("low", "high", "most", "step"),
        [
            (0, 100, 6, 20),
            (0, 100, 11, 10),
            (95, 363, 8, 50),
            (137, 142, 6, 1),
            (0, 0.03, 4, 0.01),
            (0, 70_000, 8, 1e4),
        ],
    )
    def test_steps_are_one_two_or_five(self, low, high, most, step):
        assert tick_step(low, high, most) == pytest.approx(step)

    @pytest.mark.parametrize(
        ("low", "high", "most", "values"),
        [
            (0, 100, 6, (0, 20, 40, 60, 80, 100)),
            (133.1, 165.5, 7, (140, 150, 160)),
            (-0.2, 0.2, 5, (-0.2, -0.1, 0, 0.1, 0.2)),
        ],
    )
    def test_ticks_are_round_and_within(self, low, high, most, values):
        assert tick_values(low, high, most) == pytest.approx(values)

    def test_no_tick_is_a_negative_zero(self):
        assert [tick.text for tick in across("X", "", -0.2, 0.2, 3).ticks] == ["−0.2", "0", "0.2"]

    def test_ends_move_outwards_to_round_numbers(self):
        assert rounded_out(98, 362, 8) == pytest.approx((50, 400))
        assert rounded_out(100, 200, 6) == pytest.approx((100, 200))
        low, high = rounded_out(138.8, 138.8)
        assert low < 138.8 < high

    def test_numbers_at_the_ends_of_an_axis_stay_inside(self):
        anchors = [tick.anchor for tick in across("X", "m", 0, 100, 3).ticks]
        assert anchors == ["start", "middle", "end"]


class TestPaths:
    def test_points_become_a_path(self):
        assert path([(0, 10), (33.333, 5.55), (100, 0)]) == "M0.00 10.0 L33.33 5.5 L100.00 0.0"
        assert path([]) == ""

    def test_y_runs_upwards_below_the_labels(self):
        drawn = chart(curves=[Curve([(0, 0), (200, 100)], "line")])
        assert drawn.curves[0].d == f"M0.00 {drawn.height}.0 L100.00 {drawn.top}.0"

    def test_a_curve_is_cut_at_the_ends_of_x(self):
        drawn = chart(curves=[Curve([(-100, 0), (300, 100)], "line")])
        # A quarter of the way in and a quarter before its end.
        bottom, rise = drawn.height, drawn.height - drawn.top
        assert drawn.curves[0].d == f"M0.00 {bottom - 0.25 * rise:.1f} L100.00 {bottom - 0.75 * rise:.1f}"

    def test_a_step_stays_a_step(self):
        assert chart(curves=[Curve([(0, 0), (50, 0), (50, 90), (200, 100)], "s")]).curves[0].d.count("25.00") == 2

    def test_between_points_the_line_is_straight(self):
        points = [(0, 0), (10, 100), (10, 200), (20, 300)]
        assert value_at(points, 2.5) == 25
        assert value_at(points, 10) == 100
        assert value_at(points, 15) == 250
        assert value_at(points, 21) is None


class TestLabels:
    def test_a_curve_is_named_where_it_has_that_value(self):
        (drawn,) = chart(curves=[Curve([(0, 0), (200, 100)], "line", 3, label_y=25)]).curves
        assert (drawn.style, drawn.label.text, drawn.label.x, drawn.label.anchor) == (3, "line", 25, "start")
        (right,) = chart(curves=[Curve([(0, 0), (200, 100)], "line", label_y=90)]).curves
        assert right.label.anchor == "end"

    def test_a_curve_that_never_has_the_value_is_not_named(self):
        (drawn,) = chart(curves=[Curve([(0, 0), (200, 10)], "line", label_y=50)]).curves
        assert drawn.label is None

    def test_a_curve_is_named_above_or_below_itself(self):
        line = [(0, 0), (200, 100)]
        above, below = chart(curves=[Curve(line, "a", label_x=50), Curve(line, "b", label_x=50, below=True)]).curves
        on_line = Scale(0, 100, chart().height, chart().top)(25)
        assert above.label.y < on_line < below.label.y
        # Away from a line that rises: to the left above it, to the right below it.
        assert (above.label.anchor, below.label.anchor) == ("end", "start")

    def test_marks_that_are_close_stand_in_rows_and_no_label_covers_another(self):
        names = [f"a mark with a long name {t}" for t in range(4)]
        drawn = chart(marks=[Mark(90 + 2 * place, name) for place, name in enumerate(names)])
        assert sorted({mark.label.y for mark in drawn.marks}) == [12, 28, 44, 60]
        assert drawn.top > 60

    def test_marks_that_are_apart_share_a_row(self):
        drawn = chart(marks=[Mark(10, "left"), Mark(190, "right", "limit")])
        assert {mark.label.y for mark in drawn.marks} == {12}
        assert [(mark.label.anchor, mark.kind) for mark in drawn.marks] == [("start", "note"), ("end", "limit")]

    def test_the_line_of_an_inner_mark_begins_below_labels_that_run_across(self):
        left, inner = chart(marks=[Mark(20, "a long name of a mark"), Mark(40, "another")]).marks
        assert inner.label.y > left.label.y

    def test_what_is_outside_is_left_out(self):
        drawn = chart(
            marks=[Mark(-1, "before"), Mark(201, "after")],
            bands=[Band(300, 400, "far")],
            spots=[Spot(10, 120, "high"), Spot(10, 50, "in", "band")],
        )
        assert (drawn.marks, drawn.bands) == ((), ())
        assert [(spot.x, spot.kind, spot.label.text) for spot in drawn.spots] == [(5, "band", "in")]

    def test_a_band_is_cut_and_named_like_a_mark(self):
        drawn = chart(bands=[Band(150, 260, "scatter")], marks=[Mark(20, "mark")])
        assert [(band.x, band.width, band.label.text) for band in drawn.bands] == [(75, 25, "scatter")]
        assert [mark.label.text for mark in drawn.marks] == ["mark"]

    def test_regions_are_given_in_values(self):
        (region,) = chart(regions=[Label(50, 100, "liquid")]).regions
        assert (region.x, region.text) == (25, "liquid")


class TestBars:
    def test_a_bar_is_laid_out_on_the_axis(self):
        bar = RangeBar("words", low=120, high=140, tail=180, at=(150,), listed=(100, 110))
        drawn = drawn_bar(bar, Scale(100, 200))
        assert (drawn.bar, drawn.tail, drawn.at, drawn.listed) == ((20, 20), (40, 40), (50,), (0, 10))

    def test_nothing_is_too_narrow_to_be_seen(self):
        drawn = drawn_bar(RangeBar("a eutectic", low=150, high=150, listed=(150, 150)), Scale(100, 200))
        assert drawn.bar == (50, 0.5)
        assert drawn.listed == (50, 0.5)

    def test_what_is_not_known_is_not_drawn(self):
        drawn = drawn_bar(RangeBar("nothing"), Scale(0, 1))
        assert (drawn.bar, drawn.tail, drawn.at, drawn.listed) == (None, None, (), None)
