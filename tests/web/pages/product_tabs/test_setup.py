import pytest

from tests.web.pages.wizard import fields, plain
from webapp.trade.people import Role

SETUP = "/products/GW-7/setup"


def post(client, **changes):
    """Send the setup as it is shown, with changes."""
    shown = {name: value for name, value in fields(client.get(SETUP).text).items() if name != "finish"}
    return client.post(SETUP, data=shown | changes)


class TestPage:
    def test_every_field_says_which_checks_it_decides(self, gateway):
        text = plain(gateway.get(SETUP))
        hint = "Of the air around the board, inside the housing. Decides: joints that run hot"
        assert f"Highest air temperature, °C (optional) {hint}" in text
        assert "Glass transition. No check uses it yet." in text
        assert '<a href="/help/checks/board-finish">' in gateway.get(SETUP).text

    def test_it_says_what_is_not_known_yet(self, gateway):
        assert "Not known yet: finish of the board." in plain(gateway.get(SETUP))
        post(gateway, finish="enig")
        assert "All that the checks use is known." in plain(gateway.get(SETUP))

    def test_its_units_are_written_as_units(self, gateway):
        post(gateway, t_max_c="")
        assert "Not known yet: highest air temperature, °C, " in plain(gateway.get(SETUP))

    def test_others_read_it_without_a_form(self, gateway, sign_in):
        page = sign_in(Role.REVIEWER).get(SETUP)
        assert page.status_code == 200
        main = page.text.split("<main")[1]
        assert "<form" not in main
        assert "Highest air temperature, °C 60" in plain(page)

    @pytest.mark.parametrize("role", [Role.REVIEWER, Role.MANAGER, Role.ADMINISTRATOR])
    def test_others_may_not_change_it(self, gateway, sign_in, role):
        assert sign_in(role).post(SETUP, data={"version": "1"}).status_code == 403

    def test_an_unknown_product(self, engineer):
        assert engineer.get("/products/GW-9/setup").status_code == 404

    def test_a_code_with_a_slash(self, make, engineer):
        make("GW/7 B")
        assert "GW/7 B Field gateway" in plain(engineer.get("/products/GW/7%20B/setup"))


class TestSaving:
    def test_it_is_assessed_again_and_says_what_changed(self, gateway):
        answer = post(gateway, finish=["enig", "immersion_silver"])
        assert answer.status_code == 303
        text = plain(gateway.get(answer.headers["location"]))
        assert "The setup is saved." in text
        # With nickel and gold or silver the check of the board's finish has nothing to say any more.
        assert "low temperature : prove 4 → 3" in text or "low temperature : prove" in text
        assert (
            "board finish" not in plain(gateway.get("/products/GW-7/findings")).split("What was checked")[0].casefold()
        )

    def test_fahrenheit_is_read_and_told(self, gateway):
        answer = post(gateway, t_max_c="149 °F")
        page = gateway.get(answer.headers["location"])
        assert fields(page.text)["t_max_c"] == "65"  # (149 - 32) / 1.8
        assert "Read as 149 °F = 65 °C." in plain(page)

    def test_lengths_in_other_units_are_read_and_told(self, gateway):
        answer = post(gateway, thickness_mm="62 mil", copper_um="1.4 mil")
        page = gateway.get(answer.headers["location"])
        shown = fields(page.text)
        assert (shown["thickness_mm"], shown["copper_um"]) == ("1.5748", "35.56")
        assert "Read as 62 mil = 1.5748 mm." in plain(page)
        assert "Read as 1.4 mil = 35.56 µm." in plain(page)
        refused = plain(post(gateway, thickness_mm="62"))
        assert "62 mm is outside 0.05 to 10 mm. If you mean µm, write 62 µm (0.062 mm); if mil, write 62 mil" in refused

    def test_an_absurd_bare_number_suggests_fahrenheit(self, gateway):
        answer = post(gateway, t_max_c="230")
        assert answer.status_code == 422
        text = plain(answer)
        assert "230 °C is outside −80 to 200 °C. If you mean °F, write 230 °F (110 °C)." in text
        assert fields(answer.text)["t_max_c"] == "230"
        assert 'aria-describedby="f-t_max_c-hint f-t_max_c-error"' in answer.text

    def test_all_that_is_wrong_stands_beside_its_field(self, gateway):
        answer = post(gateway, board_heating_k="10 °C", years="long", laminate_tg_c="120…180", layers="2.5")
        assert answer.status_code == 422
        text = plain(answer)
        assert "4 things need correcting" in text
        for sentence in (
            "A difference in K is wanted, not a temperature: write 10 K.",
            "“long” is no number.",
            "One temperature, not a range.",
            "“2.5” is no whole number.",
        ):
            assert sentence in text

    def test_lowest_above_highest(self, gateway):
        answer = post(gateway, t_min_c="70")
        assert answer.status_code == 422
        assert "The lowest temperature is above the highest." in plain(answer)

    def test_a_conflict_shows_both_and_saving_again_replaces(self, gateway):
        before = fields(gateway.get(SETUP).text)
        post(gateway, t_max_c="70")
        mine = {name: value for name, value in before.items() if name != "finish"} | {"t_max_c": "55"}
        answer = gateway.post(SETUP, data=mine)
        assert answer.status_code == 409
        assert "Highest air temperature, °C 70 55" in plain(answer)
        again = gateway.post(SETUP, data=mine | {"version": fields(answer.text)["version"]})
        assert again.status_code == 303
        assert fields(gateway.get(SETUP).text)["t_max_c"] == "55"

    def test_an_error_does_not_let_a_stale_form_through(self, gateway):
        before = fields(gateway.get(SETUP).text)
        post(gateway, t_max_c="70")
        wrong = gateway.post(SETUP, data={k: v for k, v in before.items() if k != "finish"} | {"years": "x"})
        assert fields(wrong.text)["version"] == before["version"]

    def test_a_form_without_a_version(self, gateway):
        assert gateway.post(SETUP, data={"t_max_c": "60"}).status_code == 422


class TestDeclarations:
    def test_recording_and_taking_back(self, make, engineer):
        make()
        before = plain(engineer.get("/products/GW-7/findings"))
        assert "Lead in the terminals" in before
        answer = engineer.post(f"{SETUP}/declarations", data={"reference": "letter 7", "stated_on": "2024-03-01"})
        page = engineer.get(answer.headers["location"])
        assert "Terminations are lead-free letter 7 2024-03-01 this BOM" in plain(page)
        withdraw = page.text.split('/withdraw"')[0].rsplit('"', 1)[1] + "/withdraw"
        text = plain(engineer.get(engineer.post(withdraw).headers["location"]))
        assert "The declaration is withdrawn" in text
        assert "Nothing is declared" in text

    def test_a_document_is_needed(self, gateway):
        answer = gateway.post(f"{SETUP}/declarations", data={"reference": " "})
        assert answer.status_code == 422
        assert "Name the document the declaration stands in" in plain(answer)

    def test_a_document_of_the_future_is_refused(self, gateway):
        answer = gateway.post(f"{SETUP}/declarations", data={"reference": "letter 7", "stated_on": "2931-01-01"})
        assert answer.status_code == 422
        assert "The date of a document lies in the past." in plain(answer)
        assert 'value="2931-01-01"' in answer.text

    def test_only_those_over_this_bom_are_taken_back_here(self, gateway, make):
        make("GW-8")
        assert gateway.post("/products/GW-8/setup/declarations/1/withdraw").status_code == 404
