import pytest
from fastapi import Request

from webapp.web.addresses import LONGEST, local_address, sign_in_address


@pytest.mark.parametrize(
    "good", ["/", "/uploads/5/columns", "/products?sort=-code&page=2", "/a%20b", "/x?next=http://a.example"]
)
def test_our_own_addresses_pass(good):
    assert local_address(good) == good


@pytest.mark.parametrize(
    "bad",
    [
        "",
        "products",
        "http://evil.example/",
        "https:evil.example",
        "//evil.example",
        "///evil.example",
        "/\\evil.example",
        "\\\\evil.example",
        "/x\\..\\evil",
        "/\t/evil.example",
        "/\n/evil.example",
        "/ /evil.example",
        " /products",
        "javascript:alert(1)",
        "/prod\u00fckt",
        "/sign-in?next=/sign-in",
        "/sign-out",
        "/sign-out/",
        "/setup",
        "/" + LONGEST * "x",
    ],
)
def test_everything_else_leads_to_the_start_page(bad):
    assert local_address(bad) == "/"


def request(method="GET", path="/uploads/5", query="", **headers):
    named = {"host": "127.0.0.1:8000", **{name.replace("_", "-"): value for name, value in headers.items()}}
    scope = {
        "type": "http",
        "method": method,
        "path": path,
        "query_string": query.encode(),
        "headers": [(name.encode(), value.encode()) for name, value in named.items()],
        "server": ("127.0.0.1", 8000),
        "scheme": "http",
    }
    return Request(scope)


@pytest.mark.parametrize(
    ("asked", "address"),
    [
        (request(), "/sign-in?next=/uploads/5"),
        (request(query="row=3&x=%2B"), "/sign-in?next=/uploads/5%3Frow%3D3%26x%3D%252B"),
        (request(path="/a b"), "/sign-in?next=/a%2520b"),
        (request(path="/"), "/sign-in"),
        (request(path="//evil.example"), "/sign-in"),
        # A form is no page to come back to: the one it stands on is.
        (request("POST", "/uploads/5/commit"), "/sign-in"),
        (request("POST", referer="http://127.0.0.1:8000/uploads/5/rows?p=2"), "/sign-in?next=/uploads/5/rows%3Fp%3D2"),
        (request("POST", referer="http://evil.example/uploads/6"), "/sign-in"),
        (
            request(hx_request="true", hx_current_url="http://127.0.0.1:8000/uploads/5/rows"),
            "/sign-in?next=/uploads/5/rows",
        ),
    ],
)
def test_the_way_back_after_signing_in(asked, address):
    assert sign_in_address(asked) == address
