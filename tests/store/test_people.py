import pytest
from sqlalchemy.exc import IntegrityError

from webapp.store import people
from webapp.store.base import utc_now
from webapp.store.people import PersonRoleRow, PersonRow
from webapp.trade.people import Role

GOOD = {"login": "ida", "name": "Ida", "password_hash": "x", "active": True, "is_demo": False, "version": 1}


@pytest.mark.parametrize(
    "wrong",
    [
        {"login": "i"},
        {"login": "i" * 65},
        {"login": "Ida"},
        {"name": ""},
        {"name": "i" * 121},
        {"password_hash": ""},
        {"version": 0},
    ],
)
def test_the_database_repeats_the_limits_of_the_forms(database, wrong):
    with pytest.raises(IntegrityError), database.command() as session:
        session.add(PersonRow(created_at=utc_now(), **{**GOOD, **wrong}))


def test_a_login_is_there_once(database, add_person):
    add_person(Role.ENGINEER, login="ida")
    with pytest.raises(IntegrityError), database.command() as session:
        session.add(PersonRow(created_at=utc_now(), **GOOD))


def test_roles_are_known_ones(database, add_person):
    person = add_person(Role.ENGINEER)
    with pytest.raises(IntegrityError), database.command() as session:
        session.add(PersonRoleRow(person_id=person.id, role="king"))


def test_roles_go_with_their_person(database, add_person):
    person = add_person(Role.ENGINEER, Role.REVIEWER)
    with database.command() as session:
        session.delete(session.get(PersonRow, person.id))
    with database.read() as session:
        assert people.roles_of(session, person.id) == frozenset()


def test_the_list_has_everybody_by_login_with_their_roles(database, add_person):
    add_person(Role.REVIEWER, Role.MANAGER, login="zoe")
    add_person(Role.ENGINEER, login="ada", is_demo=True)
    with database.read() as session:
        everybody = people.list_people(session)
        assert [(e.person.login, e.person.roles, e.is_demo) for e in everybody] == [
            ("ada", {Role.ENGINEER}, True),
            ("zoe", {Role.REVIEWER, Role.MANAGER}, False),
        ]
        assert people.entry_by_id(session, everybody[1].person.id) == everybody[1]
        assert people.entry_by_id(session, 999) is None


def test_who_is_there(database, add_person):
    with database.read() as session:
        assert not people.people_exist(session)
    add_person(Role.ADMINISTRATOR, login="demo", is_demo=True)
    with database.read() as session:
        assert people.people_exist(session)
        assert people.demo_people_exist(session)
        assert not people.own_people_exist(session)
        assert people.active_administrators(session) == 1
    add_person(Role.ENGINEER, login="own")
    with database.command() as session:
        people.row_by_login(session, "demo").active = False
    with database.read() as session:
        assert not people.demo_people_exist(session)
        assert people.own_people_exist(session)
        assert people.active_administrators(session) == 0


def test_a_row_not_stored_has_no_id():
    with pytest.raises(ValueError, match="not stored"):
        people.stored_id(PersonRow(created_at=utc_now(), **GOOD))
