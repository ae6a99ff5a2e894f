import re

import pytest
from fastapi.testclient import TestClient

from tests.conftest import PASSWORD, SAME_ORIGIN
from webapp.desk import demo
from webapp.desk.throttle import LIMITS, Kind
from webapp.trade.people import Role
from webapp.web.app import create_app
from webapp.web.guards import COOKIE


@pytest.fixture
def ida(add_person):
    return add_person(Role.ENGINEER, login="ida")


@pytest.fixture
def enter(client):
    """Send the sign-in form."""

    def post(login="ida", password=PASSWORD, **more):
        return client.post("/sign-in", data={"login": login, "password": password, **more})

    return post


def test_signing_in_leads_back_to_where_the_person_was(ida, client, enter):
    wanted = client.get("/people?done=x")
    page = client.get(wanted.headers["location"])
    (next_page,) = re.findall(r'name="next" value="([^"]*)"', page.text)
    assert next_page == "/people?done=x"
    answer = enter(next=next_page)
    assert (answer.status_code, answer.headers["location"]) == (303, "/people?done=x")


@pytest.mark.parametrize(
    "evil", ["//evil.example", "https://evil.example/", "/\\evil.example", "javascript:alert(1)", "/sign-in"]
)
def test_signing_in_never_leads_elsewhere(ida, client, enter, evil):
    assert "evil" not in client.get("/sign-in", params={"next": evil}).text
    assert enter(next=evil).headers["location"] == "/"
    assert client.get("/sign-in", params={"next": evil}).headers["location"] == "/"


def test_a_form_sent_after_the_session_ended_leads_back_to_its_page(ida, client, enter):
    lost = client.post("/account/password", headers={"Referer": "http://127.0.0.1:8000/account"})
    assert (lost.status_code, lost.headers["location"]) == (303, "/sign-in?next=/account")


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(ida, enter, settings):
    cookie = enter().headers["set-cookie"]
    attributes = {part.strip().casefold() for part in cookie.split(";")[1:]}
    assert attributes == {"httponly", "samesite=lax", "path=/", f"max-age={settings.session_max_hours * 3600}"}


def test_over_https_the_cookie_is_secure(ida, settings, database, passwords):
    app = create_app(settings.model_copy(update={"secure_cookies": True}), database, passwords=passwords)
    client = TestClient(app, base_url="https://127.0.0.1:8000", headers=SAME_ORIGIN, follow_redirects=False)
    answer = client.post("/sign-in", data={"login": "ida", "password": PASSWORD})
    assert "; Secure" in answer.headers["set-cookie"]
    assert "; Secure" in client.post("/sign-out").headers["set-cookie"]


def test_the_session_gets_another_token_at_every_sign_in(ida, client, enter):
    client.cookies.set(COOKIE, "planted", domain="127.0.0.1", path="/")
    enter()
    first = client.cookies[COOKIE]
    assert first != "planted"
    enter()
    assert client.cookies[COOKIE] != first
    client.cookies.set(COOKIE, first, domain="127.0.0.1", path="/")
    assert client.get("/account").status_code == 303


def test_a_wrong_password_keeps_the_login_typed_and_never_the_password(ida, enter):
    answer = enter(password="my secret guess")
    assert answer.status_code == 422
    assert 'value="ida"' in answer.text
    assert 'aria-invalid="true"' in answer.text
    assert "Login or password is not right." in answer.text
    assert "my secret guess" not in answer.text
    assert "set-cookie" not in answer.headers


def test_what_was_typed_is_never_markup(ida, enter):
    assert "<b>" not in enter(login='"><b>').text


def test_too_many_tries_are_refused_with_the_time_to_wait(ida, enter):
    for _ in range(LIMITS[Kind.LOGIN]):
        enter(password="wrong")
    answer = enter()
    assert answer.status_code == 429
    assert "Try again in 15 minutes" in answer.text


def test_password_managers_find_the_fields(ida, client, enter):
    page = client.get("/sign-in").text
    assert 'autocomplete="username"' in page
    assert 'autocomplete="current-password"' in page
    enter()
    account = client.get("/account").text
    assert 'autocomplete="new-password"' in account
    assert "onpaste" not in page + account


def test_demo_accounts_work_at_a_loopback_address_only(settings, database, passwords):
    demo.load_demo(database, passwords)
    person = demo.DEMO_PEOPLE[0]
    typed = {"login": person.login, "password": person.password}
    for base_url, public_host, status in (
        ("http://192.0.2.1:8000", "", 403),
        ("http://127.0.0.1:8000", "melt.example", 403),
        ("http://127.0.0.1:8000", "", 303),
    ):
        app = create_app(settings.model_copy(update={"public_host": public_host}), database, passwords=passwords)
        client = TestClient(app, base_url=base_url, headers=SAME_ORIGIN, follow_redirects=False)
        assert client.post("/sign-in", data=typed).status_code == status


def test_with_nobody_there_the_set_up_comes_first(client):
    assert client.get("/sign-in").headers["location"] == "/setup"


def test_who_is_signed_in_is_not_asked_again(sign_in):
    assert sign_in(Role.ENGINEER).get("/sign-in?next=/account").headers["location"] == "/account"


def test_signing_out_ends_the_session_on_the_server_too(sign_in):
    client = sign_in(Role.ENGINEER)
    token = client.cookies[COOKIE]
    out = client.post("/sign-out")
    assert out.headers["location"] == "/sign-in?done=signed-out"
    assert COOKIE not in client.cookies
    assert "You are signed out." in client.get(out.headers["location"]).text
    client.cookies.set(COOKIE, token, domain="127.0.0.1", path="/")
    assert client.get("/account").status_code == 303


def test_a_link_cannot_sign_anybody_out(sign_in):
    client = sign_in(Role.ENGINEER)
    assert client.get("/sign-out").status_code == 405
    assert client.get("/account").status_code == 200


def test_the_password_is_changed_and_other_sessions_end(sign_in, make_client):
    client, other = sign_in(Role.ENGINEER, login="ida"), make_client()
    other.post("/sign-in", data={"login": "ida", "password": PASSWORD})
    assert "2\u00a0sessions" in client.get("/account").text
    token = client.cookies[COOKIE]
    typed = {"present_password": PASSWORD, "new_password": "nine iron kettles"}
    done = client.post("/account/password", data=typed)
    assert (done.status_code, done.headers["location"]) == (303, "/account?done=password")
    assert client.cookies[COOKIE] != token
    assert "The password is changed" in client.get(done.headers["location"]).text
    assert other.get("/account").status_code == 303
    assert other.post("/sign-in", data={"login": "ida", "password": "nine iron kettles"}).status_code == 303


@pytest.mark.parametrize(
    ("present", "new", "field"),
    [("wrong", "nine iron kettles", "present_password"), (PASSWORD, "short", "new_password")],
)
def test_a_refused_password_is_told_beside_its_field(sign_in, present, new, field):
    client = sign_in(Role.ENGINEER)
    answer = client.post("/account/password", data={"present_password": present, "new_password": new})
    assert answer.status_code == 422
    assert f'id="f-{field}-error"' in answer.text
    assert client.get("/account").status_code == 200


def test_signing_out_everywhere(sign_in, make_client):
    client, other = sign_in(Role.ENGINEER, login="ida"), make_client()
    other.post("/sign-in", data={"login": "ida", "password": PASSWORD})
    out = client.post("/account/sign-out-everywhere")
    assert "You are signed out everywhere." in client.get(out.headers["location"]).text
    assert other.get("/account").status_code == 303
