"""Tables of people and their roles, and the queries on them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint, delete, func, text
from sqlmodel import Field, Session, SQLModel, col, select

from webapp.store.base import UtcDateTime
from webapp.trade.people import COMMAND_LINE, LOGIN_LENGTH, NAME_LENGTH, Person, Role

_ROLES = ", ".join(f"'{role}'" for role in Role)


class PersonRow(SQLModel, table=True):
    """A person; the login is stored folded, the password only as a hash."""

    __tablename__: ClassVar[str] = "person"
    __table_args__ = (
        UniqueConstraint("login"),
        CheckConstraint(f"length(login) BETWEEN {LOGIN_LENGTH[0]} AND {LOGIN_LENGTH[1]}", name="login_length"),
        CheckConstraint("login = lower(login)", name="login_folded"),
        CheckConstraint(f"length(name) BETWEEN {NAME_LENGTH[0]} AND {NAME_LENGTH[1]}", name="name_length"),
        CheckConstraint("length(password_hash) > 0", name="password_hash_given"),
        CheckConstraint("version >= 1", name="version_positive"),
    )

    id: int | None = Field(default=None, primary_key=True)
    login: str = Field(max_length=LOGIN_LENGTH[1])
    name: str = Field(max_length=NAME_LENGTH[1])
    password_hash: str = Field(max_length=255)
    active: bool = True
    is_demo: bool = False
    created_at: datetime = Field(sa_type=UtcDateTime)
    version: int = 1


class PersonRoleRow(SQLModel, table=True):
    """One role of one person."""

    __tablename__: ClassVar[str] = "person_role"
    __table_args__ = (CheckConstraint(f"role IN ({_ROLES})", name="role_known"),)

    person_id: int = Field(sa_column_args=[ForeignKey("person.id", ondelete="CASCADE")], primary_key=True)
    role: str = Field(max_length=20, primary_key=True)


@dataclass(frozen=True, slots=True)
class PersonEntry:
    """A person with what the list of people shows."""

    person: Person
    active: bool
    is_demo: bool
    created_at: datetime
    version: int


def row_by_login(session: Session, login: str) -> PersonRow | None:
    """The person with this (folded) login."""
    return session.exec(select(PersonRow).where(PersonRow.login == login)).one_or_none()


def people_exist(session: Session) -> bool:
    """Whether there is anybody at all; the account of the command line is nobody."""
    return session.exec(select(PersonRow.id).where(PersonRow.login != COMMAND_LINE).limit(1)).first() is not None


def demo_people_exist(session: Session) -> bool:
    """Whether there is an active demo account."""
    query = select(PersonRow.id).where(col(PersonRow.is_demo), col(PersonRow.active)).limit(1)
    return session.exec(query).first() is not None


def own_people_exist(session: Session) -> bool:
    """Whether there is anybody who is no demo account."""
    return session.exec(select(PersonRow.id).where(~col(PersonRow.is_demo)).limit(1)).first() is not None


def roles_of(session: Session, person_id: int) -> frozenset[Role]:
    """The roles of one person."""
    names = session.exec(select(PersonRoleRow.role).where(PersonRoleRow.person_id == person_id))
    return frozenset(Role(name) for name in names)


def person_from(session: Session, row: PersonRow) -> Person:
    """The person of a stored row, with the roles."""
    person_id = stored_id(row)
    return Person(person_id, row.login, row.name, roles_of(session, person_id))


def stored_id(row: PersonRow) -> int:
    """The id of a row that has been stored."""
    if row.id is None:
        raise ValueError("the row is not stored yet")
    return row.id


def list_people(session: Session) -> list[PersonEntry]:
    """Everybody, by login."""
    roles: dict[int, set[Role]] = {}
    for person_id, role in session.exec(select(PersonRoleRow.person_id, PersonRoleRow.role)):
        roles.setdefault(person_id, set()).add(Role(role))
    rows = session.exec(select(PersonRow).order_by(PersonRow.login))
    return [_entry(row, frozenset(roles.get(stored_id(row), ()))) for row in rows]


def entry_by_id(session: Session, person_id: int) -> PersonEntry | None:
    """One person as the list shows them."""
    row = session.get(PersonRow, person_id)
    return None if row is None else _entry(row, roles_of(session, person_id))


def _entry(row: PersonRow, roles: frozenset[Role]) -> PersonEntry:
    person = Person(stored_id(row), row.login, row.name, roles)
    return PersonEntry(person, row.active, row.is_demo, row.created_at, row.version)


def replace_roles(session: Session, person_id: int, roles: Iterable[Role]) -> None:
    """Give the person exactly ``roles``."""
    session.exec(delete(PersonRoleRow).where(col(PersonRoleRow.person_id) == person_id))
    session.add_all(PersonRoleRow(person_id=person_id, role=role) for role in sorted(roles))
    session.flush()


def active_administrators(session: Session) -> int:
    """How many people can sign in and administer."""
    query = (
        select(func.count())
        .select_from(PersonRow)
        .join(PersonRoleRow, col(PersonRoleRow.person_id) == col(PersonRow.id))
        .where(col(PersonRow.active), PersonRoleRow.role == Role.ADMINISTRATOR)
    )
    return session.exec(query).one()


def lock_people(session: Session) -> None:
    """Keep others from changing people until this command ends.

    "The first person" and "the last administrator" are about all rows together, which no row lock protects. On SQLite
    a command holds the only write lock already.
    """
    if session.get_bind().dialect.name == "postgresql":
        session.connection().execute(text("LOCK TABLE person IN SHARE ROW EXCLUSIVE MODE"))
