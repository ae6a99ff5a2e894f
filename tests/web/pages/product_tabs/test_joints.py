import re

import pytest
from sqlmodel import select

from tests.web.pages.wizard import plain
from webapp.store.parts import PartRow
from webapp.trade.people import Role

JOINTS = "/products/GW-7/joints"
FRAGMENT = {"HX-Request": "true", "HX-Request-Type": "partial"}
CIRCUIT = b'U7,1,VX-9,Brindmoor,,,"Integrated circuit, radio"\n'


@pytest.fixture
def address(database, gateway):
    """The page of the gateway's array."""
    with database.read() as session:
        part = session.exec(select(PartRow.id).where(PartRow.label == "MQ-6410-BG")).one()
    return f"{JOINTS}/{part}"


class TestList:
    def test_arrays_of_the_first_candidate(self, gateway, address):
        page = gateway.get(JOINTS)
        text = plain(page)
        assert "Joints of array packages · revision 1 on the route “low temperature”" in text
        assert "1 array package: 1 stays a hybrid joint." in text
        assert f'href="{address}?case=low+temperature&amp;step=2"' in page.text
        assert "MQ-6410-BG U1 reflow, top side Sn96.5Ag3.0Cu0.5 or Sn98.5Ag1.0Cu0.5 or Sn99.3Cu0.7" in text
        assert re.search(r"Sn42Bi57Ag1 172 °C \d+ to \d+ \d+ to \d+ 2\d\d to 2\d\d", text)
        assert 'href="/products/GW-7/findings?case=low+temperature&amp;check=ball-mixing&amp;same=show"' in page.text
        assert 'href="/alloys/diagram?product=GW-7"' in page.text

    def test_of_another_route(self, gateway):
        text = plain(gateway.get(JOINTS, params={"case": "today"}))
        assert "on the route “today”" in text
        assert "1 array package: 1 melts through." in text
        assert gateway.get(JOINTS, params={"case": "odd"}).status_code == 404

    def test_what_may_be_an_array(self, make, engineer):
        make(bom=b"Designator,Qty,MPN,Manufacturer,Value,Package,Description\n" + CIRCUIT)
        text = plain(engineer.get(JOINTS))
        assert "No array packages. " in text
        assert "Nothing on this revision is known to have balls." in text
        assert "1 part may have balls or not: the kind of part is not known." in text
        assert "VX-9 U7" in text

    def test_its_page_says_that_it_may_be_none(self, database, make, engineer):
        make(bom=b"Designator,Qty,MPN,Manufacturer,Value,Package,Description\n" + CIRCUIT)
        with database.read() as session:
            part = session.exec(select(PartRow.id).where(PartRow.label == "VX-9")).one()
        text = plain(engineer.get(f"{JOINTS}/{part}"))
        assert "What stands here holds if it has balls. Enter the kind of part" in text
        assert "A hybrid joint: at 172 °C" in text

    def test_a_product_without_a_route(self, bare):
        text = plain(bare.get("/products/GW-1/joints"))
        assert "No joints yet" in text
        assert "Set up the route" in text

    def test_a_product_that_is_not_there(self, engineer):
        assert engineer.get("/products/NO-1/joints").status_code == 404


class TestOne:
    def test_the_ball_is_the_one_that_the_finding_names(self, gateway, address):
        finding = plain(gateway.get("/products/GW-7/findings?check=ball-mixing"))
        ball = re.search(r"of each ball \((\S+)\) dissolves", finding)[1]
        text = plain(gateway.get(address))
        assert f"{ball} (usual ball; also possible: " in text

    def test_how_it_stands_to_scale_and_over_temperature(self, gateway, address):
        page = gateway.get(address)
        text = plain(page)
        assert "A hybrid joint: at 172 °C the ball stays whole on a mixed band of" in text
        assert page.text.count('<svg class="joint-picture"') == 3
        assert page.text.count('class="mixed"') == 2
        assert re.search(
            r"<title id=\"whole-words\">The ball stays whole and stands on the board\. Stand-off 0\.\d+", page.text
        )
        assert "first melts 137\N{NO-BREAK SPACE}°C" in page.text
        assert "looked at in any case 138" in text
        assert "in use at least 70" in text
        assert "To melt the ball through" in text
        assert "To keep it whole: at most 5 % dissolved" in text
        assert "Pads of package and board not known 0.36 mm land practice for array packages" in text
        assert "(common practice, no standard); 80 % of the ball's diameter Figure of the site" in text
        assert "With these values" not in text

    def test_what_would_it_be_if(self, gateway, address):
        page = gateway.get(address, params={"ball": "Sn42Bi58", "ball_mm": "0,4", "peak_c": "365 °F"})
        text = plain(page)
        assert page.status_code == 200
        assert "With the values below, not as it is now. At 185 °C ball and paste become one." in text
        assert "Read as 365 °F = 185 °C." in text
        assert 'value="0.4"' in page.text
        assert re.search(r"Ball dissolved .* % 100\.0 % \+\d+\.\d to \+\d+\.\d points", text)
        assert "Melts through from" in text

    def test_values_of_the_form_as_it_stands_change_nothing(self, gateway, address):
        page = gateway.get(address)
        shown = dict(re.findall(r'<input id="f-(\w+)" name="\w+" type="text" value="([^"]*)"', page.text))
        assert set(shown) >= {"ball", "paste", "peak_c", "ball_mm", "foil_mm"}
        assert "not as it is now" not in plain(gateway.get(address, params={**shown, "shape": "round"}))

    def test_what_does_not_hold(self, gateway, address):
        page = gateway.get(address, params={"ball_mm": "9", "foil_mm": "0.12", "paste": "Snow"})
        text = plain(page)
        assert page.status_code == 422
        assert "2 things need correcting" in text
        assert "9 mm is outside 0.05 to 2 mm. If you mean mil, write 9 mil (0.2286 mm)." in text
        assert 'value="9"' in page.text
        assert 'value="0.12"' in page.text
        assert 'value="Snow"' in page.text
        assert page.text.count('aria-invalid="true"') == 2

    def test_a_length_in_another_unit_says_how_it_was_read(self, gateway, address):
        page = gateway.get(address, params={"foil_mm": "5 mil"})
        assert "Read as 5 mil = 0.127 mm." in plain(page)
        assert 'value="0.127"' in page.text

    def test_what_is_not_covered_says_so(self, gateway, address):
        text = plain(gateway.get(address, params={"ball": "Sn50In50"}))
        assert "What dissolves and melts is not covered by the thermodynamic data." in text
        assert "Geometry alone is shown. The thermodynamic data hold no indium" in text
        assert "Height of the mixed band of the joint" in text
        assert "not calculated" in text

    def test_a_change_of_the_form_is_answered_with_that_part_alone(self, gateway, address):
        part = gateway.get(address, params={"peak_c": "185"}, headers=FRAGMENT)
        assert part.status_code == 200
        assert part.text.lstrip().startswith('<div id="joint">')
        assert 'hx-swap-oob="innerHTML:#status"' in part.text
        assert "<html" not in part.text
        assert "What it rests on" not in part.text
        later = gateway.get(f"{address}/liquid", params={"peak_c": "185"}, headers=FRAGMENT)
        assert later.text.lstrip().startswith('<div id="later"')
        assert "peak 185" in later.text
        wrong = gateway.get(address, params={"peak_c": "9000"}, headers=FRAGMENT)
        assert wrong.status_code == 422
        assert "1 value not right: see the form." in plain(wrong)
        assert gateway.get(f"{address}/liquid", params={"peak_c": "9000"}).status_code == 204

    def test_ways_lead_to_their_values(self, gateway, address):
        page = gateway.get(address)
        href = re.search(rf'href="({re.escape(address)}\?[^"]*)#joint"', page.text)[1].replace("&amp;", "&")
        tried = gateway.get(href)
        assert tried.status_code == 200
        assert "With the values below, not as it is now." in plain(tried)

    def test_what_is_not_there(self, gateway, address):
        assert gateway.get(f"{JOINTS}/999999").status_code == 404
        assert gateway.get(f"{JOINTS}/odd").status_code == 404
        answer = gateway.get(address, params={"step": "1"})
        assert answer.status_code == 404
        assert "Step 1 makes no joints of this part; steps that do: 2." in plain(answer)

    def test_a_reader_sees_it_too(self, sign_in, address):
        assert sign_in(Role.REVIEWER).get(address).status_code == 200


def test_findings_lead_to_the_joint(gateway, address):
    findings = gateway.get("/products/GW-7/findings", params={"check": "ball-mixing"})
    href = re.search(rf'href="({re.escape(address)}\?case=low\+temperature[^"]*)"', findings.text)[1]
    assert gateway.get(href.replace("&amp;", "&")).status_code == 200
    one = re.search(r'href="(/products/GW-7/findings/\d+)"', findings.text)[1]
    assert "The joint to scale, what is liquid again" in plain(gateway.get(one))
