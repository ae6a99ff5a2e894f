"""``people``: accounts from the command line, the first administrator above all."""

import sys
from typing import Annotated

import typer

from webapp.cli.output import DbOption, JsonOption, emit_json, opened, read_settings, reporting, table
from webapp.desk import accounts
from webapp.desk.passwords import Passwords
from webapp.errors import NotFoundError
from webapp.store.engine import Database
from webapp.store.people import PersonEntry, entry_by_id, list_people, row_by_login, stored_id
from webapp.trade.people import Role, roles_from

app = typer.Typer(no_args_is_help=True, help="Accounts and roles.")

RoleOption = Annotated[list[str], typer.Option("--role", help=f"Give several times for several: {', '.join(Role)}.")]


@app.command("add")
def add(
    login: str,
    name: Annotated[str, typer.Option("--name", help="The person's name.")],
    role: RoleOption,
    db: DbOption = "",
    as_json: JsonOption = False,
) -> None:
    """Add a person. The password is asked for, or read as a line from stdin; it is never an argument."""
    with reporting(as_json=as_json):
        roles = roles_from(role)
        new = accounts.new_person(Passwords(), login=login, name=name, password=_password(), roles=roles)
        with opened(read_settings(db)) as database:
            with database.command() as session:
                person = accounts.add_person(session, new)
            _show(database, person.id, as_json=as_json)


@app.command("list")
def list_all(db: DbOption = "", as_json: JsonOption = False) -> None:
    """List everybody."""
    with reporting(as_json=as_json), opened(read_settings(db)) as database:
        with database.read() as session:
            everybody = list_people(session)
        if as_json:
            emit_json({"people": [_document(entry) for entry in everybody]})
        else:
            typer.echo(_table(everybody))


@app.command("roles")
def set_roles(login: str, role: RoleOption, db: DbOption = "", as_json: JsonOption = False) -> None:
    """Give a person exactly these roles."""
    with reporting(as_json=as_json), opened(read_settings(db)) as database:
        with database.command() as session:
            row = row_by_login(session, login.casefold())
            if row is None:
                raise NotFoundError(f'There is nobody with the login "{login}".', field="login")
            person_id = stored_id(row)
            change = accounts.PersonChange(row.name, roles_from(role), row.active, row.version)
            accounts.change_person(session, person_id, change)
        _show(database, person_id, as_json=as_json)


@app.command("password")
def set_password(login: str, db: DbOption = "", as_json: JsonOption = False) -> None:
    """Give a person another password, asked for or read as a line from stdin; all their sessions end."""
    with reporting(as_json=as_json), opened(read_settings(db)) as database:
        with database.read() as session:
            row = row_by_login(session, login.casefold())
        if row is None:
            raise NotFoundError(f'There is nobody with the login "{login}".', field="login")
        person_id = stored_id(row)
        accounts.set_password(database, Passwords(), person_id, _password())
        _show(database, person_id, as_json=as_json)


def _password() -> str:
    if sys.stdin.isatty():
        return str(typer.prompt("Password", hide_input=True, confirmation_prompt=True, err=True))
    return sys.stdin.readline().rstrip("\r\n")


def _show(database: Database, person_id: int, *, as_json: bool) -> None:
    with database.read() as session:
        entry = entry_by_id(session, person_id)
    if entry is None:
        raise NotFoundError("There is no such person.")
    if as_json:
        emit_json(_document(entry))
    else:
        typer.echo(_table([entry]))


def _document(entry: PersonEntry) -> dict[str, object]:
    return {
        "login": entry.person.login,
        "name": entry.person.name,
        "roles": sorted(entry.person.roles),
        "active": entry.active,
        "demo": entry.is_demo,
        "created_at": entry.created_at.isoformat(timespec="seconds"),
    }


def _table(entries: list[PersonEntry]) -> str:
    rows = [
        (
            entry.person.login,
            entry.person.name,
            ", ".join(sorted(entry.person.roles)),
            ("active" if entry.active else "closed") + (", demo" if entry.is_demo else ""),
        )
        for entry in entries
    ]
    return table(("login", "name", "roles", "account"), rows)
