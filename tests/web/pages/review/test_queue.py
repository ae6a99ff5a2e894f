import csv
import io

import pytest

from tests.web.pages.review.conftest import GROUP
from tests.web.pages.wizard import plain
from webapp.trade.people import Role


def test_the_part_that_blocks_comes_first_over_both_products(reviewer):
    page = reviewer.get("/review?today=too")
    assert "Start with GR-104-X7" in plain(page)
    # R1 and R2 in each of the two products.
    assert "blocks GR-104-X7 2 2 4" in plain(page)
    assert GROUP.replace("&", "&amp;") in page.text


def test_the_filters_stand_in_the_address_and_in_words(reviewer):
    page = plain(reviewer.get("/review?product=HL-3&verdict=blocks&today=too"))
    assert "Waiting for a decision, verdict “blocks”, product HL-3: 1 finding on 1 part or check." in page
    assert "Nothing like that" in plain(reviewer.get("/review?q=nowhere"))


@pytest.mark.parametrize("query", ["verdict=gain", "check=x", "show=x", "today=maybe", "format=pdf"])
def test_what_there_is_not_is_refused_in_words(reviewer, query):
    answer = reviewer.get(f"/review?{query}")
    assert answer.status_code == 400
    assert "is no " in plain(answer)


def test_the_file_holds_what_is_shown(reviewer):
    answer = reviewer.get("/review?verdict=blocks&today=too&format=csv")
    (row,) = csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline=""))
    assert (row["Gravest"], row["About"], row["Findings"], row["Products"]) == ("blocks", "GR-104-X7", "2", "2")
    assert reviewer.get("/review?format=xlsx").content.startswith(b"PK")


def test_others_read(reviewer, sign_in):
    page = sign_in(Role.MANAGER).get("/review")
    assert "Deciding needs the role reviewer." in plain(page)
    assert "at once" not in plain(page)


def test_an_empty_queue_says_when_something_comes(sign_in):
    assert "Nothing waits" in plain(sign_in(Role.REVIEWER).get("/review"))
