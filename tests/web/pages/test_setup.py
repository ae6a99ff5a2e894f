import pytest

from webapp.desk.throttle import LIMITS, Kind
from webapp.store.people import list_people
from webapp.trade.people import Role
from webapp.web.app import create_app

GOOD = {"token": "kettle-token", "login": "ida", "name": "Ida Varnholm", "new_password": "seven copper kettles"}


def test_the_first_person_is_administrator_and_engineer_and_signed_in(client, database):
    assert client.get("/setup").status_code == 200
    done = client.post("/setup", data=GOOD)
    assert (done.status_code, done.headers["location"]) == (303, "/people")
    assert "Ida Varnholm" in client.get("/people").text
    with database.read() as session:
        (entry,) = list_people(session)
    assert entry.person.roles == {Role.ADMINISTRATOR, Role.ENGINEER}
    assert not entry.is_demo


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"token": "guess"}, "token"),
        ({"token": ""}, "token"),
        ({"login": "i"}, "login"),
        ({"name": " "}, "name"),
        ({"new_password": "short"}, "new_password"),
    ],
)
def test_a_mistake_is_told_beside_its_field_and_the_rest_is_kept(client, database, change, field):
    answer = client.post("/setup", data={**GOOD, **change})
    assert answer.status_code == 422
    assert f'id="f-{field}-error"' in answer.text
    assert "kettles" not in answer.text
    if field != "name":
        assert "Ida Varnholm" in answer.text
    with database.read() as session:
        assert list_people(session) == []


def test_the_token_cannot_be_guessed_for_long(client):
    for _ in range(LIMITS[Kind.SETUP]):
        assert client.post("/setup", data={**GOOD, "token": "guess"}).status_code == 422
    assert client.post("/setup", data=GOOD).status_code == 429


def test_the_set_up_is_shut_once_there_is_somebody(client, add_person):
    add_person(Role.ENGINEER)
    assert client.get("/setup").status_code == 404
    assert client.post("/setup", data=GOOD).status_code == 404


def test_without_a_token_on_the_console_there_is_no_form(settings, database, passwords, client, monkeypatch):
    monkeypatch.setattr(client.app.state, "setup_token", "")
    page = client.get("/setup")
    assert "<form" not in page.text
    assert "python -m webapp people add" in page.text
    assert client.post("/setup", data={**GOOD, "token": ""}).status_code == 422
    assert create_app(settings, database, passwords=passwords).state.setup_token == ""
