"""Ids and pages in addresses: what no database takes never reaches one, on any route."""

import re

import pytest

from webapp.trade.people import Role
from webapp.web.app import create_app
from webapp.web.numbers import MOST_ID, row_id

HUGE = "9" * 30
LISTS = ["/parts", "/products", "/wanted", "/actions", "/portfolio", "/review", "/audit"]


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("7", 7),
        ("0", 0),
        (str(MOST_ID), MOST_ID),
        (str(MOST_ID + 1), None),
        (HUGE, None),
        ("-1", None),
        ("1.0", None),
        ("", None),
        (" 7", None),
    ],
)
def test_ids_are_digits_that_a_column_holds(text, number):
    assert row_id(text) == number


def _numbered(app):
    """Method and address of every route that takes a whole number, with one that is too long in place of each."""
    for path, methods in app.openapi()["paths"].items():
        for method, described in methods.items():
            names = {
                place: [one["name"] for one in described.get("parameters", ()) if _is_whole(one) and one["in"] == place]
                for place in ("path", "query")
            }
            for name in names["path"]:
                address = path.replace("{" + name + "}", HUGE)
                yield method, re.sub(r"{\w+}", "1", address), {}, 404
            for name in names["query"]:
                address = re.sub(r"{\w+}", "1", path)
                yield method, address, {name: HUGE}, 400 if name == "page" else 404


def _is_whole(parameter):
    schema = parameter["schema"]
    return any(one.get("type") == "integer" for one in (schema, *schema.get("anyOf", ())))


def test_every_number_of_every_address_is_bounded(settings, database, passwords):
    app = create_app(settings, database, passwords=passwords, with_openapi=True)
    unbounded = [
        (path, one["name"])
        for path, methods in app.openapi()["paths"].items()
        for described in methods.values()
        for one in described.get("parameters", ())
        if _is_whole(one) and "maximum" not in str(one["schema"])
    ]
    assert unbounded == []


def test_no_route_looks_for_a_number_that_no_column_holds(sign_in, settings, database, passwords):
    client = sign_in(*Role)
    routes = list(_numbered(create_app(settings, database, passwords=passwords, with_openapi=True)))
    assert len(routes) > 40
    found = {
        (method, address, *query): client.request(method, address, params=query).status_code
        for method, address, query, _ in routes
    }
    assert found == {(method, address, *query): status for method, address, query, status in routes}


@pytest.mark.parametrize("page", ["0", "-1", "abc", "1.5", HUGE, "\u0662x"])
@pytest.mark.parametrize("path", LISTS)
def test_what_is_no_page_of_a_list_is_said(sign_in, path, page):
    answer = sign_in(*Role).get(path, params={"page": page}, headers={"Accept": "application/json"})
    assert (answer.status_code, answer.json()["code"], answer.json()["field"]) == (400, "unknown_view", "page")
    assert answer.json()["detail"] == f'"{page}" is no page of a list; pages count from 1.'


@pytest.mark.parametrize("path", [*LISTS, "/declarations"])
def test_a_list_refuses_what_it_does_not_know(sign_in, path):
    answer = sign_in(*Role).get(path, params={"rout": "abc"}, headers={"Accept": "application/json"})
    assert (answer.status_code, answer.json()["code"]) == (400, "unknown_view")
    assert answer.json()["detail"].startswith('There is no "rout" to choose here; there are: ')


@pytest.mark.parametrize("path", LISTS)
def test_past_the_end_a_list_shows_its_last_page(sign_in, path):
    assert sign_in(*Role).get(path, params={"page": "7"}).status_code == 200
