import pytest

from tests.web.pages.wizard import plain
from webapp.trade.people import Role


@pytest.fixture
def declare(engineer, product):
    """``declare(claim=..., scope=..., ...)`` sends the form; the answer. Without arguments lead-free over the site."""

    def send(**values):
        typed = {"claim": "lead-free", "scope": "site", "reference": "Letter LF-1", "stated_on": "2008-05-31", **values}
        return engineer.post("/declarations", data=typed)

    return send


def look(engineer, **values):
    """The form with what the declaration would change."""
    return engineer.get("/declarations/new", params={"look": "yes", **values})


def test_an_empty_list_says_what_will_be_here(engineer, sign_in):
    assert "No declaration yet" in plain(engineer.get("/declarations"))
    page = sign_in(Role.MANAGER).get("/declarations")
    assert 'href="/declarations/new"' not in page.text
    assert sign_in(Role.REVIEWER).get("/declarations/new").status_code == 403


class TestRecording:
    def test_it_is_listed_with_its_document_and_who_recorded_it(self, engineer, declare):
        answer = declare()
        assert answer.status_code == 303
        text = plain(engineer.get(answer.headers["location"]))
        assert "The declaration is recorded." in text
        assert "terminals and balls are lead-free all parts of the site Letter LF-1 2008-05-31 The engineer" in text

    def test_over_one_product_it_is_assessed_again_at_once(self, engineer, declare):
        # The relay is soldered apart from the bismuth paste.
        assert "Terminal finish (a lead-free declaration) 5 parts of HL-2" in plain(
            engineer.get("/products/HL-2/wanted")
        )
        declare(scope="bom", product="hl-2")
        assert "5 parts of HL-2" not in plain(engineer.get("/products/HL-2/wanted"))
        assert "lead-free the BOM of HL-2" in plain(engineer.get("/declarations"))

    def test_over_a_maker_and_over_a_part(self, engineer, declare):
        declare(claim="limit-at-least", scope="maker", maker="kelvarn", number="473 °F")
        declare(claim="passes-at-least", scope="part", part="mx-800", number="3")
        text = plain(engineer.get("/declarations"))
        assert "bodies stand at least 245 °C all parts of Kelvarn" in text
        assert "at least 3 reflow passes are allowed the part MX-800" in text

    def test_over_a_maker_who_has_no_part_it_is_asked_first(self, engineer, declare):
        maker = {"scope": "maker", "maker": "Kelvern"}
        answer = declare(**maker)
        assert answer.status_code == 422
        text = plain(answer)
        assert "There is no part of “Kelvern” here" in text
        assert "Makers of a like name: Kelvarn" in text
        assert "maker=Kelvarn&amp;" in answer.text
        assert "No declaration yet" in plain(engineer.get("/declarations"))
        assert "There is no part of “Kelvern” here" in plain(look(engineer, claim="lead-free", **maker))
        # What is wrong in itself comes first.
        warm = plain(declare(**maker, claim="limit-at-least", number="200…245"))
        assert "One temperature, not a range." in warm
        assert "There is no part of" not in warm
        assert declare(**maker, anyway="yes").status_code == 303
        assert "all parts of Kelvern" in plain(engineer.get("/declarations"))

    @pytest.mark.parametrize(
        ("values", "field", "sentence"),
        [
            ({"reference": " "}, "reference", "Name the document the declaration stands in"),
            ({"scope": "maker"}, "maker", "Name the maker."),
            ({"scope": "bom", "product": "HL-9"}, "product", "There is no product"),
            ({"scope": "bom"}, "product", "Give the product's code."),
            ({"scope": "part", "part": "XX"}, "part", "There is no part"),
            ({"claim": "limit-at-least", "number": "2450"}, "number", "is outside"),
            ({"claim": "passes-at-least"}, "number", "How many reflow passes: 1 to 20."),
            ({"claim": "passes-at-least", "number": "many"}, "number", "“many” is no number."),
            ({"claim": "passes-at-least", "number": "2.5"}, "number", "“2.5” is no whole number."),
            ({"claim": "passes-at-least", "number": "21"}, "number", "21 is outside 1 to 20 passes."),
            ({"stated_on": "31.5.2008"}, "stated_on", "Write the date as 2008-05-31."),
            ({"claim": "odd"}, "claim", "Say what is declared."),
            ({"scope": "odd"}, "scope", "Say over what it is declared."),
        ],
    )
    def test_what_does_not_hold_stands_beside_its_field(self, engineer, declare, values, field, sentence):
        answer = declare(**values)
        assert answer.status_code == 422
        assert sentence in plain(answer)
        assert f'id="f-{field}-error"' in answer.text
        assert 'value="Letter LF-1"' in answer.text or field == "reference"
        assert "No declaration yet" in plain(engineer.get("/declarations"))

    def test_several_makers_with_one_number(self, engineer, declare, database, settings, add_person):
        from tests.web.pages.made import make_product

        content = b"Designator,Qty,MPN,Manufacturer\nU1,1,MX-800,Brindmoor\n"
        make_product(database, settings, add_person(Role.ENGINEER, login="second"), "BD-7", content)
        answer = declare(scope="part", part="MX-800")
        assert answer.status_code == 422
        assert "Several makers have this number: Brindmoor, Norrlund." in plain(answer)
        assert declare(scope="part", part="MX-800", maker="norrlund").status_code == 303


class TestLooking:
    def test_over_the_site_kinds_in_which_lead_turns_up_stay_open(self, engineer, product):
        text = plain(look(engineer, claim="lead-free", scope="site"))
        # The through-hole relay is of such a kind.
        assert "It would narrow up to 5 parts of the 6 it covers." in text
        assert (
            "1 part of kinds in which lead turns up in old stock, or that the list calls tin-lead, stays open" in text
        )
        assert "Nothing is recorded yet." in text
        assert "No declaration yet" in plain(engineer.get("/declarations"))

    def test_over_a_maker_it_is_counted_exactly(self, engineer, product):
        # Kelvarn: a chip resistor that stands 255 °C at least, and a part of which nothing is known.
        assert "It would narrow 1 part of the 2 it covers." in plain(
            look(engineer, claim="limit-at-least", scope="maker", maker="Kelvarn", number="250")
        )

    @pytest.mark.parametrize(
        ("over", "narrowed"),
        [
            ({"scope": "site"}, "narrow up to 4 parts of the 6"),
            ({"scope": "bom", "product": "HL-2"}, "narrow 3 parts of the 6"),
        ],
    )
    def test_kinds_that_stand_less_stay_as_they_are(self, engineer, product, over, narrowed):
        """The relay for through holes stands 130 °C at most; the can may be one with wires: part_classes.csv."""
        text = plain(look(engineer, claim="limit-at-least", number="260", **over))
        assert narrowed in text
        assert "2 parts stay as they are" in text

    def test_what_is_known_already(self, engineer, declare):
        declare(scope="maker", maker="Kelvarn")
        text = plain(look(engineer, claim="lead-free", scope="maker", maker="Kelvarn"))
        assert "It covers 2 parts and narrows none" in text

    def test_a_maker_that_is_not_here_yet(self, engineer, product):
        assert "There is no part of “Nobody” here" in plain(look(engineer, scope="maker", maker="Nobody"))

    def test_errors_stand_beside_their_field_and_nothing_is_lost(self, engineer, product):
        answer = look(engineer, claim="limit-at-least", scope="maker", maker="Kelvarn", number="warm")
        assert answer.status_code == 422
        assert 'value="warm"' in answer.text
        assert 'id="f-number-error"' in answer.text


class TestTakingBack:
    def test_it_stays_on_record_behind_a_filter(self, engineer, declare):
        declare(scope="bom", product="HL-2")
        answer = engineer.post("/declarations/1/withdraw")
        assert answer.status_code == 303
        assert "it stays on record" in plain(engineer.get(answer.headers["location"]))
        assert "Letter LF-1" not in engineer.get("/declarations").text
        assert "taken back by The engineer" in plain(engineer.get("/declarations?show=all"))
        assert "5 parts of HL-2" in plain(engineer.get("/products/HL-2/wanted"))

    def test_one_that_is_not_there(self, engineer):
        assert engineer.post("/declarations/9/withdraw").status_code == 404

    def test_an_unknown_selection(self, engineer):
        assert engineer.get("/declarations?show=some").status_code == 400
