import pytest

from tests.conftest import PASSWORD
from tests.statements import statements
from tests.web.pages.made import make_product
from tests.web.pages.review.conftest import GROUP, marks
from tests.web.pages.wizard import plain
from webapp.store import people
from webapp.trade.people import Role


def test_the_findings_of_a_part_in_all_products_with_numbers_and_sources(reviewer):
    page = reviewer.get(GROUP)
    text = plain(page)
    assert "2 findings in 2 products." in text
    assert "HL-2" in text
    assert "HL-3" in text
    # 170 °C as stated; the template's hottest body is above it.
    assert "170 °C" in text
    assert "data sheet rev. 3" in text
    assert len(marks(page)) == 2


def test_an_author_is_told_before_that_somebody_else_has_to_sign(reviewer, database, make_client, maker):
    with database.command() as session:
        people.replace_roles(session, maker.id, [Role.ENGINEER, Role.REVIEWER])
    browser = make_client()
    browser.post("/sign-in", data={"login": maker.login, "password": PASSWORD})
    page = browser.get(GROUP)
    assert "You uploaded the BOM: somebody else has to sign." in plain(page)
    assert marks(page) == []
    assert 'id="decide"' not in page.text


def test_others_see_no_form(reviewer, sign_in):
    page = sign_in(Role.ENGINEER).get(GROUP)
    assert 'action="/review/sign"' not in page.text
    assert "Deciding needs the role reviewer." in plain(page)


def test_a_group_of_which_nothing_is_left_leads_back(reviewer):
    assert "Nothing waits here any more" in plain(reviewer.get("/review/group?today=too&key=part+nobody%7Cnothing"))


@pytest.mark.parametrize("address", [GROUP, "/review/bulk?today=too"])
def test_more_products_take_no_more_queries(reviewer, database, settings, maker, address):
    counts = []
    for code in ("HL-4", "HL-5"):
        made = make_product(database, settings, maker, code)
        with statements(database) as seen:
            assert made in plain(reviewer.get(address))
        counts.append(len(seen))
    assert counts[0] == counts[1]
