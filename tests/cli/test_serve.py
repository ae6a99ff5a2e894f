"""The command as a process of its own, in another folder, and its refusals."""

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from webapp.cli.main import app
from webapp.desk import demo
from webapp.store.people import list_people
from webapp.trade.people import Role

ROOT = Path(__file__).parents[2]


@pytest.fixture
def serve(tmp_path):
    """``serve(...)`` starts the server; (process, lines of the announcement, port). Stopped and checked at the end."""
    running = []

    def start(*arguments, **environment):
        with (tmp_path / "err").open("w") as err:
            process = subprocess.Popen(
                [sys.executable, "-m", "webapp", "serve", "--port", "0", *arguments],
                cwd=tmp_path,
                env={**os.environ, "PYTHONPATH": str(ROOT), "MELTLINE_LOG_JSON": "true", **environment},
                stdout=subprocess.PIPE,
                stderr=err,
                text=True,
            )
        running.append(process)
        first = process.stdout.readline()
        port = re.search(r"http://127\.0\.0\.1:(\d+)", first)
        assert port, first + (tmp_path / "err").read_text()
        return process, first, int(port[1])

    yield start
    for process in running:
        process.kill()
        process.communicate()


def get(port, path, **headers):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.request("GET", path, headers=headers)
    response = connection.getresponse()
    answer = response.status, response.headers, response.read().decode()
    connection.close()
    return answer


def test_a_new_installation_migrates_serves_and_stops(serve, tmp_path):
    process, _, port = serve()
    lines = [process.stdout.readline() for _ in range(3)]
    assert lines[1] == f"Nobody has an account yet. Make the first one at http://127.0.0.1:{port}/setup\n"
    assert re.fullmatch(r"Set-up token: \S{16}\n", lines[2])
    assert get(port, "/readyz")[0] == 200
    status, headers, _ = get(port, "/")
    assert (status, headers["location"]) == (303, "/sign-in")
    assert "server" not in headers
    assert get(port, "/static/css/tokens.css")[0] == 200
    assert {path.stat().st_mode & 0o777 for path in (tmp_path / "var").iterdir()} == {0o600}
    process.send_signal(signal.SIGTERM)
    rest, _ = process.communicate(timeout=30)
    assert process.returncode in (0, -signal.SIGTERM)
    assert "Traceback" not in rest + (tmp_path / "err").read_text()


def test_the_demo_is_announced_with_its_accounts(serve):
    process, _, port = serve("--demo")
    table = "".join(process.stdout.readline() for _ in range(3 + len(demo.DEMO_PEOPLE)))
    for person in demo.DEMO_PEOPLE:
        assert re.search(rf"^{person.login} +{person.password} +{person.role} +{person.name}$", table, re.MULTILINE)
    assert "Set-up token" not in table
    assert get(port, "/sign-in", Host="evil.example")[0] == 403


def test_a_body_in_chunks_beyond_the_limit_is_answered(serve):
    """What a browser or a tool sends without a length: it is read on, refused with the page, and the line is closed."""
    _, _, port = serve(MELTLINE_MAX_UPLOAD_BYTES="1024")
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    headers = {"Content-Type": "application/x-www-form-urlencoded"}
    chunks = (64 * 1024 * b"x" for _ in range(100))
    connection.request("POST", "/sign-in", body=chunks, headers=headers, encode_chunked=True)
    response = connection.getresponse()
    assert response.status == 413
    assert "Too large" in response.read().decode()
    assert response.headers["connection"] == "close"
    connection.close()


@pytest.fixture
def refused(monkeypatch, settings, passwords):
    """Run ``serve`` where it must refuse; its one line of reason."""
    monkeypatch.setenv("MELTLINE_DATA_DIR", str(settings.data_dir))
    monkeypatch.setattr("webapp.cli.serve.Passwords", lambda: passwords)

    def run(*arguments):
        result = CliRunner().invoke(app, ["serve", *arguments])
        assert result.exit_code == 2, result.output
        (line,) = result.stderr.splitlines()
        return line

    return run


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.1", "melt.example"])
def test_the_demo_is_for_this_machine_only(refused, settings, host):
    assert "this machine only" in refused("--demo", "--host", host)
    assert not settings.data_dir.exists()


def test_the_demo_is_not_offered_through_a_proxy(refused, monkeypatch):
    monkeypatch.setenv("MELTLINE_PUBLIC_HOST", "melt.example")
    assert "this machine only" in refused("--demo")


def test_demo_accounts_are_not_served_to_others(refused, database, passwords, monkeypatch):
    demo.load_demo(database, passwords)
    assert "There are demo accounts" in refused("--host", "0.0.0.0")
    monkeypatch.setenv("MELTLINE_PUBLIC_HOST", "melt.example")
    assert "There are demo accounts" in refused()


def test_the_demo_is_not_loaded_beside_people(refused, database, add_person):
    add_person(Role.ADMINISTRATOR)
    with socket.create_server(("127.0.0.1", 0)) as taken:
        assert "in use" in refused("--demo", "--port", str(taken.getsockname()[1]))
    with database.read() as session:
        assert len(list_people(session)) == 1


def test_an_address_that_is_none_of_ours_is_refused(refused):
    assert "Cannot listen on 192.0.2.1" in refused("--host", "192.0.2.1")
