import re

import pytest
from sqlmodel import select

from tests.desk.reviewing import state
from tests.web.pages.wizard import plain
from webapp.store import product_reads
from webapp.store.parts import PartRow
from webapp.trade.people import Role

FINDINGS = "/products/GW-7/findings"
PARTIAL = {"HX-Request": "true", "HX-Request-Type": "partial"}


@pytest.fixture
def ways(gateway):
    """``ways("check=later-heat")`` is the address of what would clear the first finding of a list."""

    def of(query, code="GW-7"):
        address = f"/products/{code}/findings"
        return re.search(rf'href="({address}/\d+)"', gateway.get(f"{address}?{query}").text)[1] + "/ways"

    return of


class TestWays:
    def test_asked_for_on_the_page_of_the_finding(self, gateway, ways):
        address = ways("check=ball-mixing")
        page = gateway.get(address.removesuffix("/ways")).text
        assert f'href="{address}" hx-get="{address}"' in page
        assert "with tin-bismuth balls" not in page

    def test_a_page_of_its_own(self, gateway, ways):
        page = gateway.get(ways("check=ball-mixing"))
        text = plain(page)
        assert page.status_code == 200
        assert "<h1>What would clear it</h1>" in page.text
        assert "MQ-6410-BG: replaced by the same with tin-bismuth balls" in text
        assert "Today's route kept for this product" in text
        assert "screening results" in text
        assert re.search(r"prove \d+ → \d+", text)
        assert "autofocus" not in page.text

    def test_a_part_for_htmx(self, gateway, ways):
        page = gateway.get(ways("check=ball-mixing"), headers=PARTIAL)
        assert page.headers["Vary"] == "HX-Request, HX-Request-Type"
        assert page.text.lstrip().startswith('<div class="ways" tabindex="-1" autofocus>')
        assert "<html" not in page.text
        assert 'hx-swap-oob="innerHTML:#status"' in page.text

    def test_the_route_with_the_change_in_it(self, gateway, ways):
        page = gateway.get(ways("check=ball-mixing"))
        link = re.search(r'href="(/products/GW-7/route/\d+/edit\?[^"]+)">Change the route', page.text)[1]
        form = gateway.get(link.replace("&amp;", "&"))
        assert form.status_code == 200
        assert "Not saved yet." in form.text
        # Which balls they are is not known: tin-copper ones are liquid at 227.9 °C, and the spread is 8 K.
        assert re.search(r'<input[^>]*name="step_1_peak_c"[^>]*value="236"', form.text)

    def test_where_a_datum_is_entered(self, gateway, ways):
        page = gateway.get(ways("check=joint-runs-hot"))
        assert "If self-heating is shown to be at most" in plain(page)
        assert re.search(r'href="/products/GW-7/findings/\d+#parts">Enter it part by part', page.text)

    def test_where_the_board_is_changed(self, gateway, ways):
        page = gateway.get(ways("check=board-finish"))
        assert 'href="/products/GW-7/setup#f-finish">Enter it under Setup' in page.text

    def test_who_may_not_edit_gets_no_links_to_it(self, gateway, ways, sign_in):
        address = ways("check=ball-mixing")
        page = sign_in(Role.MANAGER).get(address)
        assert page.status_code == 200
        assert "/edit?" not in page.text
        assert "Compare the routes" in page.text

    def test_nothing_for_gains(self, gateway, database, add_person):
        with database.read() as session:
            product = product_reads.product_by_code(session, "GW-7")
            part = session.exec(select(PartRow.id).where(PartRow.mpn == "TT-60N")).one()
        # It stands the peak of the candidate, not today's 245 °C.
        state(database, add_person(Role.ENGINEER, login="teller"), part, "limit_c", "230", product.id)
        found = re.search(rf'href="({FINDINGS}/\d+)"', gateway.get(f"{FINDINGS}?verdict=gain&q=TT-60N").text)
        page = gateway.get(found[1])
        assert "TT-60N" in plain(page)
        assert f"{found[1]}/ways" not in page.text

    def test_of_another_product_or_gone(self, gateway, ways, make):
        make("GW-8")
        other = ways("check=ball-mixing", "GW-8").removeprefix("/products/GW-8/findings")
        assert gateway.get(f"{FINDINGS}{other}").status_code == 404
        assert gateway.get(f"{FINDINGS}/99999/ways").status_code == 404
        assert gateway.get(f"{FINDINGS}/x/ways").status_code == 404

    def test_only_signed_in(self, client, ways):
        assert client.get(ways("check=ball-mixing")).status_code == 303
