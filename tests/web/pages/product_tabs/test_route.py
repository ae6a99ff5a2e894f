import html
import re

import pytest
from sqlmodel import select

from tests.desk.site_data import HOUSE, add_paste
from tests.web.pages.wizard import plain
from webapp.store.parts import DeclarationRow
from webapp.trade.people import Role
from webapp.web.pages.product_tabs import route
from webapp.web.pages.product_tabs.common import load_product

ROUTE = "/products/GW-7/route"
START = {
    "template": "two-sided-low-temperature",
    "paste": "Sn42Bi58",
    "finish": "enig",
    "t_min_c": "-20",
    "t_max_c": "122 °F",
    "board_heating_k": "5",
    "reference": "supplier letter 2024-03",
}


def route_ids(page):
    """The ids of the routes on the page, today's first."""
    return re.findall(r'<section class="beside" id="route-(\d+)"', page.text)


class TestStart:
    def test_a_product_is_set_up_on_one_page(self, bare):
        page = bare.get("/products/GW-1/route")
        assert "No route yet: nothing can be assessed." in plain(page)
        answer = bare.post("/products/GW-1/route/start", data=START)
        assert answer.status_code == 303
        text = plain(bare.get(answer.headers["location"]))
        assert "The product is set up and assessed." in text
        assert "122 °F = 50 °C" in text
        routes = plain(bare.get("/products/GW-1/route"))
        assert "Today's route and 1 candidate." in routes
        assert "Sn42Bi58" in routes
        setup = plain(bare.get("/products/GW-1/setup"))
        assert "supplier letter 2024-03" in setup
        assert "All that the checks use is known." in setup

    def test_nothing_is_stored_when_something_is_wrong(self, bare):
        answer = bare.post("/products/GW-1/route/start", data=START | {"t_max_c": "230", "paste": "Sn42Bi58"})
        assert answer.status_code == 422
        assert "If you mean °F, write 230 °F (110 °C)." in plain(answer)
        assert "No route yet" in plain(bare.get("/products/GW-1/route"))

    def test_a_paste_that_is_not_known(self, bare):
        answer = bare.post("/products/GW-1/route/start", data=START | {"paste": "Sn50Zz50"})
        assert answer.status_code == 422
        assert "No route yet" in plain(bare.get("/products/GW-1/route"))
        assert "Nothing is declared" in plain(bare.get("/products/GW-1/setup"))

    def test_a_paste_of_the_site_may_be_named(self, bare, database, add_person):
        add_paste(database, add_person(Role.ENGINEER, login="paster"), HOUSE, alloy="Sn42Bi58")
        page = bare.get("/products/GW-1/route")
        assert page.text.index('value="paste:House paste"') < page.text.index('value="alloy:Sn42Bi58"')
        assert 'value="alloy:Sn42Bi57Ag1" selected' in page.text
        bare.post("/products/GW-1/route/start", data=START | {"paste": "paste:House paste"})
        assert "Sn42Bi58 · House paste" in plain(bare.get("/products/GW-1/route"))

    def test_a_second_time_nothing_is_made(self, bare):
        bare.post("/products/GW-1/route/start", data=START)
        assert bare.post("/products/GW-1/route/start", data=START).headers["location"] == "/products/GW-1/route"
        assert len(route_ids(bare.get("/products/GW-1/route"))) == 2

    def test_nor_by_a_second_press_whose_form_was_looked_at_before_the_first_was_stored(
        self, bare, database, monkeypatch
    ):
        with database.read() as session:
            before = load_product(session, "GW-1")
        bare.post("/products/GW-1/route/start", data=START)
        monkeypatch.setattr(route, "load_product", lambda *_: before)
        assert bare.post("/products/GW-1/route/start", data=START).headers["location"] == "/products/GW-1/route"
        monkeypatch.undo()
        assert len(route_ids(bare.get("/products/GW-1/route"))) == 2
        with database.read() as session:
            assert len(session.exec(select(DeclarationRow)).all()) == 1

    def test_others_are_told_who_does_it(self, bare, sign_in):
        page = sign_in(Role.MANAGER).get("/products/GW-1/route")
        assert "An engineer sets them up." in plain(page)
        assert "<form" not in page.text.split("<main")[1]


class TestPage:
    def test_steps_with_their_temperatures_and_joints(self, gateway):
        text = plain(gateway.get(ROUTE))
        # Placed by the file: C3 on the bottom, six on the top; the connector and the cell meet no soldering step.
        assert "1 reflow, bottom side Sn96.5Ag3.0Cu0.5 makes the joints of 1 placement: C3 245 8 237 60" in text
        six = "C1, C2, Q1, … +3 more C1, C2, Q1, R1, R2, U1"
        assert f"2 reflow, top side Sn42Bi57Ag1 makes the joints of 6 placements: {six} 180 8 172 60" in text
        assert "No step here solders 2 placements; if they are soldered, add the step that does: BT1, J1" in text

    def test_tabs_with_counts_stand_on_every_page(self, gateway):
        for page in ("", "/setup", "/route", "/findings"):
            text = plain(gateway.get(f"/products/GW-7{page}"))
            assert re.search(r"BOM 6 Setup Route 2 Findings \d+", text), page

    def test_others_read_it(self, gateway, sign_in):
        page = sign_in(Role.REVIEWER).get(ROUTE)
        assert page.status_code == 200
        assert "Edit the steps" not in page.text
        assert "<form" not in page.text.split("<main")[1]


class TestCandidates:
    def test_from_a_template_with_another_paste(self, gateway):
        data = {"template": "two-sided-low-temperature-last", "paste": "Sn60Bi40", "name": "hot side first"}
        answer = gateway.post(f"{ROUTE}/new", data=data)
        text = plain(gateway.get(answer.headers["location"]))
        assert "The candidate is made." in text
        # At 172 °C Sn60Bi40 (99 % liquid at 174.4 °C) makes no joints.
        assert "hot side first (new): blocks" in text.replace(" :", ":")
        assert (
            "blocks" in plain(gateway.get("/products/GW-7/findings?case=hot+side+first")).split("What was checked")[0]
        )

    def test_as_a_copy(self, gateway):
        today = route_ids(gateway.get(ROUTE))[0]
        gateway.post(f"{ROUTE}/new", data={"template": f"copy-{today}", "paste": "Sn42Bi58", "name": ""})
        text = plain(gateway.get(ROUTE))
        assert "copy of today Candidate" in text
        assert text.count("Sn96.5Ag3.0Cu0.5") >= 4

    @pytest.mark.parametrize("start", ["two-sided-low-temperature-last", "copy"])
    def test_a_form_that_is_sent_twice_makes_one(self, gateway, start):
        page = gateway.get(ROUTE)
        before = route_ids(page)
        last = re.search(r'name="last" value="(\d+)"', page.text)[1]
        template = f"copy-{before[0]}" if start == "copy" else start
        data = {"template": template, "paste": "Sn60Bi40", "name": "", "last": last}
        first, second = (gateway.post(f"{ROUTE}/new", data=data) for _ in range(2))
        assert (first.status_code, second.status_code) == (303, 303)
        assert "The candidate is made." in plain(gateway.get(second.headers["location"]))
        assert len(route_ids(gateway.get(ROUTE))) == len(before) + 1
        # From a form opened afterwards another one is meant.
        newer = re.search(r'name="last" value="(\d+)"', gateway.get(ROUTE).text)[1]
        gateway.post(f"{ROUTE}/new", data=data | {"last": newer})
        assert len(route_ids(gateway.get(ROUTE))) == len(before) + 2

    def test_a_name_that_is_given_twice_is_refused(self, gateway):
        data = {"template": "two-sided-low-temperature-last", "paste": "Sn60Bi40", "name": "hot side first"}
        before = len(route_ids(gateway.get(ROUTE)))
        first, second = (gateway.post(f"{ROUTE}/new", data=data) for _ in range(2))
        assert (first.status_code, second.status_code) == (303, 422)
        assert 'There is a route "hot side first" already.' in html.unescape(plain(second))
        assert len(route_ids(gateway.get(ROUTE))) == before + 1

    @pytest.mark.parametrize(
        ("data", "sentence"),
        [
            ({"template": "none-such", "paste": "Sn42Bi58"}, "There is no route template"),
            ({"template": "copy-999", "paste": "Sn42Bi58"}, "The product has no such route."),
            ({"template": "", "paste": "Sn42Bi58"}, "Choose a route to start from."),
            ({"template": "copy-1", "name": "Today"}, "There is a route"),
        ],
    )
    def test_what_does_not_hold(self, gateway, data, sentence):
        answer = gateway.post(f"{ROUTE}/new", data=data)
        assert answer.status_code == 422
        assert sentence in plain(answer)

    def test_removing_one(self, gateway):
        today, candidate = route_ids(gateway.get(ROUTE))
        stale = gateway.post(f"{ROUTE}/{candidate}/remove", data={"version": "7"})
        assert stale.status_code == 409
        answer = gateway.post(f"{ROUTE}/{candidate}/remove", data={"version": "1"})
        text = plain(gateway.get(answer.headers["location"]))
        assert "The candidate is removed." in text
        assert "Today's route, and no candidate yet." in text
        assert gateway.post(f"{ROUTE}/{today}/remove", data={"version": "1"}).status_code == 422

    def test_of_another_product(self, gateway, make):
        make("GW-8")
        candidate = route_ids(gateway.get("/products/GW-8/route"))[1]
        assert gateway.post(f"{ROUTE}/{candidate}/remove", data={"version": "1"}).status_code == 404

    def test_only_engineers(self, gateway, sign_in):
        reviewer = sign_in(Role.REVIEWER)
        for path in ("new", "start", "2/remove", "2/edit"):
            assert reviewer.post(f"{ROUTE}/{path}", data={"version": "1"}).status_code == 403
