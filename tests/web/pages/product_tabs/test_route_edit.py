import pytest

from tests.web.pages.product_tabs.test_route import route_ids
from tests.web.pages.wizard import fields, plain

ROUTE = "/products/GW-7/route"


@pytest.fixture
def edit(gateway):
    """The address of the candidate's form."""
    return f"{ROUTE}/{route_ids(gateway.get(ROUTE))[1]}/edit"


def kinds(page):
    """The kinds and sides of the steps in the form."""
    shown, found = fields(page.text), []
    while f"step_{len(found)}_kind" in shown:
        at = f"step_{len(found)}_"
        found.append((shown[f"{at}kind"], shown.get(f"{at}side", "")))
    return found


class TestArranging:
    def test_moving_and_removing(self, gateway, edit):
        shown = fields(gateway.get(edit).text)
        assert kinds(gateway.get(edit, params=shown | {"do": "up-1"})) == [("reflow", "top"), ("reflow", "bottom")]
        assert kinds(gateway.get(edit, params=shown | {"do": "down-0"})) == [("reflow", "top"), ("reflow", "bottom")]
        assert kinds(gateway.get(edit, params=shown | {"do": "up-0"})) == [("reflow", "bottom"), ("reflow", "top")]
        assert kinds(gateway.get(edit, params=shown | {"do": "remove-0"})) == [("reflow", "top")]
        assert kinds(gateway.get(edit, params=shown | {"do": "remove-7"})) == [("reflow", "bottom"), ("reflow", "top")]

    def test_what_is_typed_stays(self, gateway, edit):
        shown = fields(gateway.get(edit).text) | {"step_1_peak_c": "356 °F", "name": "cooler"}
        page = gateway.get(edit, params=shown | {"do": "up-1"})
        after = fields(page.text)
        assert (after["step_0_peak_c"], after["name"], after["version"]) == ("356 °F", "cooler", shown["version"])
        assert "356 °F = 180 °C" in plain(page)
        assert "Not saved yet." in plain(page)

    def test_adding_asks_what_the_kind_needs(self, gateway, edit):
        shown = fields(gateway.get(edit).text)
        cure = fields(gateway.get(edit, params=shown | {"do": "add", "add": "cure"}).text)
        assert "step_2_hours" in cure
        assert "step_2_alloy" not in cure
        wave = fields(gateway.get(edit, params=shown | {"do": "add", "add": "wave"}).text)
        assert wave["step_2_alloy"] == "Sn42Bi57Ag1"
        assert "step_2_neighbour_c" in wave

    def test_nothing_is_stored_by_looking(self, gateway, edit):
        shown = fields(gateway.get(edit).text)
        gateway.get(edit, params=shown | {"do": "remove-0"})
        assert len(kinds(gateway.get(edit))) == 2

    @pytest.mark.parametrize("query", [{"do": "sideways-1"}, {"do": "add", "add": "magic"}, {"step_0_kind": "magic"}])
    def test_unknown_words_are_refused(self, gateway, edit, query):
        answer = gateway.get(edit, params={"version": "1", **query})
        assert answer.status_code == 400
        assert "there are:" in plain(answer)


class TestSaving:
    def test_steps_are_stored_and_assessed(self, gateway, edit):
        shown = fields(gateway.get(edit).text)
        added = {"step_2_kind": "cure", "step_2_name": "coating", "step_2_peak_c": "302 °F", "step_2_hours": "0,5"}
        answer = gateway.post(edit, data=shown | added)
        text = plain(gateway.get(answer.headers["location"]))
        assert "The route is saved." in text
        assert "302 °F = 150 °C" in text
        # A cure at 150 °C melts joints of tin-bismuth again (138 °C).
        assert "low temperature : blocks" in text or "low temperature: blocks" in text
        assert "3 coating cure of adhesive or coating 150" in text
        assert "Coating heats finished joints to 150 °C" in plain(gateway.get("/products/GW-7/findings"))

    def test_renaming(self, gateway, edit):
        gateway.post(edit, data=fields(gateway.get(edit).text) | {"name": "cool both"})
        assert "cool both Candidate" in plain(gateway.get(ROUTE))

    def test_errors_stand_beside_their_fields(self, gateway, edit):
        shown = fields(gateway.get(edit).text)
        wrong = {"step_0_peak_c": "473", "step_1_spread_k": "8 °C", "step_0_above_melting_s": "x", "step_1_alloy": ""}
        answer = gateway.post(edit, data=shown | wrong)
        assert answer.status_code == 422
        text = plain(answer)
        assert "473 °C is outside 90 to 320 °C. If you mean °F, write 473 °F (245 °C)." in text
        assert "A difference is written in K: 8 K." in text
        assert "“x” is no number." in text
        assert 'aria-describedby="f-step_0_peak_c-error"' in answer.text
        assert fields(answer.text)["step_0_peak_c"] == "473"

    def test_a_reflow_needs_its_alloy(self, gateway, edit):
        answer = gateway.post(edit, data=fields(gateway.get(edit).text) | {"step_1_alloy": ""})
        assert answer.status_code == 422
        assert "A reflow step needs its paste's alloy." in plain(answer)

    def test_a_name_that_is_taken(self, gateway, edit):
        answer = gateway.post(edit, data=fields(gateway.get(edit).text) | {"name": "TODAY"})
        assert answer.status_code == 422
        assert "already" in plain(answer)

    def test_a_conflict_shows_both(self, gateway, edit):
        shown = fields(gateway.get(edit).text)
        gateway.post(edit, data=shown | {"step_0_peak_c": "185"})
        answer = gateway.post(edit, data=shown | {"step_0_peak_c": "175"})
        assert answer.status_code == 409
        text = plain(answer)
        assert "As it is stored now: low temperature" in text
        assert "1 reflow, bottom side Sn42Bi57Ag1 185 8" in text
        again = gateway.post(edit, data=fields(answer.text))
        assert again.status_code == 303
        assert "175" in plain(gateway.get(ROUTE))

    def test_a_route_of_another_product(self, gateway, make, edit):
        make("GW-8")
        other = route_ids(gateway.get("/products/GW-8/route"))[1]
        assert gateway.get(f"{ROUTE}/{other}/edit").status_code == 404
        assert gateway.post(f"{ROUTE}/{other}/edit", data={"version": "1"}).status_code == 404
