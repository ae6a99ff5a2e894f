import csv
import io
import re
from datetime import timedelta

import pytest

from tests.web.pages.wizard import plain
from webapp.desk import portfolio
from webapp.trade.decisions import today
from webapp.trade.people import Role


@pytest.fixture
def manager(product, sign_in):
    """A manager's browser; HL-2 is there."""
    return sign_in(Role.MANAGER)


def test_a_product_in_one_line_with_what_is_next_and_whose_turn(manager):
    page = manager.get("/portfolio")
    text = plain(page)
    assert "1 product, 1 screened, 0 with nothing open." in text
    assert "HL-2 Harbour logger" in text
    assert "engineer" in text.split("Harbour logger")[1]
    assert 'href="/products/HL-2/findings?' in page.text
    assert 'href="/products/HL-2/wanted"' in page.text


def test_filters_in_the_address(manager):
    assert "No product is like that." in plain(manager.get("/portfolio?q=elsewhere"))
    assert "Not screened: 0 products" in plain(manager.get("/portfolio?gate=none"))
    assert "HL-2" in plain(manager.get("/portfolio?gate=screened&sort=-blocks"))


@pytest.mark.parametrize("query", ["gate=x", "sort=x", "check=x", "format=pdf"])
def test_what_there_is_not_is_refused(manager, query):
    answer = manager.get(f"/portfolio?{query}")
    assert answer.status_code == 400
    assert "is no " in plain(answer)


def test_the_file_holds_what_is_shown(manager):
    answer = manager.get("/portfolio?format=csv")
    (row,) = csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline=""))
    assert (row["Product"], row["Gate"], row["Whose turn"]) == ("HL-2", "screened", "engineer")
    assert manager.get("/portfolio?format=xlsx").content.startswith(b"PK")


def test_the_trend_appears_with_the_second_day(manager, database):
    assert "Over the last 90 days" not in plain(manager.get("/portfolio"))
    for day in (today() - timedelta(days=1), today()):
        with database.command() as session:
            assert portfolio.take_snapshot(session, day)
    page = manager.get("/portfolio")
    assert "Over the last 90 days" in plain(page)
    # From the left edge of the box to its right one.
    assert re.search(r'<polyline points="0\.0,[\d.]+ 160\.0,[\d.]+"', page.text)


def test_an_empty_portfolio_says_what_will_be_here(sign_in):
    assert "Each product will stand here in one line" in plain(sign_in(Role.MANAGER).get("/portfolio"))
