"""Adding people, giving them roles, and their passwords."""

from dataclasses import dataclass
from hmac import compare_digest
from secrets import token_urlsafe

from sqlmodel import Session

from webapp.desk import ledger, throttle
from webapp.desk import sessions as desk_sessions
from webapp.desk.passwords import Passwords, check_new_password
from webapp.desk.sessions import SignedIn
from webapp.desk.throttle import Kind
from webapp.errors import ConflictError, InvalidInputError, NotAllowedError, NotFoundError
from webapp.settings import Settings
from webapp.store import people, sessions
from webapp.store.base import utc_now
from webapp.store.engine import Database
from webapp.store.people import PersonEntry, PersonRow
from webapp.trade.ledger import EntryKind
from webapp.trade.people import COMMAND_LINE, Person, Role, folded_login, tidy_name


@dataclass(frozen=True, slots=True)
class NewPerson:
    """A person to be added, checked: build one with ``new_person``."""

    login: str
    name: str
    roles: frozenset[Role]
    password_hash: str
    is_demo: bool = False


def new_person(
    passwords: Passwords, *, login: str, name: str, password: str, roles: frozenset[Role], is_demo: bool = False
) -> NewPerson:
    """Check what was typed and hash the password, before any transaction; InvalidInputError names the field."""
    login, name = folded_login(login), tidy_name(name)
    check_new_password(password, login=login, name=name)
    return NewPerson(login, name, roles, passwords.hash(password), is_demo)


def add_person(session: Session, new: NewPerson, *, by: Person | None = None) -> Person:
    """Add a person; InvalidInputError when the login is taken. ``by``: the administrator, None for a command."""
    people.lock_people(session)
    if people.row_by_login(session, new.login):
        raise InvalidInputError(f'The login "{new.login}" is taken.', field="login")
    row = PersonRow(
        login=new.login, name=new.name, password_hash=new.password_hash, is_demo=new.is_demo, created_at=utc_now()
    )
    session.add(row)
    session.flush()
    person_id = people.stored_id(row)
    people.replace_roles(session, person_id, new.roles)
    person = Person(person_id, row.login, row.name, new.roles)
    detail = {"name": row.name, "roles": sorted(new.roles), "demo": new.is_demo}
    ledger.record(session, by, EntryKind.PERSON_ADDED, f"person {row.login}", detail)
    return person


def first_person(database: Database, settings: Settings, new: NewPerson) -> str:
    """Add the first person and sign them in; the token. ConflictError when there are people already."""
    with database.command() as session:
        people.lock_people(session)
        if people.people_exist(session):
            raise ConflictError("There are people already: sign in, or ask an administrator for an account.")
        person = add_person(session, new)
        return desk_sessions.open_session(session, settings, person.id)


def check_setup_token(database: Database, *, expected: str, given: str, address: str) -> None:
    """NotAllowedError unless ``given`` is the token printed on the console; tries are counted by address."""
    throttle.take_try(database, [(Kind.SETUP, address)])
    if not expected or not compare_digest(expected.encode(), given.strip().encode()):
        raise InvalidInputError("This is not the token printed on the console.", field="token")


def command_line_person(database: Database, passwords: Passwords, login: str = "") -> Person:
    """Who a command works for: the active person of that login, or without one the account of the command line.

    That account is made when first needed, is closed and has no roles: nobody can sign in with it. NotFoundError
    (field ``by``) for an unknown login.
    """
    wanted = folded_login(login) if login else COMMAND_LINE
    with database.read() as session:
        row = people.row_by_login(session, wanted)
        if row is not None and (row.active or not login):
            return people.person_from(session, row)
    if login:
        raise NotFoundError(f'There is nobody active with the login "{login}".', field="by")
    hashed = passwords.hash(token_urlsafe(32))
    with database.command() as session:
        row = PersonRow(
            login=COMMAND_LINE, name="Command line", password_hash=hashed, active=False, created_at=utc_now()
        )
        session.add(row)
        session.flush()
        return people.person_from(session, row)


@dataclass(frozen=True, slots=True)
class PersonChange:
    """What an administrator sets on a person, and the version they were looking at."""

    name: str
    roles: frozenset[Role]
    active: bool
    version: int


def change_person(session: Session, person_id: int, change: PersonChange, *, by: Person | None = None) -> PersonEntry:
    """Set name, roles and whether the person may sign in. ``by``: the administrator, None for a command.

    Raises NotFoundError, ConflictError (somebody else changed the person meanwhile) and NotAllowedError (nobody would
    be left to administer).
    """
    people.lock_people(session)
    row = _row(session, person_id)
    if row.version != change.version:
        raise ConflictError("Somebody else changed this person meanwhile. Look at the present values and try again.")
    row.name, row.active = tidy_name(change.name), change.active
    row.version += 1
    people.replace_roles(session, person_id, change.roles)
    if not people.active_administrators(session):
        raise NotAllowedError("Nobody would be left to administer: make somebody else an administrator first.")
    if not change.active:
        sessions.delete_sessions_of(session, person_id)
    session.flush()
    detail = {"name": row.name, "roles": sorted(change.roles), "active": row.active}
    ledger.record(session, by, EntryKind.PERSON_CHANGED, f"person {row.login}", detail)
    return PersonEntry(
        Person(person_id, row.login, row.name, change.roles), row.active, row.is_demo, row.created_at, row.version
    )


def change_own_password(
    database: Database, passwords: Passwords, signed_in: SignedIn, *, present: str, new: str
) -> str:
    """Change the person's own password and end their other sessions; the new token of this one.

    Raises InvalidInputError naming the field, and TooManyTriesError (an open screen must not be used for guessing).
    """
    person = signed_in.person
    subjects = [(Kind.PASSWORD, person.login)]
    throttle.take_try(database, subjects)
    with database.read() as session:
        stored = _row(session, person.id).password_hash
    right, _renewed = passwords.verify(present, stored)
    if not right:
        raise InvalidInputError("This is not your present password.", field="present_password")
    check_new_password(new, login=person.login, name=person.name)
    hashed = passwords.hash(new)
    with database.command() as session:
        throttle.succeeded(session, subjects)
        _row(session, person.id).password_hash = hashed
        return desk_sessions.rotate(session, signed_in)


def set_password(
    database: Database, passwords: Passwords, person_id: int, new: str, *, by: Person | None = None
) -> None:
    """Give a person another password, say because they forgot it; all their sessions end. ``by`` as above."""
    with database.read() as session:
        row = _row(session, person_id)
        login, name = row.login, row.name
    check_new_password(new, login=login, name=name)
    hashed = passwords.hash(new)
    with database.command() as session:
        _row(session, person_id).password_hash = hashed
        sessions.delete_sessions_of(session, person_id)
        ledger.record(session, by, EntryKind.PASSWORD_SET, f"person {login}", {})


def _row(session: Session, person_id: int) -> PersonRow:
    row = session.get(PersonRow, person_id)
    if row is None:
        raise NotFoundError("There is no such person.")
    return row
