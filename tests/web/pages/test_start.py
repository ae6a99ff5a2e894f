import pytest

from webapp.trade.people import Role


@pytest.mark.parametrize(
    ("roles", "primary", "links"),
    [
        ([Role.ENGINEER], "/uploads/new", {"/uploads/new", "/products"}),
        ([Role.REVIEWER], "/products", {"/products"}),
        ([Role.MANAGER], "/products", {"/products"}),
        ([Role.ADMINISTRATOR], "/people", {"/people"}),
        ([Role.ENGINEER, Role.ADMINISTRATOR], "/uploads/new", {"/uploads/new", "/products", "/people"}),
    ],
)
def test_the_start_page_says_what_to_do_next_by_role(sign_in, roles, primary, links):
    page = sign_in(*roles).get("/").text
    assert f'<a class="button primary" href="{primary}"' in page
    listed = page[page.index("What you can do") :]
    assert {link for link in ("/uploads/new", "/products", "/people") if f'href="{link}"' in listed} == links
