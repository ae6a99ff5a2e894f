import json

import pytest
from typer.testing import CliRunner

from webapp.cli.main import app
from webapp.desk import demo
from webapp.trade.people import Role


@pytest.fixture
def run(settings, monkeypatch, passwords):
    monkeypatch.setenv("MELTLINE_DATA_DIR", str(settings.data_dir))
    monkeypatch.setattr("webapp.cli.demo.Passwords", lambda: passwords)
    return lambda *arguments: CliRunner().invoke(app, ["demo", "reset", *arguments])


def test_the_demo_is_loaded_anew(run, settings):
    settings.files_dir.mkdir(parents=True)
    (settings.files_dir / "upload").write_text("x")
    result = run("--yes", "--json")
    assert result.exit_code == 0, result.output
    said = json.loads(result.stdout)
    assert said["people"] == [person.login for person in demo.DEMO_PEOPLE]
    assert (said["products_not_loaded"], said["reviews_not_loaded"]) == ({}, "")
    assert not (settings.files_dir / "upload").exists()
    assert run("--yes").exit_code == 0


def test_without_yes_nothing_happens(run, settings):
    result = run()
    assert result.exit_code == 2
    assert "--yes" in result.stderr
    assert not settings.data_dir.exists()


def test_people_of_their_own_are_kept(run, database, add_person):
    add_person(Role.ADMINISTRATOR)
    database.close()
    assert run("--yes").exit_code == 2
    assert run("--yes", "--own-people-too").exit_code == 0


def test_a_server_database_is_refused(run):
    result = run("--yes", "--db", "postgresql+psycopg://db.example/x")
    assert (result.exit_code, result.stderr) == (2, "Only a local SQLite database can be reset.\n")
