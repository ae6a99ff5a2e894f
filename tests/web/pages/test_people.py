import re

import pytest

from tests.conftest import PASSWORD
from webapp.store.people import entry_by_id, list_people
from webapp.trade.people import Role

NEW = {"login": "eva", "name": "Eva Tolm", "new_password": "nine iron kettles", "roles": ["engineer", "reviewer"]}


@pytest.fixture
def admin(sign_in):
    return sign_in(Role.ADMINISTRATOR, login="admin")


def version_of(client, person):
    (version,) = re.findall(r'name="version" value="(\d+)"', client.get(f"/people/{person.id}").text)
    return version


def entry(database, person):
    with database.read() as session:
        return entry_by_id(session, person.id)


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("GET", "/people"),
        ("POST", "/people"),
        ("GET", "/people/1"),
        ("POST", "/people/1"),
        ("POST", "/people/1/password"),
    ],
)
def test_only_administrators_come_here(sign_in, method, path):
    data = {**NEW, "version": "1"} if method == "POST" else None
    answer = sign_in(Role.ENGINEER, Role.REVIEWER, Role.MANAGER).request(method, path, data=data)
    assert answer.status_code == 403
    assert "This needs the role administrator; your roles: engineer, manager, reviewer." in answer.text


def test_a_person_is_added_and_can_sign_in(admin, make_client):
    done = admin.post("/people", data=NEW)
    assert (done.status_code, done.headers["location"]) == (303, "/people?done=added")
    page = admin.get(done.headers["location"]).text
    assert "The person is added." in page
    assert "Eva Tolm" in page
    assert "engineer, reviewer" in page
    typed = {"login": "eva", "password": NEW["new_password"]}
    assert make_client().post("/sign-in", data=typed).status_code == 303


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"login": "admin"}, "login"),
        ({"login": "?"}, "login"),
        ({"name": ""}, "name"),
        ({"new_password": "short"}, "new_password"),
        ({"roles": []}, "roles"),
        ({"roles": ["king"]}, "roles"),
    ],
)
def test_a_mistake_is_told_beside_its_field_and_the_rest_is_kept(admin, database, change, field):
    answer = admin.post("/people", data={**NEW, **change})
    assert answer.status_code == 422
    assert f'id="f-{field}-error"' in answer.text
    if field not in ("login", "name"):
        assert 'value="Eva Tolm"' in answer.text
        assert 'value="eva"' in answer.text
    if field != "roles":
        assert re.search(r'value="reviewer" checked', answer.text)
    with database.read() as session:
        assert [entry.person.login for entry in list_people(session)] == ["admin"]


def test_roles_are_changed(admin, database, add_person):
    person = add_person(Role.ENGINEER, login="ida")
    typed = {"version": version_of(admin, person), "name": "Ida V", "roles": ["manager"], "active": "yes"}
    done = admin.post(f"/people/{person.id}", data=typed)
    assert (done.status_code, done.headers["location"]) == (303, "/people?done=changed")
    changed = entry(database, person)
    assert (changed.person.name, changed.person.roles, changed.active) == ("Ida V", {Role.MANAGER}, True)


def test_an_account_is_closed_and_its_sessions_end(admin, sign_in, database):
    ida = sign_in(Role.ENGINEER, login="ida")
    person = next(e.person for e in _everybody(database) if e.person.login == "ida")
    admin.post(f"/people/{person.id}", data={"version": "1", "name": person.name, "roles": ["engineer"]})
    assert not entry(database, person).active
    assert ida.get("/account").status_code == 303
    assert "closed" in admin.get("/people").text


def _everybody(database):
    with database.read() as session:
        return list_people(session)


def test_a_conflict_shows_both_what_is_stored_and_what_was_typed(admin, database, add_person):
    person = add_person(Role.ENGINEER, login="ida")
    seen = version_of(admin, person)
    first = {"version": seen, "name": "First Name", "roles": ["reviewer"], "active": "yes"}
    second = {"version": seen, "name": "Second Name", "roles": ["manager"], "active": "yes"}
    assert admin.post(f"/people/{person.id}", data=first).status_code == 303
    conflict = admin.post(f"/people/{person.id}", data=second)
    assert conflict.status_code == 409
    assert "Somebody else changed this person meanwhile" in conflict.text
    assert "First Name" in conflict.text
    assert 'value="Second Name"' in conflict.text
    assert entry(database, person).person.name == "First Name"
    # The form that came back holds the present version: sending it again is a decision, and works.
    (version,) = re.findall(r'name="version" value="(\d+)"', conflict.text)
    assert admin.post(f"/people/{person.id}", data={**second, "version": version}).status_code == 303
    assert entry(database, person).person.name == "Second Name"


def test_the_last_administrator_cannot_be_removed(admin, database):
    person = _everybody(database)[0].person
    for change in ({"roles": ["engineer"], "active": "yes"}, {"roles": ["administrator"]}):
        answer = admin.post(f"/people/{person.id}", data={"version": "1", "name": person.name, **change})
        assert answer.status_code == 403
        assert "Nobody would be left to administer" in answer.text
    assert admin.get("/people").status_code == 200


def test_a_forgotten_password_is_replaced(admin, add_person, make_client):
    person = add_person(Role.ENGINEER, login="ida")
    assert admin.post(f"/people/{person.id}/password", data={"new_password": "short"}).status_code == 422
    done = admin.post(f"/people/{person.id}/password", data={"new_password": "nine iron kettles"})
    assert done.headers["location"] == f"/people/{person.id}?done=password"
    assert "The password is set" in admin.get(done.headers["location"]).text
    client = make_client()
    assert client.post("/sign-in", data={"login": "ida", "password": PASSWORD}).status_code == 422
    assert client.post("/sign-in", data={"login": "ida", "password": "nine iron kettles"}).status_code == 303


def test_nobody_is_not_found(admin):
    assert admin.get("/people/99").status_code == 404
    assert admin.post("/people/99", data={"version": "1", "name": "x", "roles": ["engineer"]}).status_code == 404
    assert admin.post("/people/99/password", data={"new_password": "nine iron kettles"}).status_code == 404
    assert admin.post("/people/99", data={"name": "x"}).status_code == 422
