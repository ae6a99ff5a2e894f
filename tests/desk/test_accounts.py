import threading

import pytest

from webapp.desk import accounts, sessions
from webapp.desk.accounts import PersonChange
from webapp.desk.throttle import LIMITS, Kind
from webapp.errors import ConflictError, InvalidInputError, NotAllowedError, NotFoundError, TooManyTriesError
from webapp.store.people import entry_by_id, list_people
from webapp.trade.people import Role

PASSWORD = "seven copper kettles"
ADMIN = frozenset({Role.ADMINISTRATOR})
ENGINEER = frozenset({Role.ENGINEER})


def entry(database, person):
    with database.read() as session:
        return entry_by_id(session, person.id)


def change(database, person, **values):
    now = entry(database, person)
    asked = {"name": now.person.name, "roles": now.person.roles, "active": now.active, "version": now.version}
    with database.command() as session:
        return accounts.change_person(session, person.id, PersonChange(**{**asked, **values}))


@pytest.fixture
def enter(database, passwords, settings):
    """Sign in; gives the token."""

    def sign_in(login, password=PASSWORD):
        typed = sessions.SignInRequest(login, password, "192.0.2.7", on_loopback=False)
        return sessions.sign_in(database, passwords, settings, typed)

    return sign_in


@pytest.fixture
def new(passwords):
    """A checked new person."""

    def make(login, roles=ENGINEER):
        return accounts.new_person(passwords, login=login, name="Ida", password=PASSWORD, roles=roles)

    return make


def test_a_taken_login_is_refused_whatever_its_case(database, add_person, new):
    add_person(Role.ENGINEER, login="ida")
    with pytest.raises(InvalidInputError, match='"ida" is taken') as refused, database.command() as session:
        accounts.add_person(session, new("IDA"))
    assert refused.value.field == "login"


def test_a_weak_password_is_refused_before_anything_is_written(passwords):
    with pytest.raises(InvalidInputError, match="at least 12"):
        accounts.new_person(passwords, login="ida", name="Ida", password="short", roles=ENGINEER)


def test_of_two_first_persons_at_once_one_is_made(database, settings, new):
    outcomes: list[str] = []

    def work(person):
        try:
            accounts.first_person(database, settings, person)
            outcomes.append("made")
        except ConflictError:
            outcomes.append("refused")

    threads = [threading.Thread(target=work, args=(new(login, ADMIN),)) for login in ("ida", "ada", "eva")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["made", "refused", "refused"]
    with database.read() as session:
        assert len(list_people(session)) == 1


def test_the_first_person_is_signed_in(database, settings, new):
    token = accounts.first_person(database, settings, new("ida", ADMIN))
    assert sessions.resume(database, settings, token).person.login == "ida"


def test_the_setup_token_is_asked_for_and_tries_are_counted(database):
    accounts.check_setup_token(database, expected="kettle", given=" kettle\n", address="192.0.2.7")
    for given in ("", "Kettle", "kettlé"):
        with pytest.raises(InvalidInputError) as refused:
            accounts.check_setup_token(database, expected="kettle", given=given, address="192.0.2.7")
        assert refused.value.field == "token"
    for _ in range(LIMITS[Kind.SETUP] - 4):
        with pytest.raises(InvalidInputError):
            accounts.check_setup_token(database, expected="kettle", given="x", address="192.0.2.7")
    with pytest.raises(TooManyTriesError):
        accounts.check_setup_token(database, expected="kettle", given="kettle", address="192.0.2.7")


def test_without_a_setup_token_nothing_is_right(database):
    with pytest.raises(InvalidInputError):
        accounts.check_setup_token(database, expected="", given="", address="192.0.2.7")


def test_a_change_is_stored_and_counts_the_version_up(database, add_person):
    add_person(Role.ADMINISTRATOR)
    person = add_person(Role.ENGINEER, login="ida")
    changed = change(database, person, name=" Ida  Varn ", roles=frozenset({Role.REVIEWER, Role.MANAGER}))
    assert (changed.person.name, changed.person.roles, changed.version) == (
        "Ida Varn",
        {Role.REVIEWER, Role.MANAGER},
        2,
    )
    assert entry(database, person) == changed


def test_a_change_of_what_somebody_else_changed_meanwhile_is_refused(database, add_person):
    add_person(Role.ADMINISTRATOR)
    person = add_person(Role.ENGINEER, login="ida")
    change(database, person, name="First")
    with pytest.raises(ConflictError):
        change(database, person, name="Second", version=1)
    assert entry(database, person).person.name == "First"


@pytest.mark.parametrize("values", [{"roles": ENGINEER}, {"active": False}])
def test_the_last_active_administrator_stays(database, add_person, values):
    admin = add_person(Role.ADMINISTRATOR)
    closed = add_person(Role.ADMINISTRATOR, login="closed")
    change(database, closed, active=False)
    before = entry(database, admin)
    with pytest.raises(NotAllowedError, match="Nobody would be left"):
        change(database, admin, **values)
    assert entry(database, admin) == before, "the refused change leaves nothing behind"
    change(database, closed, active=True)
    change(database, admin, **values)


def test_two_administrators_cannot_remove_each_other_at_once(database, add_person):
    one, two = add_person(Role.ADMINISTRATOR, login="one"), add_person(Role.ADMINISTRATOR, login="two")
    outcomes: list[str] = []

    def work(person):
        try:
            change(database, person, roles=ENGINEER)
            outcomes.append("changed")
        except NotAllowedError:
            outcomes.append("refused")

    threads = [threading.Thread(target=work, args=(person,)) for person in (one, two)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["changed", "refused"]


def test_closing_an_account_ends_its_sessions_for_good(database, settings, add_person, enter):
    add_person(Role.ADMINISTRATOR)
    person = add_person(Role.ENGINEER, login="ida")
    token = enter("ida")
    change(database, person, active=False)
    assert sessions.resume(database, settings, token) is None
    change(database, person, active=True)
    assert sessions.resume(database, settings, token) is None


def test_changed_roles_hold_at_once_in_open_sessions(database, settings, add_person, enter):
    add_person(Role.ADMINISTRATOR)
    person = add_person(Role.ENGINEER, login="ida")
    token = enter("ida")
    change(database, person, roles=frozenset({Role.MANAGER}))
    assert sessions.resume(database, settings, token).person.roles == {Role.MANAGER}


def test_ones_own_password_is_changed_with_the_present_one(database, passwords, settings, add_person, enter):
    add_person(Role.ENGINEER, login="ida")
    token, other = enter("ida"), enter("ida")
    signed_in = sessions.resume(database, settings, token)
    new_token = accounts.change_own_password(database, passwords, signed_in, present=PASSWORD, new="nine iron kettles")
    assert [sessions.resume(database, settings, t) is not None for t in (token, other, new_token)] == [
        False,
        False,
        True,
    ]
    enter("ida", "nine iron kettles")
    with pytest.raises(InvalidInputError):
        enter("ida", PASSWORD)


def test_a_refused_password_change_says_where_and_changes_nothing(database, passwords, settings, add_person, enter):
    add_person(Role.ENGINEER, login="ida")
    signed_in = sessions.resume(database, settings, enter("ida"))
    for present, new, field in (
        ("wrong", "nine iron kettles", "present_password"),
        (PASSWORD, "short", "new_password"),
    ):
        with pytest.raises(InvalidInputError) as refused:
            accounts.change_own_password(database, passwords, signed_in, present=present, new=new)
        assert refused.value.field == field
    enter("ida", PASSWORD)


def test_an_open_screen_is_no_place_for_guessing(database, passwords, settings, add_person, enter):
    add_person(Role.ENGINEER, login="ida")
    signed_in = sessions.resume(database, settings, enter("ida"))
    for _ in range(LIMITS[Kind.PASSWORD]):
        with pytest.raises(InvalidInputError):
            accounts.change_own_password(database, passwords, signed_in, present="wrong", new="nine iron kettles")
    with pytest.raises(TooManyTriesError):
        accounts.change_own_password(database, passwords, signed_in, present=PASSWORD, new="nine iron kettles")


def test_a_password_set_by_an_administrator_ends_all_sessions(database, passwords, settings, add_person, enter):
    person = add_person(Role.ENGINEER, login="ida")
    token = enter("ida")
    accounts.set_password(database, passwords, person.id, "nine iron kettles")
    assert sessions.resume(database, settings, token) is None
    enter("ida", "nine iron kettles")


def test_nobody_is_not_found(database, passwords):
    with pytest.raises(NotFoundError):
        accounts.set_password(database, passwords, 99, "nine iron kettles")
    with pytest.raises(NotFoundError), database.command() as session:
        accounts.change_person(session, 99, PersonChange("x", ENGINEER, active=True, version=1))
