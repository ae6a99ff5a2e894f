import json

import pytest
from sqlalchemy import text
from typer.testing import CliRunner

from webapp.cli.main import app
from webapp.desk.ledger import record
from webapp.trade.ledger import EntryKind


@pytest.fixture
def run(settings, database):
    """Run ``ledger verify`` on a ledger of two entries."""
    for name in ("eva", "ida"):
        with database.command() as session:
            record(session, None, EntryKind.PERSON_ADDED, f"person {name}", {})

    def invoke(*arguments):
        return CliRunner().invoke(app, ["ledger", "verify", "--db", settings.db_url, *arguments])

    return invoke


def test_a_whole_ledger(run):
    result = run("--json")
    assert result.exit_code == 0
    assert json.loads(result.stdout) == {"entries": 2, "ok": True, "first_broken": None}
    assert run().stdout == "2 entries: every one is as it was written.\n"


def test_a_broken_one_is_named_and_the_exit_is_3(run, database):
    with database.command() as session:
        session.connection().execute(text("DROP TRIGGER ledger_no_update"))
        session.connection().execute(text("UPDATE ledger_entry SET actor = 'eve' WHERE number = 2"))
    result = run("--json")
    assert result.exit_code == 3
    assert json.loads(result.stdout) == {"entries": 2, "ok": False, "first_broken": 2}
    assert "entry 2" in run().stdout
