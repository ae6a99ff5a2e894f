import re

import pytest
from fastapi import Form
from jinja2 import TemplateError

from webapp.errors import ConflictError, InvalidInputError, NotAllowedError, TooManyTriesError
from webapp.trade.people import Role
from webapp.web.numbers import PageNumber

JSON = {"Accept": "application/json"}
FRAGMENT = {"HX-Request": "true", "HX-Request-Type": "partial"}


@pytest.fixture
def app(app):
    """The app with pages that fail in different ways."""
    errors = {
        "conflict": ConflictError("Somebody was faster.", field="version"),
        "input": InvalidInputError("No such number.", field="qty", code="no_number"),
        "role": NotAllowedError("Not yours."),
        "tries": TooManyTriesError("Wait a little."),
        "mistake": KeyError("inside"),
    }

    @app.get("/help/error/{kind}")
    def fail(kind: str):
        raise errors[kind]

    @app.get("/help/number/{n}")
    def number(n: int, page: PageNumber = 1):
        return {"n": n}

    @app.post("/help/form")
    def form(qty: int = Form()):
        return {"qty": qty}

    return app


@pytest.mark.parametrize(
    ("kind", "status", "title", "message"),
    [
        ("conflict", 409, "Changed in between", "Somebody was faster."),
        ("input", 422, "That does not hold", "No such number."),
        ("role", 403, "Not allowed", "Not yours."),
        ("tries", 429, "Too many tries", "Wait a little."),
        ("mistake", 500, "Something went wrong", "Something went wrong on our side."),
    ],
)
def test_an_error_is_a_page_a_fragment_or_json_as_the_request_can_use(client, kind, status, title, message):
    page = client.get(f"/help/error/{kind}")
    assert page.status_code == status
    assert message in page.text
    assert f"<title>{title} " in " ".join(page.text.split())
    assert re.search(f"<h1[^>]*>{title}</h1>", page.text)
    assert "<html" in page.text
    assert page.headers["X-Request-ID"] in page.text
    fragment = client.get(f"/help/error/{kind}", headers=FRAGMENT)
    assert fragment.status_code == status
    assert message in fragment.text
    assert "<html" not in fragment.text
    document = client.get(f"/help/error/{kind}", headers=JSON)
    assert document.status_code == status
    assert document.headers["content-type"] == "application/problem+json"
    assert document.json()["detail"].startswith(message)
    assert document.json()["status"] == status


def test_problem_json_has_the_members_of_rfc_9457_and_ours(client):
    response = client.get("/help/error/input", headers=JSON)
    document = response.json()
    # RFC 9110 renamed 422; which of the two names it is depends on the Python.
    assert document.pop("title") in ("Unprocessable Entity", "Unprocessable Content")
    assert document == {
        "type": "about:blank",
        "status": 422,
        "detail": "No such number.",
        "code": "no_number",
        "field": "qty",
        "request_id": response.headers["X-Request-ID"],
    }


@pytest.mark.parametrize(
    ("accept", "kind"),
    [
        ("text/html,application/xhtml+xml,*/*;q=0.8", "text/html"),
        ("*/*", "text/html"),
        ("text/html, application/json", "text/html"),
        ("application/problem+json", "application/problem+json"),
    ],
)
def test_a_browser_gets_the_page(client, accept, kind):
    response = client.get("/help/none", headers={"Accept": accept})
    assert response.headers["content-type"].startswith(kind)


@pytest.mark.parametrize(
    ("method", "path", "status", "code", "field"),
    [
        ("GET", "/help/none", 404, "not_found", None),
        ("GET", "/help/number/abc", 404, "not_found", None),
        ("GET", "/help/number/1?page=abc", 400, "unknown_view", "page"),
        ("POST", "/help/form", 422, "invalid_input", "qty"),
        ("DELETE", "/help", 405, "method_not_allowed", None),
    ],
)
def test_errors_of_the_framework_look_like_ours(client, method, path, status, code, field):
    response = client.request(method, path, headers=JSON)
    document = response.json()
    assert (response.status_code, document["code"], document["field"]) == (status, code, field)
    assert document["detail"].endswith(".")


def test_what_is_allowed_instead_is_said(client):
    assert client.delete("/help").headers["Allow"] == "GET"


def test_text_of_the_request_is_never_markup(client):
    assert "<b>" not in client.get("/help/number/1?page=<b>").text


def test_nobody_signed_in_is_sent_to_sign_in_or_told_in_json(client):
    page = client.get("/people?x=1")
    assert (page.status_code, page.headers["location"]) == (303, "/sign-in?next=/people%3Fx%3D1")
    part = client.get("/people", headers={**FRAGMENT, "HX-Current-URL": "http://127.0.0.1:8000/people/3"})
    assert (part.status_code, part.headers["HX-Redirect"]) == (200, "/sign-in?next=/people/3")
    program = client.get("/people", headers=JSON)
    assert (program.status_code, program.json()["code"]) == (401, "sign_in_needed")


def test_an_error_is_told_even_when_its_page_fails(client, monkeypatch):
    def broken(*_args, **_kwargs):
        raise TemplateError("broken")

    monkeypatch.setattr("webapp.web.problems.render", broken)
    response = client.get("/help/none")
    assert response.status_code == 404
    assert response.text.startswith("There is no page at this address.")
    assert response.headers["X-Request-ID"] in response.text


def test_a_signed_in_person_keeps_the_menu_on_an_error_page(sign_in):
    assert "Sign out" in sign_in(Role.ENGINEER).get("/nothing-here").text
