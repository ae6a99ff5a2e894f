"""What would melt a ball through or keep it whole, and what that takes."""

import pytest

from tests.desk.test_joint_detail import GATEWAY_ONLY
from webapp.desk import assessing, cases, parts
from webapp.desk.joint_detail import joint_detail, work_out
from webapp.desk.joint_ways import ways_of
from webapp.desk.parts import ValueSource
from webapp.science.mixing import taken_up
from webapp.trade.facts import PartField
from webapp.trade.sources import Kind

SHEET = ValueSource(Kind.DATASHEET, "Brindmoor MQ-6410, revision 2")
LED = b'D1,1,LW-3528,Lumnia,white,3528,"LED, 4000 K"\n'


@pytest.fixture
def ways(database, person, routed, part_id):
    """``ways(case)``: of the gateway's array at its second pass, its balls known; the LED bears 200 °C."""
    product_id = routed(GATEWAY_ONLY + LED, code="GW-7")
    stated = {
        "MQ-6410-BG": {"balls": "sac_high_silver", "ball_diameter_mm": "0.45", "pitch_mm": "0.8", "limit_c": "260"},
        "LW-3528": {"limit_c": "200"},
        "GR-103-F": {"limit_c": "260"},
    }
    for label, values in stated.items():
        for field, text in values.items():
            with database.command() as session:
                parts.state_value(session, person, part_id(label), PartField(field), text, SHEET)
    assessing.reassess(database, product_id)

    def look(case="", part="MQ-6410-BG"):
        with database.read() as session:
            case_id = cases.find_case(session, product_id, case).id
            detail = joint_detail(session, case_id, part_id(part), 2)
            return ways_of(session, case_id, detail)

    return look


def test_to_melt_it_through(ways):
    found = ways()
    opening, peak = found.through
    assert (opening.remedy.change, peak.remedy.change) == ("aperture", "peak")
    # So much paste that it takes up the whole ball even 5 K cooler.
    joint = opening.joint
    assert taken_up(joint.paste, joint.ball, joint.peak_c - 5) * joint.paste_mg == pytest.approx(joint.ball_mg)
    assert opening.gap_mm == pytest.approx(0.8 - joint.deposit.aperture_mm)
    assert not opening.is_possible
    assert opening.releases
    # The hottest body is 8 K above the coldest joint, and the LED is above its 200 °C then.
    assert work_out(peak.joint).mixing.melts_through
    assert peak.body_c == pytest.approx(peak.joint.peak_c + 8)
    assert (peak.over.certain, peak.over.perhaps) == (1, 0)


def test_to_keep_it_whole(ways):
    found = ways()
    for way in found.whole:
        assert work_out(way.joint).mixing.dissolved_ball <= 0.05
        assert way.over is None
    opening = found.whole[0]
    assert opening.is_possible
    assert not opening.releases
    assert opening.remedy.area_ratio < 0.66


def test_a_joint_that_melts_through_needs_no_way(ways):
    found = ways("today")
    assert found.through == ()
    assert {way.remedy.change for way in found.whole} <= {"aperture", "foil", "peak"}


def test_a_pitch_that_is_not_known_rules_out_only_what_no_pitch_allows(database, routed, part_id):
    product_id = routed(GATEWAY_ONLY.replace(b", 0.8 mm", b""), code="GW-8")
    with database.read() as session:
        case_id = cases.find_case(session, product_id).id
        found = ways_of(session, case_id, joint_detail(session, case_id, part_id("MQ-6410-BG")))
    # 0.4 to 1.27 mm are possible.
    gaps = [way.gap_mm for way in (*found.through, *found.whole) if way.remedy.change == "aperture"]
    assert gaps == [pytest.approx(1.27 - found.through[0].joint.deposit.aperture_mm), None]
    assert not found.through[0].is_possible
