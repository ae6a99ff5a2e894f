"""The tin-bismuth diagram."""

import html
import json
import re

import pytest

from tests.web.pages.made import make_product
from tests.web.pages.wizard import plain
from webapp.trade.people import Role

ARRAYS = (
    b"Designator,Qty,MPN,Manufacturer,Value,Package,Description\n"
    b"U1,1,MQ-61-BG,Brindmoor,,BGA-324,Processor\n"
    b"U2,1,MQ-62-BG,Brindmoor,,BGA-144,Memory\n"
    b'"R1,R2",2,GR-104-X7,Kelvarn,10k,0402,Resistor\n'
)


def test_it_is_read_off_without_a_script(engineer):
    text = plain(engineer.get("/alloys/diagram?bi=40&t=150"))
    # By the lever rule between (Sn) with 18.7 and liquid with 52.3 wt% bismuth at 150 °C.
    assert "174.8 °C" in text
    assert "liquid 63.4 52.3" in text
    assert "(Sn) 36.6 18.7" in text


def test_below_the_eutectic_two_solids(engineer):
    # At 60 °C tin holds 4.9 wt% bismuth: (100 - 57) / (100 - 4.9) of the mass, nearly, is (Sn).
    assert re.search(r"\(Sn\) 45\.\d 4\.9 \(Bi\) 54\.\d 100\.0", plain(engineer.get("/alloys/diagram?bi=57&t=60")))


@pytest.mark.parametrize(
    ("query", "name", "message"),
    [
        ("bi=120&t=150", "bi", "120 is outside 0 to 100 wt%."),
        ("bi=40&t=10", "t", "10 °C is outside 25 to 285 °C."),
        ("bi=forty&t=150", "bi", "“forty” is no number."),
        ("bi=nan&t=inf", "bi", "“nan” is no number."),
    ],
)
def test_what_is_not_drawn_is_refused_beside_its_field(engineer, query, name, message):
    answer = engineer.get(f"/alloys/diagram?{query}")
    assert answer.status_code == 422
    assert message in plain(answer)
    assert f'aria-describedby="f-{name}-error"' in answer.text
    assert 'id="cross" class="cross" visibility="hidden"' in answer.text


def test_the_point_may_be_typed_with_its_units(engineer):
    typed = engineer.get("/alloys/diagram", params={"bi": "57 %", "t": "140 °F"})
    assert re.search(r"\(Sn\) 45\.\d 4\.9 \(Bi\) 54\.\d 100\.0", plain(typed))


def test_an_alloy_with_more_elements_is_projected_and_says_so(engineer):
    page = engineer.get("/alloys/diagram?alloy=Sn42Bi57Ag1")
    # 57 of 99 wt%.
    assert "Sn42Bi57Ag1 at 57.6</text>" in page.text
    assert "Sn42Bi57Ag1 57.6 1 138.8 137.1 140.3 140.5" in plain(page)
    assert "is projected" in plain(page)


def test_alloys_without_bismuth_have_no_place(engineer):
    assert 'value="Sn42Bi58"' in engineer.get("/alloys/diagram").text
    assert 'value="Sn96.5Ag3.0Cu0.5"' not in engineer.get("/alloys/diagram").text
    answer = engineer.get("/alloys/diagram?alloy=Sn96.5Ag3.0Cu0.5")
    assert answer.status_code == 400
    assert "is no alloy of tin and bismuth" in plain(answer)
    assert engineer.get("/alloys/diagram?alloy=Nix").status_code == 400


def test_the_lines_are_there_for_the_script(engineer):
    page = engineer.get("/alloys/diagram").text
    lines = json.loads(html.unescape(re.search(r'data-lines="([^"]*)"', page)[1]))
    # Pure tin melts at 231.9 °C; the eutectic is at 57 wt% and 138.8 °C, calculated.
    assert lines["liquidus"][0] == pytest.approx([0, 231.93], abs=0.01)
    assert lines["eutectic"] == pytest.approx([56.97, 138.81], abs=0.01)
    assert lines["solvus"][-1][1:] == pytest.approx([21.0, 99.9], abs=0.1)


def test_the_joints_of_a_product_stand_on_it(engineer, database, settings, add_person):
    make_product(database, settings, add_person(Role.ENGINEER, login="balls"), "BG-2", ARRAYS)
    page = engineer.get("/alloys/diagram?product=BG-2")
    text = plain(page)
    assert "Joints of BG-2" in text
    assert "MQ-61-BG" in text
    assert 'href="/products/BG-2/joints/' in page.text
    assert page.text.count('class="spot point"') == 2
    assert page.text.count('class="spot band"') == 2
    assert '<option value="BG-2" selected>' in page.text


def test_a_product_is_chosen_on_it(engineer, product):
    page = engineer.get("/alloys/diagram").text
    assert '<option value="" selected>none</option>' in page
    assert '<option value="HL-2">' in page
    assert '<option value="HL-2" selected>' in engineer.get("/alloys/diagram?product=hl-2").text


def test_a_product_without_balls_says_so(engineer, product):
    assert "No ball joints of HL-2 can be worked out" in plain(engineer.get("/alloys/diagram?product=HL-2"))


def test_a_product_that_there_is_not(engineer):
    answer = engineer.get("/alloys/diagram?product=XX")
    assert answer.status_code == 400
    assert 'There is no product "XX"' in plain(answer)
