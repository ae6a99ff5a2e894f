import re

import pytest

from tests.desk.reviewing import ACCEPT, finding, proved, sign, state
from tests.web.pages.wizard import plain
from webapp.trade.people import Role


@pytest.fixture
def blocking(database, two):
    """The finding that blocks HL-2."""
    return finding(database, two[0], "body-limit", "part")


def test_a_finding_with_its_numbers_authors_and_form(reviewer, blocking):
    page = reviewer.get(f"/review/finding/{blocking.id}")
    text = plain(page)
    assert "Not decided." in text
    assert blocking.sentence in text
    assert "The maker uploaded the BOM." in text
    assert f'value="{blocking.id}.{blocking.fingerprint}"' in page.text


def test_what_would_clear_it_is_worked_out_when_asked_for(reviewer, blocking):
    address = f"/products/HL-2/findings/{blocking.id}/ways"
    assert f'hx-get="{address}"' in reviewer.get(f"/review/finding/{blocking.id}").text
    # 170 °C less 5 K: today's route is compared with it.
    assert "peak 165 °C instead of 180 °C" in plain(reviewer.get(address))


def test_what_is_gone_is_not_found(reviewer):
    assert reviewer.get("/review/finding/999999").status_code == 404


def test_what_was_signed_on_other_inputs_shows_old_and_new_side_by_side(
    reviewer, database, settings, passwords, add_person, maker, two, blocking
):
    signer = proved(database, settings, passwords, add_person(Role.REVIEWER, login="signer"))
    sign(database, settings, signer, ACCEPT, blocking)
    part = blocking.parts[0][0]
    state(database, maker, part, "limit_c", "171", *two)
    again = finding(database, two[0], "body-limit", "part")
    text = plain(reviewer.get(f"/review/finding/{again.id}"))
    assert "Open again: signed on other inputs." in text
    assert "As signed" in text
    changed = re.search(r"170 °C.{0,80}171 °C.{0,80}changed", text)
    assert changed, text
    queue = plain(reviewer.get("/review?show=reopened&today=too"))
    assert "1 finding on 1 part or check." in queue


def test_the_same_inputs_elsewhere_are_offered(reviewer, database, settings, passwords, add_person, two, blocking):
    signer = proved(database, settings, passwords, add_person(Role.REVIEWER, login="signer"))
    sign(database, settings, signer, ACCEPT, blocking)
    other = finding(database, two[1], "body-limit", "part")
    text = plain(reviewer.get(f"/review/finding/{other.id}"))
    assert "Same inputs decided on elsewhere: accepted in HL-2 by The signer on " in text
    assert "Shown by test report 12." in text
