"""Fixtures of the pages about parts: an engineer, their browser, a product with parts."""

import pytest
from sqlmodel import select

from tests.web.pages.made import make_product
from webapp.store.parts import PartRow
from webapp.trade.people import Role


@pytest.fixture
def engineer(sign_in):
    """A browser in which an engineer is signed in."""
    return sign_in(Role.ENGINEER)


@pytest.fixture
def product(database, settings, add_person):
    """The harbour logger HL-2, made from a list; its code."""
    return make_product(database, settings, add_person(Role.ENGINEER, login="maker"))


@pytest.fixture
def part_id(database, product):
    """``part_id("MX-800")`` is the id of the part of that number."""

    def of(number):
        with database.read() as session:
            return session.exec(select(PartRow.id).where(PartRow.mpn == number)).one()

    return of
