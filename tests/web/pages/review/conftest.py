"""Two products in which the same resistor blocks, and a reviewer's browser."""

import html
import re

import pytest
from sqlmodel import select

from tests.desk.reviewing import state
from tests.web.pages.made import make_product
from webapp.store import product_reads
from webapp.store.parts import PartRow
from webapp.trade.people import Role

GROUP = "/review/group?today=too&key=part+kelvarn%7Cgr-104-x7"


@pytest.fixture
def maker(add_person):
    """The engineer who makes the products."""
    return add_person(Role.ENGINEER, login="maker")


@pytest.fixture
def two(database, settings, maker):
    """HL-2 and HL-3, whose resistor GR-104-X7 stands 170 °C only, on a route that peaks above; their ids."""
    codes = [make_product(database, settings, maker, code) for code in ("HL-2", "HL-3")]
    with database.read() as session:
        ids = [product_reads.product_by_code(session, code).id for code in codes]
        part = session.exec(select(PartRow.id).where(PartRow.mpn == "GR-104-X7")).one()
    state(database, maker, part, "limit_c", "170", *ids)
    return ids


@pytest.fixture
def reviewer(two, sign_in):
    """A browser in which a reviewer is signed in; the products are there."""
    return sign_in(Role.REVIEWER)


def marks(page):
    """The findings that the page's form sends when ticked."""
    return re.findall(r'name="shown" value="([^"]+)" form="decide"', page.text)


def hidden_fields(page):
    """The hidden fields of the form that signs, as pairs."""
    form = next(part for part in page.text.split("<form")[1:] if 'action="/review/sign"' in part).split("</form>")[0]
    found = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', form)
    fields = {}
    for name, value in found:
        fields.setdefault(name, []).append(html.unescape(value))
    return fields
