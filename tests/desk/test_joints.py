"""The array packages of a case and what becomes of their joints.

Check values (worked out apart from this project with another implementation of the same assessments): ball 0.45 mm,
pads 0.36 mm, opening 0.40 mm round, foil 0.10 mm, transfer 0.85, half metal, Sn42Bi58 on a SAC ball: stand-off
0.332 mm collapsed and 0.379 mm unmelted; at least 5.9 % of the ball dissolves at 175 °C and 9.1 % at 185 °C.
"""

from dataclasses import replace

import numpy as np
import pytest

from tests.checks.build import LOW, SAC, case, elements, part, reflow
from tests.checks.test_mixing import HANDBOOK, site
from tests.web.pages.product_tabs.conftest import GATEWAY
from webapp.desk import cases, parts
from webapp.desk.assessing import LoadedCase, reassess
from webapp.desk.joints import Found, arrays_in, hybrids_of, joints_of, nominal_joint
from webapp.desk.parts import ValueSource
from webapp.errors import NotFoundError
from webapp.science.mixing import mixed_joint
from webapp.trade.facts import PartField
from webapp.trade.masks import BallAlloy
from webapp.trade.ranges import Span
from webapp.trade.sources import Kind

SHEET = ValueSource(Kind.DATASHEET, "Brindmoor MQ-6410, revision 2")
MODULE = b'U7,1,VX-9,Brindmoor,,,"Integrated circuit, radio"\n'


def loaded(made):
    """A case made by hand, as it is loaded: parts 11, 12, ..."""
    ids = [11 + place for place in range(len(made.parts))]
    return LoadedCase(made, 1, ids, list(range(len(made.parts))), np.full(len(made.parts), 2))


def array(**stated):
    return part("array", **({"balls": BallAlloy.SAC_HIGH_SILVER, "ball_diameter_mm": 0.45} | stated))


def hybrid(peak_c, *lines, paste=LOW, figures=HANDBOOK, foil_mm=0.10, side=None):
    step = replace(reflow(paste, peak_c, side, spread_k=0.0), foil_mm=foil_mm)
    return replace(case(*(lines or (array(),)), steps=(step,)), site=site(**figures))


@pytest.mark.parametrize(("peak_c", "dissolved"), [(175.0, 0.059), (185.0, 0.091)])
def test_the_middle_joint_has_the_check_values(peak_c, dissolved):
    made = hybrid(peak_c)
    (only,) = arrays_in(loaded(made)).arrays
    joint = nominal_joint(only, only.steps[0], made.site)
    assert (joint.ball_diameter_mm, joint.pad_board_mm, joint.pad_package_mm) == (0.45, 0.36, 0.36)
    assert joint.deposit.aperture_mm == pytest.approx(0.40)
    assert (joint.deposit.foil_mm, joint.deposit.transfer_efficiency, joint.deposit.metal_volume_share) == (
        0.1,
        0.85,
        0.5,
    )
    result = mixed_joint(joint)
    assert result.standoff_collapsed_mm == pytest.approx(0.332, abs=0.0005)
    assert result.standoff_unmelted_mm == pytest.approx(0.379, abs=0.0005)
    assert result.mixing.dissolved_ball_bound == pytest.approx(dissolved, abs=0.0005)


def test_pads_are_the_share_that_the_site_sets():
    """With 85 % the pads of a 0.45 mm ball are 0.383 mm to whole µm; a truncated sphere on wider pads stands lower."""
    made, wider = (hybrid(175.0, figures=HANDBOOK | more) for more in ({}, {"pad_share": 0.85}))
    (before,), (after,) = (arrays_in(loaded(one)).arrays for one in (made, wider))
    joint = nominal_joint(after, after.steps[0], wider.site)
    assert (joint.pad_board_mm, joint.pad_package_mm) == (0.383, 0.383)
    for name in ("standoff_collapsed_mm", "standoff_unmelted_mm"):
        assert getattr(after, name).high < getattr(before, name).low
    assert after.standoff_unmelted_mm.low == pytest.approx(mixed_joint(joint).standoff_unmelted_mm, abs=0.0005)


def test_ranges_are_those_of_the_check():
    made = hybrid(175.0, figures={}, foil_mm=None)
    (only,) = arrays_in(loaded(made)).arrays
    detail = elements("ball-mixing", made).detail
    assert only.formed.dissolved == Span(detail["dissolved_low"][0], detail["dissolved_high"][0])
    assert only.formed.height == Span(detail["height_low"][0], detail["height_high"][0])
    assert not only.formed.any_through
    assert only.standoff_unmelted_mm.known
    assert only.standoff_collapsed_mm.low < 0.332 < only.standoff_collapsed_mm.high


def test_several_possible_balls_are_one_range():
    usual = BallAlloy.SAC_HIGH_SILVER | BallAlloy.TIN_COPPER_OR_SILVER
    both, one, other = (
        arrays_in(loaded(hybrid(180.0, array(balls=balls)))).arrays[0]
        for balls in (usual, BallAlloy.SAC_HIGH_SILVER, BallAlloy.TIN_COPPER_OR_SILVER)
    )
    assert [alloy.designation for alloy in both.balls] == [SAC, "Sn99.3Cu0.7"]
    assert both.formed.full_melt_c == one.formed.full_melt_c.union(other.formed.full_melt_c)
    # Drawn is the one that the finding names: with every usual ball the one that melts lowest, else the highest.
    made = hybrid(180.0)
    for is_certain, ball in ((True, "Sn96.5Ag3Cu0.5"), (False, "Sn99.3Cu0.7")):
        told = replace(both, finding=Found(1, "prove", "", is_certain))
        assert nominal_joint(told, told.steps[0], made.site).ball.text == ball


def test_a_ball_melts_through_at_its_own_peak():
    (only,) = arrays_in(loaded(case(array(), steps=(reflow(SAC, 245.0),)))).arrays
    assert only.formed.every_through
    assert only.formed.dissolved == Span(1.0, 1.0)


def test_without_a_side_either_pass_may_make_them():
    steps = (reflow(LOW, 180.0, "bottom"), reflow(LOW, 190.0, "top"))
    open_, top = (arrays_in(loaded(case(array(), steps=steps, sides=sides))).arrays[0] for sides in ((), ("top",)))
    assert [made.number for made in open_.steps] == [1, 2]
    assert [made.number for made in top.steps] == [2]
    assert open_.formed.dissolved.high == top.formed.dissolved.high
    assert open_.formed.dissolved.low < top.formed.dissolved.low


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        ((replace(reflow(LOW), peak_c=None),), "The peak of reflow is not given."),
        ((reflow(None),), "The alloy of reflow is not given."),
        ((reflow("In52Sn48"),), "hold no indium"),
    ],
)
def test_what_is_not_calculated_says_why(steps, words):
    (only,) = arrays_in(loaded(case(array(), steps=steps))).arrays
    assert only.formed is None
    assert words in only.why_not


def test_of_other_parts_nothing_and_of_some_perhaps():
    made = hybrid(180.0, part("chip_resistor", key="R"), array(key="U"), part("array leaded_ic", key="V"))
    found = arrays_in(loaded(made))
    assert [(one.part_id, one.refdes) for one in found.arrays] == [(12, ("X3", "X4"))]
    assert [(part_id, label) for part_id, label, _ in found.perhaps if label == "V"] == [(13, "V")]


class TestStored:
    @pytest.fixture
    def gateway(self, database, person, routed, part_id):
        """The gateway with an array of known balls and a circuit of unknown package; its id."""
        product_id = routed(GATEWAY + MODULE, code="GW-7")
        for field, text in ((PartField.BALLS, "sac_high_silver"), (PartField.BALL_DIAMETER_MM, "0.45")):
            with database.command() as session:
                parts.state_value(session, person, part_id("MQ-6410-BG"), field, text, SHEET)
        reassess(database, product_id)
        return product_id

    def test_arrays_with_the_finding_that_speaks_of_them(self, database, gateway, part_id):
        with database.read() as session:
            found = joints_of(session, cases.find_case(session, gateway).id)
            today = joints_of(session, cases.find_case(session, gateway, "today").id)
        (only,) = found.arrays
        assert (only.part_id, only.refdes, only.diameter_mm) == (part_id("MQ-6410-BG"), ("U1",), Span(0.45, 0.45))
        assert only.finding.verdict == "prove"
        assert "of each ball" in only.finding.sentence
        assert [label for _, label, _ in found.perhaps] == ["VX-9"]
        assert today.arrays[0].finding is None
        assert today.arrays[0].formed.every_through

    def test_points_of_the_diagram(self, database, gateway):
        with database.read() as session:
            (point,) = hybrids_of(session, gateway)
        assert (point.label, point.case, point.step) == ("MQ-6410-BG", "low temperature", 1)
        assert point.whole.wt_pct["Bi"] < point.band.wt_pct["Bi"] < 57

    def test_a_product_without_arrays_or_routes(self, database, product, routed):
        bare = product(code="HL-1")
        other = routed(code="HL-2")
        with database.read() as session:
            assert hybrids_of(session, bare) == []
            assert hybrids_of(session, other) == []

    def test_a_case_that_is_gone(self, database):
        with database.read() as session, pytest.raises(NotFoundError, match="no such case"):
            joints_of(session, 99)
