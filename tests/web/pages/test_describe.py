import pytest

from tests.web.pages.wizard import hidden, plain
from webapp.trade.people import Role

ADDRESS = "/products/HL-2/describe"


@pytest.fixture
def typed(engineer, product):
    """The form as it stands."""
    version = hidden(engineer.get(ADDRESS).text, "version")
    return {"version": version, "name": "Harbour logger", "label": "Marine", "customer": "Nordhavn", "owner": "maker"}


def test_label_customer_and_owner_stand_in_the_portfolio(engineer, typed):
    done = engineer.post(ADDRESS, data=typed)
    assert done.status_code == 303
    assert "It is saved." in plain(engineer.get(done.headers["location"]))
    page = plain(engineer.get("/portfolio?label=Marine&customer=Nordhavn&owner=maker"))
    assert "Marine · Nordhavn" in page
    assert "The maker" in page


def test_what_does_not_hold_and_what_changed_in_between(engineer, typed):
    wrong = engineer.post(ADDRESS, data={**typed, "owner": "nobody"})
    assert wrong.status_code == 422
    assert "Choose one of the people listed." in plain(wrong)
    engineer.post(ADDRESS, data=typed)
    late = engineer.post(ADDRESS, data={**typed, "label": "River"})
    assert late.status_code == 409
    assert "Label Marine River" in plain(late)
    # Saving again replaces what is stored now.
    assert (
        engineer.post(ADDRESS, data={**typed, "label": "River", "version": hidden(late.text, "version")}).status_code
        == 303
    )


def test_only_engineers(product, sign_in):
    assert sign_in(Role.MANAGER).get(ADDRESS).status_code == 403
