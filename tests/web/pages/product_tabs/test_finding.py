import re

from tests.web.pages.wizard import plain
from webapp.store.cases import FindingRow
from webapp.trade.people import Role
from webapp.web.pages.product_tabs.finding_view import FindingEntry

FINDINGS = "/products/GW-7/findings"


def page_of(client, query):
    """The page of the first finding of a list."""
    found = re.search(rf'href="({FINDINGS}/\d+)"', client.get(f"{FINDINGS}?{query}").text)
    return client.get(found[1])


class TestFinding:
    def test_everything_it_rests_on(self, gateway):
        page = page_of(gateway, "check=ball-mixing")
        text = plain(page)
        assert "Balls that do not melt through: MQ-6410-BG" in text
        assert re.search(r"Value 172 °C Limit 21\d °C Margin −4\d K", text)
        assert "1 placement: U1" in text
        assert "MQ-6410-BG Brindmoor array package with balls" in text
        assert "Sn42Bi57Ag1 180 172 60" in text
        assert "Do the balls of array packages melt into the paste" in text
        assert re.search(r"Taken for .*Ball diameter", text)
        assert "It needs:" in text
        assert 'href="/help/checks/ball-mixing"' in page.text
        assert re.search(r'href="/parts/\d+', page.text)

    def test_what_is_used_of_the_setup(self, gateway):
        text = plain(page_of(gateway, "check=joint-runs-hot"))
        assert "Highest air temperature, °C 60 Own heat of the board, K 10" in text
        assert "self-heating of power parts" in text

    def test_the_board_has_no_parts(self, gateway):
        text = plain(page_of(gateway, "check=board-finish"))
        assert "Finish of the board not known" in text
        assert "Parts, and what was used of them" not in text
        assert "Enter it under Setup" in text

    def test_of_another_product_or_gone(self, gateway, make):
        make("GW-8")
        other = re.search(r'href="/products/GW-8/findings/(\d+)"', gateway.get("/products/GW-8/findings").text)[1]
        assert gateway.get(f"{FINDINGS}/{other}").status_code == 404
        assert gateway.get(f"{FINDINGS}/99999").status_code == 404
        assert gateway.get(f"{FINDINGS}/x").status_code == 404

    def test_everybody_signed_in_may_look(self, gateway, sign_in):
        path = re.search(rf'href="({FINDINGS}/\d+)"', gateway.get(FINDINGS).text)[1]
        assert sign_in(Role.MANAGER).get(path).status_code == 200


def test_a_place_with_several_approved_parts_is_settled_once():
    # Two parts that are alternates on the same nine places.
    row = FindingRow(placements=9, parts=[[1, 9, 9], [2, 9, 9]])
    assert FindingEntry(row, "", [], None, "").freed == 9
