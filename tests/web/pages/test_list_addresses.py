"""What holds for all lists alike: their addresses, and the products that they offer."""

import html
import re

import pytest
from sqlmodel import select

from webapp.store.products import ProductRow
from webapp.trade.people import Role

LISTS = [
    "/actions", "/alloys", "/audit", "/declarations", "/figures", "/parts", "/pastes", "/portfolio", "/products",
    "/products/HL-2", "/products/HL-2/findings", "/products/HL-2/wanted", "/review", "/review/bulk",
    "/review/group?key=part+x", "/wanted",
]  # fmt: skip
MANY = 600


@pytest.fixture
def everybody(product, sign_in):
    """A browser in which somebody with all roles is signed in; there is the product HL-2."""
    return sign_in(*Role)


@pytest.mark.parametrize("address", LISTS)
def test_a_name_that_a_list_does_not_know_is_refused(everybody, address):
    assert everybody.get(address).status_code == 200
    answer = everybody.get(f"{address}{'&' if '?' in address else '?'}serach=x")
    assert answer.status_code == 400
    assert re.search(r'There is no "serach" to choose here; there are: [a-z, ]+\.', html.unescape(answer.text))


@pytest.mark.parametrize("address", ["/actions", "/alloys/diagram", "/declarations/new", "/review"])
def test_every_product_is_offered_however_many_there_are(everybody, database, address):
    with database.command() as session:
        template = session.exec(select(ProductRow)).one().model_dump(exclude={"id", "code", "code_key"})
        session.add_all(ProductRow(**template, code=f"ZZ-{n}", code_key=f"zz-{n}") for n in range(MANY))
    page = everybody.get(address)
    assert page.status_code == 200
    assert page.text.count('<option value="ZZ-') == MANY
