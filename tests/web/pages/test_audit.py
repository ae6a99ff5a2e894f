import csv
import io

import pytest

from webapp.desk.ledger import record
from webapp.trade.ledger import EntryKind
from webapp.trade.people import Role


@pytest.fixture
def admin(sign_in, database):
    """An administrator's browser; signing up made an entry, three more follow."""
    client = sign_in(Role.ADMINISTRATOR)
    for number in range(3):
        with database.command() as session:
            record(
                session, None, EntryKind.DECLARED, f"=declaration {number}", {"reference": "<b>letter</b>", "n": [1]}
            )
    return client


def test_only_administrators_come_here(sign_in):
    assert sign_in(Role.ENGINEER, Role.REVIEWER, Role.MANAGER).get("/audit").status_code == 403


def test_entries_are_shown_the_newest_first(admin):
    page = admin.get("/audit").text
    assert page.index("declaration 2") < page.index("declaration 0") < page.index("person administrator")
    assert "&lt;b&gt;letter&lt;/b&gt;" in page


def test_the_filter_is_the_address(admin):
    page = admin.get("/audit", params={"kind": "person added"}).text
    assert "person administrator" in page
    assert "declaration 0" not in page
    assert "No entry matches" in admin.get("/audit", params={"until": "2020-01-01"}).text


@pytest.mark.parametrize("query", [{"kind": "nothing"}, {"since": "yesterday"}, {"format": "pdf"}, {"format": "xlsx"}])
def test_what_there_is_not_is_refused(admin, query):
    assert admin.get("/audit", params=query).status_code == 400


def test_the_csv_holds_what_the_filter_shows(admin):
    answer = admin.get("/audit", params={"kind": "declaration made", "format": "csv"})
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert [row["Subject"] for row in rows] == [f"'=declaration {number}" for number in (2, 1, 0)]
    assert rows[0]["Previous hash"] == rows[1]["Hash"]
