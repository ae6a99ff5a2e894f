from tests.web.pages.wizard import plain
from webapp.trade.people import Role


def test_the_tour_can_be_read_before_signing_in(client):
    page = client.get("/help/tour")
    assert page.status_code == 200
    assert "Sign in, and the stops lead to the pages themselves." in plain(page)
    assert "/review" not in page.text


def test_it_walks_through_a_product_that_is_there(product, sign_in):
    reviewer = sign_in(Role.REVIEWER)
    page = reviewer.get("/help/tour")
    assert "with HL-2 Harbour logger as the example." in plain(page)
    for address in ("/products/HL-2/setup", "/products/HL-2/route", "/products/HL-2/findings", "/review", "/portfolio"):
        assert f'href="{address}"' in page.text
        assert reviewer.get(address).status_code == 200
