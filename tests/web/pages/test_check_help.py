import pytest

from tests.web.pages.wizard import plain
from webapp.checks.declare import registry
from webapp.trade.sources import Status


def test_all_checks_are_listed_for_everybody(client):
    page = client.get("/help/checks")
    assert page.status_code == 200
    for check in registry().values():
        assert f'href="/help/checks/{check.id}"' in page.text
        assert check.question in plain(page)
    for status in Status:
        assert status.words in plain(page)


@pytest.mark.parametrize("check_id", sorted(registry()))
def test_a_check_says_what_it_asks_needs_and_where_it_is_from(client, check_id):
    check = registry()[check_id]
    page = client.get(f"/help/checks/{check_id}")
    assert page.status_code == 200
    text = plain(page)
    for words in (check.title, check.question, *(need.datum for need in check.needs)):
        assert words in text
    for source in check.sources:
        assert source.words in text
    for remedies in check.remedies.values():
        assert all(remedy in text for remedy in remedies)


def test_cells_carry_their_caution(client):
    assert "they never pass an oven unless their maker rates them for it" in plain(
        client.get("/help/checks/never-oven")
    )


def test_a_check_that_is_none(client):
    answer = client.get("/help/checks/odd")
    assert answer.status_code == 404
    assert "There is no check" in plain(answer)
