import json
import re

import pytest
from typer.testing import CliRunner

from webapp.cli.main import app
from webapp.desk import sessions
from webapp.settings import Settings
from webapp.store.engine import open_database

PASSWORD = "seven copper kettles"


@pytest.fixture
def db(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return f"sqlite:///{tmp_path / 'x.sqlite3'}"


@pytest.fixture
def run(db, monkeypatch, passwords):
    """Run a command on a database of its own, hashing cheaply."""
    monkeypatch.setattr("webapp.cli.people.Passwords", lambda: passwords)

    def invoke(*arguments, stdin=""):
        return CliRunner().invoke(app, ["people", *arguments, "--db", db], input=stdin)

    return invoke


def can_sign_in(db, cheap, login, password):
    database = open_database(db)
    typed = sessions.SignInRequest(login, password, "127.0.0.1", on_loopback=True)
    try:
        return bool(sessions.sign_in(database, cheap, Settings(), typed))
    finally:
        database.close()


def test_the_first_administrator_is_added_on_a_new_database(run, db, passwords):
    result = run(
        "add", "Ida", "--name", "Ida Varnholm", "--role", "administrator", "--role", "engineer", stdin=PASSWORD + "\n"
    )
    assert result.exit_code == 0, result.output
    assert re.split(" {2,}", result.stdout.splitlines()[1]) == [
        "ida",
        "Ida Varnholm",
        "administrator, engineer",
        "active",
    ]
    assert PASSWORD not in result.output
    assert can_sign_in(db, passwords, "ida", PASSWORD)


def test_the_password_is_no_argument(run):
    result = run("add", "ida", "--name", "Ida", "--role", "engineer", "--password", PASSWORD)
    assert result.exit_code == 2
    assert "No such option" in result.stderr


@pytest.mark.parametrize(
    ("arguments", "stdin", "field"),
    [
        (["ida", "--name", "Ida", "--role", "king"], PASSWORD, "roles"),
        (["i", "--name", "Ida", "--role", "engineer"], PASSWORD, "login"),
        (["ida", "--name", "", "--role", "engineer"], PASSWORD, "name"),
        (["ida", "--name", "Ida", "--role", "engineer"], "short", "new_password"),
        (["ida", "--name", "Ida", "--role", "engineer"], "", "new_password"),
    ],
)
def test_what_does_not_hold_is_refused_with_its_field(run, arguments, stdin, field):
    result = run("add", *arguments, "--json", stdin=stdin)
    assert result.exit_code == 2
    assert json.loads(result.stdout)["error"]["field"] == field
    assert len(result.stderr.splitlines()) == 1
    assert json.loads(run("list", "--json").stdout) == {"people": []}


def test_the_list_as_table_and_as_json(run):
    for login in ("zoe", "ada"):
        run("add", login, "--name", login.title(), "--role", "reviewer", stdin=PASSWORD)
    assert [line.split()[0] for line in run("list").stdout.splitlines()] == ["login", "ada", "zoe"]
    first = json.loads(run("list", "--json").stdout)["people"][0]
    assert {**first, "created_at": ...} == {
        "login": "ada",
        "name": "Ada",
        "roles": ["reviewer"],
        "active": True,
        "demo": False,
        "created_at": ...,
    }


def test_roles_are_set_but_never_the_last_administrator_removed(run):
    run("add", "ida", "--name", "Ida", "--role", "administrator", stdin=PASSWORD)
    result = run("roles", "IDA", "--role", "administrator", "--role", "manager", "--json")
    assert json.loads(result.stdout)["roles"] == ["administrator", "manager"]
    refused = run("roles", "ida", "--role", "manager")
    assert refused.exit_code == 2
    assert "Nobody would be left" in refused.stderr
    assert run("roles", "nobody", "--role", "manager").exit_code == 2


def test_a_password_is_replaced(run, db, passwords):
    run("add", "ida", "--name", "Ida", "--role", "engineer", stdin=PASSWORD)
    assert run("password", "ida", stdin="nine iron kettles\n").exit_code == 0
    assert can_sign_in(db, passwords, "ida", "nine iron kettles")
    assert run("password", "nobody", stdin="nine iron kettles\n").exit_code == 2
