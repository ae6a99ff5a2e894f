import json
import os

import pytest
import typer

from webapp.cli.output import emit_json, opened, read_settings, reporting, table
from webapp.errors import InvalidInputError
from webapp.store import migrate
from webapp.store.engine import sqlite_path


def test_an_error_is_one_line_on_stderr_and_exit_2(capsys):
    with pytest.raises(typer.Exit) as left, reporting(as_json=False):
        raise InvalidInputError("No such file.", field="file")
    out, err = capsys.readouterr()
    assert (left.value.exit_code, out, err) == (2, "", "No such file.\n")


def test_with_json_the_error_is_a_document_too(capsys):
    with pytest.raises(typer.Exit) as left, reporting(as_json=True):
        raise InvalidInputError("No such file.", field="file")
    out, err = capsys.readouterr()
    assert left.value.exit_code == 2
    assert json.loads(out) == {"error": {"code": "invalid_input", "message": "No such file.", "field": "file"}}
    assert err == "No such file.\n"


def test_what_is_not_finite_never_gets_out(capsys):
    with pytest.raises(ValueError, match="JSON"):
        emit_json({"value": float("nan")})
    emit_json({"wert": "Maß", "unknown": None})
    assert json.loads(capsys.readouterr().out) == {"wert": "Maß", "unknown": None}


def test_db_goes_before_the_settings(monkeypatch):
    monkeypatch.setenv("MELTLINE_DATABASE_URL", "sqlite:///env.db")
    assert read_settings().db_url == "sqlite:///env.db"
    assert read_settings("sqlite:///mine.db").db_url == "sqlite:///mine.db"


def test_a_wrong_setting_is_named(monkeypatch):
    monkeypatch.setenv("MELTLINE_SESSION_IDLE_MINUTES", "soon")
    with pytest.raises(InvalidInputError, match="MELTLINE_SESSION_IDLE_MINUTES"):
        read_settings()


def test_the_database_is_migrated_and_only_its_owners(settings):
    before = os.umask(0o022)
    try:
        with opened(settings) as database:
            assert migrate.is_current(database)
            modes = {path.stat().st_mode & 0o777 for path in settings.data_dir.iterdir()}
        assert modes == {0o600}
        assert settings.data_dir.stat().st_mode & 0o777 == 0o700
        assert os.umask(0o022) == 0o022, "what the process had is put back"
    finally:
        os.umask(before)


def test_a_file_that_others_could_read_is_closed_to_them(settings):
    with opened(settings):
        pass
    path = sqlite_path(settings.db_url)
    path.chmod(0o644)
    with opened(settings):
        assert path.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize(
    "url",
    [
        "no address at all",
        "nosuchkind://x",
        "sqlite:////proc/nowhere/x.db",
        "postgresql+psycopg://nobody@127.0.0.1:1/none?connect_timeout=2",
        "postgresql+nodriver://x/y",
    ],
)
def test_a_database_that_cannot_be_opened_is_refused_in_one_line(settings, url):
    with pytest.raises(InvalidInputError, match=r"^The database cannot be opened: .*\.$") as refused:
        opened(settings.model_copy(update={"database_url": url})).__enter__()
    assert "\n" not in refused.value.message


def test_a_damaged_file_is_refused_and_left_alone(settings):
    settings.data_dir.mkdir()
    path = sqlite_path(settings.db_url)
    path.write_bytes(b"this is no database" * 100)
    with pytest.raises(InvalidInputError, match="cannot be opened"):
        opened(settings).__enter__()
    assert path.read_bytes() == b"this is no database" * 100


def test_a_table_is_aligned():
    assert table(("login", "name"), [("ida", "Ida"), ("bo", "Bo")]) == "login  name\nida    Ida\nbo     Bo"
