import pytest

from tests.web.pages.wizard import plain
from webapp.trade.people import Role


@pytest.mark.parametrize(
    ("roles", "primary", "links"),
    [
        ([Role.ENGINEER], "/uploads/new", {"/uploads/new", "/products", "/portfolio"}),
        ([Role.REVIEWER], "/review", {"/review", "/portfolio"}),
        ([Role.ADMINISTRATOR], "/people", {"/people", "/audit"}),
        (
            [Role.ENGINEER, Role.ADMINISTRATOR],
            "/uploads/new",
            {"/uploads/new", "/products", "/portfolio", "/people", "/audit"},
        ),
    ],
)
def test_the_start_page_says_what_to_do_next_by_role(sign_in, roles, primary, links):
    page = sign_in(*roles).get("/").text
    assert f'<a class="button primary" href="{primary}"' in page
    listed = page[page.index("What you can do") :]
    every = ("/uploads/new", "/products", "/portfolio", "/review", "/people", "/audit")
    assert {link for link in every if f'href="{link}"' in listed} == links


def test_who_only_manages_begins_with_the_portfolio(sign_in):
    answer = sign_in(Role.MANAGER).get("/")
    assert (answer.status_code, answer.headers["location"]) == (303, "/portfolio")


def test_with_nothing_there_the_tour_is_offered(sign_in):
    page = sign_in(Role.REVIEWER).get("/")
    assert "Nothing waits for you." in plain(page)
    assert "/help/tour" in page.text


def test_real_counts_for_engineer_and_reviewer(product, engineer, sign_in):
    engineer.post("/actions/new", data={"title": "Ask", "owner": "engineer", "due_on": "2026-01-31"})
    text = plain(engineer.get("/"))
    assert "findings that a missing datum would settle" in text
    assert "1 action of yours to do" in text
    assert "Products whose next step is yours" in text
    assert "findings waiting in 1 product" in plain(sign_in(Role.REVIEWER).get("/"))
