import re

import pytest

from tests.desk.site_data import HOUSE, add_paste
from tests.web.pages.product_tabs.test_route import route_ids
from tests.web.pages.wizard import fields, plain
from webapp.trade.people import Role

ROUTE = "/products/GW-7/route"


@pytest.fixture
def edit(gateway):
    """The address of the candidate's form."""
    return f"{ROUTE}/{route_ids(gateway.get(ROUTE))[1]}/edit"


@pytest.fixture
def house_paste(database, add_person):
    """A paste of the site's own."""
    add_paste(database, add_person(Role.ENGINEER, login="paster"), HOUSE, alloy="Sn42Bi58")


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
        assert "step_2_solder" not in cure
        assert "step_2_foil_mm" not in cure
        wave = fields(gateway.get(edit, params=shown | {"do": "add", "add": "wave"}).text)
        assert wave["step_2_solder"] == "alloy:Sn42Bi57Ag1"
        assert {"step_2_neighbour_c", "step_2_wave_side_c"} <= wave.keys()
        selective = fields(gateway.get(edit, params=shown | {"do": "add", "add": "selective"}).text)
        assert "step_2_neighbour_c" in selective
        assert "step_2_wave_side_c" not in selective

    def test_what_joints_in_a_wave_reach_is_kept_and_shown(self, gateway, edit):
        shown = fields(gateway.get(edit).text)
        wave = fields(gateway.get(edit, params=shown | {"do": "add", "add": "wave"}).text)
        wave |= {"step_2_peak_c": "258", "step_2_neighbour_c": "105", "step_2_wave_side_c": "257 °F"}
        gateway.post(edit, data=wave)
        assert fields(gateway.get(edit).text)["step_2_wave_side_c"] == "125"
        assert "finished joints on the bottom side, in the wave: 125 °C" in plain(gateway.get(edit.rsplit("/", 2)[0]))

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
        wrong = {"step_0_peak_c": "473", "step_1_spread_k": "8 °C", "step_0_above_melting_s": "x", "step_1_solder": ""}
        answer = gateway.post(edit, data=shown | wrong)
        assert answer.status_code == 422
        text = plain(answer)
        assert "473 °C is outside 90 to 320 °C. If you mean °F, write 473 °F (245 °C)." in text
        assert "A difference in K is wanted, not a temperature: write 8 K." in text
        assert "“x” is no number." in text
        assert 'aria-describedby="f-step_0_peak_c-error"' in answer.text
        assert fields(answer.text)["step_0_peak_c"] == "473"

    def test_a_reflow_needs_its_alloy(self, gateway, edit):
        answer = gateway.post(edit, data=fields(gateway.get(edit).text) | {"step_1_solder": ""})
        assert answer.status_code == 422
        assert "A reflow step needs its paste's alloy." in plain(answer)

    def test_a_paste_brings_its_alloy_along_and_its_window_stands_beside(self, gateway, edit, house_paste):
        shown = fields(gateway.get(edit).text)
        changed = {"step_0_solder": "paste:House paste", "step_0_foil_mm": "0,12 mm", "step_0_peak_c": "195"}
        # Another state of the form, nothing stored: what the choice means is told.
        looked = gateway.get(edit, params=shown | changed | {"do": "up-1"})
        assert "Sn42Bi58; window 165 to 190 °C, 30 to 90 s" in plain(looked)
        assert "The peak, 195 °C, is above the paste's 165 to 190 °C." in plain(looked)
        answer = gateway.post(edit, data=shown | changed)
        text = plain(gateway.get(answer.headers["location"]))
        assert "Sn42Bi58 · House paste · foil 0.12 mm" in text
        assert "The peak, 195 °C, is above the paste's 165 to 190 °C." in text
        after = fields(gateway.get(edit).text)
        assert (after["step_0_solder"], after["step_0_foil_mm"]) == ("paste:House paste", "0.12")
        assert after["step_1_solder"] == "alloy:Sn42Bi57Ag1"

    def test_own_pastes_come_first_and_a_bath_takes_none(self, gateway, edit, house_paste):
        shown = fields(gateway.get(edit).text) | {"step_1_solder": "paste:House paste"}
        page = gateway.get(edit, params=shown | {"do": "add", "add": "wave"}).text
        reflow, wave = (
            re.search(rf'<select id="f-step_{position}_solder".*?</select>', page, re.DOTALL)[0] for position in (1, 2)
        )
        assert re.findall(r'<optgroup label="([^"]*)"', reflow) == [
            "Pastes of the site", "Examples of pastes", "An alloy, no paste named",
        ]  # fmt: skip
        assert re.findall(r'<optgroup label="([^"]*)"', wave) == ["Alloys"]
        assert fields(page)["step_2_solder"] == "alloy:Sn42Bi58"

    def test_a_paste_that_is_gone_is_told_beside_the_choice(self, gateway, edit):
        shown = fields(gateway.get(edit).text) | {"step_1_solder": "paste:No such", "step_0_foil_mm": "1"}
        answer = gateway.post(edit, data=shown | {"step_0_foil_mm": ""})
        assert answer.status_code == 422
        assert 'aria-describedby="f-step_1_solder-error"' in answer.text
        assert "There is no paste &#34;No such&#34; (any more)." in answer.text
        assert "1 mm is outside 0.02 to 0.5 mm." in plain(gateway.post(edit, data=shown))

    def test_a_foil_in_other_units_is_kept_in_mm_and_said(self, gateway, edit):
        shown = fields(gateway.get(edit).text)
        refused = plain(gateway.post(edit, data=shown | {"step_0_foil_mm": "120"}))
        assert "120 mm is outside 0.02 to 0.5 mm. If you mean µm, write 120 µm (0.12 mm)." in refused
        tried = gateway.get(edit, params=shown | {"step_0_foil_mm": "5 mil", "do": "add", "add": "bake"})
        assert "5 mil = 0.127 mm" in plain(tried)
        saved = gateway.post(edit, data=shown | {"step_0_foil_mm": "5 mil"})
        assert "Read: 5 mil = 0.127 mm." in plain(gateway.get(saved.headers["location"]))
        assert fields(gateway.get(edit).text)["step_0_foil_mm"] == "0.127"

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
        assert "1 reflow, bottom side Sn42Bi57Ag1 – 185 8" in text
        again = gateway.post(edit, data=fields(answer.text))
        assert again.status_code == 303
        assert "175" in plain(gateway.get(ROUTE))

    def test_a_route_of_another_product(self, gateway, make, edit):
        make("GW-8")
        other = route_ids(gateway.get("/products/GW-8/route"))[1]
        assert gateway.get(f"{ROUTE}/{other}/edit").status_code == 404
        assert gateway.post(f"{ROUTE}/{other}/edit", data={"version": "1"}).status_code == 404
