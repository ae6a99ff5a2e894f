import pytest

from tests.web.pages.wizard import hidden, plain
from webapp.trade.people import Role


@pytest.fixture
def state(engineer, part_id):
    """``state("MX-800", limit_c="245", ...)`` sends the form of a part; the answer."""

    def send(number, *, version=None, kind="datasheet", reference="Sheet 4, 2024", **values):
        address = f"/parts/{part_id(number)}"
        version = version or hidden(engineer.get(address).text, "version")
        typed = {f"v_{field}": text for field, text in values.items()}
        return engineer.post(address, data={"version": version, "kind": kind, "reference": reference, **typed})

    return send


class TestPage:
    def test_every_value_says_where_it_comes_from(self, engineer, part_id):
        text = plain(engineer.get(f"/parts/{part_id('MX-800')}"))
        assert "Highest body temperature, °C 260 °C J-STD-020, Table 4-2 read in a document" in text
        assert "Body length, mm 4.9 to 5.1 mm assumed from package" in text
        assert "Self-heating of the joints, K not known" in text
        assert "Taken for integrated circuit without leads because of" in text
        assert "HL-2 Harbour logger 1 U1 the line's part" in text

    def test_only_what_matters_to_the_kind_is_asked(self, engineer, part_id):
        text = plain(engineer.get(f"/parts/{part_id('GR-104-X7')}"))
        asked, more = text.split("not asked for this kind of part", 1)
        assert "Self-heating of the joints" not in asked
        assert "Self-heating of the joints" in more
        assert "Highest body temperature" in asked
        assert "Time at the highest body temperature, s 10 s" in asked
        for nowhere in ("Ball alloy", "Stand-off", "Mating force", "Suits a wash", "Suits a vacuum"):
            assert nowhere not in text

    def test_what_a_relay_bears_beside_heat_is_asked_and_what_it_has_not_is_nowhere(self, engineer, part_id):
        text = plain(engineer.get(f"/parts/{part_id('RL-5')}"))
        asked, _ = text.split("not asked for this kind of part", 1)
        assert "Current per joint, A not known" in asked
        assert "Suits a wash not known" in asked
        for nowhere in ("Mating force", "Suits a vacuum", "Stand-off"):
            assert nowhere not in text

    def test_the_stand_off_of_a_package_with_lands_is_asked(self, engineer, part_id):
        text = plain(engineer.get(f"/parts/{part_id('MX-800')}"))
        asked, more = text.split("not asked for this kind of part", 1)
        assert "Stand-off, mm not known" in asked
        assert "Current per joint" not in asked
        assert "Current per joint" in more

    def test_its_open_findings_lead_to_product_and_check(self, engineer, part_id):
        page = engineer.get(f"/parts/{part_id('MX-800')}")
        found = page.text.split('id="findings"')[1].split('id="used"')[0]
        assert "/products/HL-2/findings" in found
        assert 'href="/help/checks/finish-unknown"' in found

    def test_others_read_only(self, sign_in, part_id):
        page = sign_in(Role.REVIEWER).get(f"/parts/{part_id('MX-800')}")
        assert page.status_code == 200
        assert "Store the new values" not in page.text
        assert sign_in(Role.MANAGER).post(f"/parts/{part_id('MX-800')}", data={}).status_code == 403

    def test_a_part_that_is_none(self, engineer):
        assert engineer.get("/parts/999").status_code == 404
        assert engineer.get("/parts/odd").status_code == 404


class TestStating:
    def test_several_values_from_one_document(self, engineer, state, part_id):
        answer = state("MX-800", limit_c="473 °F", msl="3", finish="e3")
        assert answer.status_code == 303
        page = engineer.get(answer.headers["location"])
        text = plain(page)
        # (473 - 32) / 1.8 = 245.
        assert "Highest body temperature: “473 °F” is read as 245 °C." in text
        assert "Moisture level: MSL 3." in text
        assert "Highest body temperature, °C 245 °C Sheet 4, 2024 read in a document" in text
        assert "3 data stated" in text

    def test_current_wash_and_stand_off_have_unit_source_and_history(self, engineer, state, part_id):
        answer = state("RL-5", current_a="at most 2", wash="no")
        text = plain(engineer.get(answer.headers["location"]))
        assert "Current per joint: “at most 2” is read as 0 to 2 A." in text
        assert "Suits a wash: no." in text
        assert "Current per joint, A 0 to 2 A Sheet 4, 2024 read in a document" in text
        history = text.split("History")[1]
        assert "Suits a wash nothing stated no Sheet 4, 2024" in history
        assert state("MX-800", standoff_mm="0.03").status_code == 303
        refused = state("MX-800", standoff_mm="30")
        assert refused.status_code == 422
        assert "30 mm is outside 0 to 5 mm." in plain(refused)

    def test_what_changes_nothing_writes_nothing_and_says_so(self, engineer, state, part_id):
        state("MX-800", limit_c="245", passes="3")
        again = state("MX-800", limit_c="245 °C", passes="2")
        text = plain(engineer.get(again.headers["location"]))
        assert "Allowed reflow passes: 2 passes." in text
        assert "Highest body temperature: 245 °C is stated already, from the same source." in text
        history = text.split("History")[1]
        assert (history.count("245 °C"), history.count("3 passes")) == (1, 2)
        # From another document it is news.
        other = state("MX-800", limit_c="245", reference="Sheet 5, 2025")
        assert "is stated already" not in plain(engineer.get(other.headers["location"]))

    def test_sizes_that_cannot_be_true_together(self, engineer, state):
        refused = state("MX-800", length_mm="7", width_mm="7", pitch_mm="8")
        assert refused.status_code == 422
        assert "A pitch of 8 mm does not fit a body of 7 mm × 7 mm: correct one of them." in plain(refused)
        assert 'aria-describedby="f-v_pitch_mm-error"' in refused.text

    def test_earlier_changes_are_folded(self, engineer, state, part_id):
        for count in range(12):
            state("MX-800", passes=str(count + 1))
        page = plain(engineer.get(f"/parts/{part_id('MX-800')}"))
        assert "2 earlier changes When Who" in page
        assert page.index("What the lists say") < page.index("2 earlier changes")

    def test_the_product_is_assessed_again_in_the_request(self, engineer, state, part_id):
        address = f"/parts/{part_id('AE-470')}"
        assert "above its limit" not in plain(engineer.get(address))
        state("AE-470", limit_c="150", mounting="smd", classes="can_8x10", oven="yes")
        assert "above its limit of 150 °C. As today." in plain(engineer.get(address))

    def test_what_does_not_read_stays_beside_its_field_and_nothing_is_stored(self, engineer, state, part_id):
        answer = state("MX-800", limit_c="2450", passes="three", mass_g="1")
        assert answer.status_code == 422
        assert 'value="2450"' in answer.text
        assert 'aria-describedby="f-v_limit_c-error"' in answer.text
        assert "is no allowed reflow passes" in plain(answer)
        assert "nothing stated yet" in plain(engineer.get(f"/parts/{part_id('MX-800')}"))

    def test_fahrenheit_without_its_unit_is_suggested(self, state):
        assert "If you mean °F, write 473 °F (245 °C)" in plain(state("MX-800", limit_c="473"))

    @pytest.mark.parametrize("kind", ["datasheet", "declaration", "same-package part"])
    def test_a_document_needs_its_name(self, state, kind):
        answer = state("MX-800", limit_c="245", kind=kind, reference=" ")
        assert answer.status_code == 422
        assert "Name the document: maker, title, revision or date." in plain(answer)
        assert 'value="245"' in answer.text

    def test_own_knowledge_needs_none(self, state):
        assert state("MX-800", limit_c="245", kind="entered", reference="").status_code == 303

    def test_a_kind_of_source_that_is_none(self, state):
        assert state("MX-800", limit_c="245", kind="standard table").status_code == 422

    def test_nothing_typed(self, state):
        answer = state("MX-800")
        assert answer.status_code == 422
        assert "Type at least one value." in plain(answer)

    def test_somebody_else_was_faster(self, engineer, state, part_id):
        state("MX-800", version="1", limit_c="240")
        answer = state("MX-800", version="1", limit_c="250")
        assert answer.status_code == 409
        text = plain(answer)
        assert "Somebody else changed this part meanwhile" in text
        assert "Highest body temperature is 240 °C" in text
        assert 'value="250"' in answer.text
        # The form carries the new version: a second try says that the person has seen it.
        assert hidden(answer.text, "version") == "2"
        assert state("MX-800", version="2", limit_c="250").status_code == 303

    def test_a_form_without_version(self, engineer, part_id):
        answer = engineer.post(f"/parts/{part_id('MX-800')}", data={"v_limit_c": "245", "kind": "entered"})
        assert answer.status_code == 422
        assert "Load the page anew" in plain(answer)


class TestTakingBack:
    def test_what_follows_from_the_kind_holds_again(self, engineer, state, part_id):
        state("MX-800", limit_c="245")
        address = f"/parts/{part_id('MX-800')}"
        answer = engineer.post(f"{address}/withdraw", data={"version": "2", "field": "limit_c"})
        text = plain(engineer.get(answer.headers["location"]))
        assert "Highest body temperature is taken back; what holds now: 260 °C." in text
        assert engineer.post(f"{address}/withdraw", data={"version": "2", "field": "limit_c"}).status_code == 409
        assert engineer.post(f"{address}/withdraw", data={"version": "3", "field": "odd"}).status_code == 422

    def test_history_tells_who_and_what_before_and_after(self, engineer, state, part_id):
        state("MX-800", limit_c="245")
        state("MX-800", limit_c="473 °F", reference="Sheet 5")
        engineer.post(f"/parts/{part_id('MX-800')}/withdraw", data={"version": "3", "field": "limit_c"})
        history = plain(engineer.get(f"/parts/{part_id('MX-800')}")).split("When Who Datum Before After From")[1]
        events = history.split("The engineer Highest body temperature ")[1:]
        assert len(events) == 3
        assert events[0].startswith("245 °C taken back")
        assert events[1].startswith("245 °C 245 °C typed: 473 °F Sheet 5")
        assert events[2].startswith("nothing stated 245 °C Sheet 4, 2024")


def test_the_way_back_leads_only_to_our_own_pages(engineer, part_id):
    address = f"/parts/{part_id('MX-800')}"
    assert 'href="/wanted?show=parts"' in engineer.get(f"{address}?back=/wanted%3Fshow%3Dparts").text
    assert "elsewhere.example" not in engineer.get(f"{address}?back=https://elsewhere.example/").text
    assert "elsewhere.example" not in engineer.get(f"{address}?back=//elsewhere.example/").text
