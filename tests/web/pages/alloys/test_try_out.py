"""A composition on trial."""

import re
from urllib.parse import urlencode

import pytest

from tests.web.pages.wizard import plain
from webapp.trade.people import Role

HTMX = {"HX-Request": "true", "HX-Request-Type": "partial"}
SHARES = "balance=Sn&share_Bi=57&share_Ag=1&share_Cu=0&share_Pb=0&step=0.5"


def value(page, symbol):
    return re.search(rf'name="share_{symbol}"[^>]* value="([^"]*)"', page.text)[1]


def test_it_starts_from_an_alloy(engineer):
    page = engineer.get("/alloys/try?alloy=Sn60Bi40")
    assert (value(page, "Bi"), value(page, "Ag")) == ("40", "0")
    text = plain(page)
    assert "138.8 °C" in text
    assert "174.8 °C" in text
    # All of it, also what takes longer.
    assert "If the composition moves" in text
    assert page.text.count('class="line line-') == 2


def test_a_typed_composition_is_taken(engineer):
    page = engineer.get("/alloys/try", params={"composition": "42Sn-57Bi-1Ag"})
    assert (value(page, "Bi"), value(page, "Ag"), value(page, "Cu")) == ("57", "1", "0")
    assert "tin-bismuth with silver" in plain(page)


def test_an_alloy_of_the_tables_is_taken_by_its_short_name(engineer):
    page = engineer.get("/alloys/try", params={"composition": "SAC305"})
    assert (value(page, "Ag"), value(page, "Cu"), value(page, "Bi")) == ("3", "0.5", "0")


def test_an_own_alloy_is_taken_by_its_designation(engineer):
    saved = engineer.post("/alloys/new", data={"designation": "HOUSE43", "composition": "Sn43Bi57"})
    assert saved.status_code == 303
    for asked in ({"composition": "house43"}, {"alloy": "HOUSE43"}):
        page = engineer.get("/alloys/try", params=asked)
        assert (value(page, "Bi"), value(page, "Ag")) == ("57", "0")
        assert '<option value="HOUSE43" selected>' in page.text


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("Sn43Bi50", "The shares sum to 93 wt%, not to 100."),
        ("Xx50Sn50", "is not an element that solders are made of"),
        ("tin!", "cannot be read as a composition"),
    ],
)
def test_what_is_no_composition_is_refused_beside_the_field(engineer, text, message):
    answer = engineer.get("/alloys/try", params={"composition": text})
    assert answer.status_code == 422
    assert message in plain(answer)
    assert re.search(rf'name="composition"[^>]* value="{text}" aria-invalid="true"', answer.text)


@pytest.mark.parametrize(
    ("change", "composition"),
    [
        ("Bi+", "Sn41.5Bi57.5Ag1"),
        ("Bi-", "Sn42.5Bi56.5Ag1"),
        ("Ag-", "Sn42.5Bi57Ag0.5"),
        ("Cu-", "Sn42Bi57Ag1"),
        ("", "Sn42Bi57Ag1"),
    ],
)
def test_without_a_script_a_step_leads_to_its_address(engineer, change, composition):
    answer = engineer.get(f"/alloys/try?{SHARES}&{urlencode({'change': change})}")
    assert answer.status_code == 303
    assert answer.headers["location"] == f"/alloys/try?composition={composition}"
    assert engineer.get(answer.headers["location"]).status_code == 200


def test_a_share_may_carry_a_per_cent_sign(engineer):
    answer = engineer.get("/alloys/try", params={"balance": "Sn", "share_Bi": "57.6 %", "share_Ag": "0,4 wt%"})
    assert answer.headers["location"] == "/alloys/try?composition=Sn42Bi57.6Ag0.4"


def test_the_step_is_kept_in_the_address(engineer):
    answer = engineer.get(f"/alloys/try?{SHARES.replace('step=0.5', 'step=0.1')}&change=Bi%2B")
    assert answer.headers["location"] == "/alloys/try?composition=Sn41.9Bi57.1Ag1&step=0.1"


class TestWithAScript:
    def test_only_the_piece_is_answered_and_the_address_follows(self, engineer):
        answer = engineer.get(f"/alloys/try?{SHARES}&change=Bi%2B", headers=HTMX)
        assert answer.status_code == 200
        assert "<html" not in answer.text
        assert answer.headers["HX-Replace-Url"] == "/alloys/try?composition=Sn41.5Bi57.5Ag1"
        assert value(answer, "Bi") == "57.5"
        assert "41.5 wt%" in plain(answer)
        # Three elements are quick: slopes and freezing come along.
        assert 'id="more" hx-swap-oob' in answer.text
        assert "If the composition moves" in answer.text

    def test_of_four_elements_what_takes_longer_is_asked_for_next(self, engineer):
        answer = engineer.get("/alloys/try?balance=Sn&share_Bi=57&share_Ag=1&share_Cu=0.5", headers=HTMX)
        assert "If the composition moves" not in answer.text
        assert answer.text.count('class="line line-') == 1
        address = re.search(r'hx-get="(/alloys/try/more[^"]*)"', answer.text)[1]
        more = engineer.get(address, headers=HTMX)
        assert more.status_code == 200
        assert "If the composition moves" in more.text
        assert 'id="melting-figure" hx-swap-oob' in more.text
        assert more.text.count('class="line line-') == 2

    def test_what_is_no_number_is_said_beside_its_field_and_kept(self, engineer):
        answer = engineer.get("/alloys/try?balance=Sn&share_Bi=5x&share_Ag=1", headers=HTMX)
        assert answer.status_code == 422
        assert "“5x” is no number." in plain(answer)
        assert (value(answer, "Bi"), value(answer, "Ag")) == ("5x", "1")
        assert 'aria-describedby="f-share_Bi-error"' in answer.text
        assert "HX-Replace-Url" not in answer.headers

    @pytest.mark.parametrize(
        ("shares", "message"),
        [
            ("share_Bi=80&share_Pb=30", "The shares sum to 110 wt%: nothing is left for Sn."),
            ("share_Bi=-1", "−1 is outside 0 to 100 wt%."),
            ("share_Bi=nan", "is no number"),
            ("share_Bi=inf", "is no number"),
        ],
    )
    def test_what_cannot_be_is_said(self, engineer, shares, message):
        answer = engineer.get(f"/alloys/try?balance=Sn&{shares}", headers=HTMX)
        assert answer.status_code == 422
        assert message in plain(answer)

    def test_a_step_that_leaves_nothing_is_said_at_its_field(self, engineer):
        answer = engineer.get("/alloys/try?balance=Sn&share_Bi=99.8&share_Ag=0&step=0.5&change=Ag%2B", headers=HTMX)
        assert answer.status_code == 422
        assert 'id="f-share_Ag-error"' in answer.text
        assert value(answer, "Ag") == "0.5"


def test_shares_of_what_is_no_element_are_refused(engineer):
    assert engineer.get("/alloys/try?balance=Sn&share_Qq=1").status_code == 422
    assert engineer.get("/alloys/try?balance=Qq&share_Bi=1").status_code == 422
    assert engineer.get("/alloys/try?alloy=Nix").status_code == 404


def test_a_composition_not_covered_says_so(engineer):
    page = engineer.get("/alloys/try?composition=Sn50In50")
    assert page.status_code == 200
    text = plain(page)
    assert "Not covered · The thermodynamic data hold no indium" in text
    assert "indium" in text
    assert value(page, "In") == "50"
    assert "Density" in text


def test_a_decimal_comma_is_understood(engineer):
    answer = engineer.get("/alloys/try", params={"balance": "Sn", "share_Bi": "57,5"})
    assert answer.headers["location"] == "/alloys/try?composition=Sn42.5Bi57.5"


def test_what_takes_longer_alone_is_no_page(engineer):
    answer = engineer.get("/alloys/try/more?composition=Sn50Bi50")
    assert (answer.status_code, answer.headers["location"]) == (303, "/alloys/try?composition=Sn50Bi50")
    assert engineer.get("/alloys/try/more?composition=zzz", headers=HTMX).status_code == 422


def test_an_engineer_may_save_it_as_an_alloy(engineer, sign_in):
    address = 'href="/alloys/new?composition=Sn50Bi50"'
    page = engineer.get("/alloys/try?composition=Sn50Bi50").text
    assert address in page
    assert engineer.get("/alloys/new?composition=Sn50Bi50").status_code == 200
    assert address not in sign_in(Role.REVIEWER).get("/alloys/try?composition=Sn50Bi50").text
    # One that there is needs no saving.
    assert "/alloys/new" not in engineer.get("/alloys/try?composition=Sn42Bi58").text
