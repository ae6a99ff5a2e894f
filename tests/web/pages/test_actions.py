import re

import pytest

from tests.web.pages.wizard import hidden, plain
from webapp.desk import cases
from webapp.store import product_reads
from webapp.trade.people import Role

TYPED = {"title": "Ask the maker", "owner": "engineer", "due_on": "2026-01-31", "note": ""}


@pytest.fixture
def action(engineer):
    """The address of an action on no product."""
    engineer.post("/actions/new", data=TYPED)
    return re.search(r'href="(/actions/\d+)"', engineer.get("/actions").text)[1]


def test_an_empty_list_says_how_an_action_comes(engineer):
    assert "No open actions" in plain(engineer.get("/actions"))


def test_an_action_from_a_finding_leads_back_to_it(engineer, product, database):
    with database.read() as session:
        case = cases.find_case(session, product_reads.product_by_code(session, product).id)
        finding = cases.findings_of(session, case.id)[0]
    form = engineer.get(f"/actions/new?finding={finding.id}")
    assert finding.sentence in plain(form)
    assert engineer.post("/actions/new", data={**TYPED, "finding": finding.id}).status_code == 303
    page = engineer.get("/actions?product=HL-2")
    assert f"/products/HL-2/findings/{finding.id}" in page.text


def test_overdue_is_said_in_words_and_counted(engineer, action):
    text = plain(engineer.get("/actions?show=overdue"))
    assert "1 open, 1 overdue; 1 of the open ones are yours." in text
    assert "2026-01-31 overdue" in text


def test_done_and_undone(engineer, action):
    version = hidden(engineer.get("/actions").text, "version")
    done = engineer.post(f"{action}/done", data={"version": version, "done": "yes"})
    page = engineer.get(done.headers["location"])
    assert "“Ask the maker” is done." in plain(page)
    undone = engineer.post(f"{action}/done", data={"version": hidden(page.text, "version"), "done": "no"})
    assert "The action is open again." in plain(engineer.get(undone.headers["location"]))
    late = engineer.post(f"{action}/done", data={"version": version, "done": "yes"})
    assert late.status_code == 409


@pytest.mark.parametrize(
    ("field", "text", "sentence"),
    [("title", "", "Say what is to be done"), ("owner", "nobody", "Choose who"), ("due_on", "soon", "Write the date")],
)
def test_what_does_not_hold_is_said_beside_the_field(engineer, field, text, sentence):
    answer = engineer.post("/actions/new", data={**TYPED, field: text})
    assert answer.status_code == 422
    assert sentence in plain(answer)


def test_a_change_that_crossed_another_shows_both(engineer, action):
    version = hidden(engineer.get(action).text, "version")
    assert engineer.post(action, data={**TYPED, "version": version, "title": "Ask twice"}).status_code == 303
    late = engineer.post(action, data={**TYPED, "version": version, "title": "Ask thrice"})
    assert late.status_code == 409
    assert "Title Ask twice Ask thrice" in plain(late)


def test_files_and_unknown_selections(engineer, action):
    assert "Ask the maker" in engineer.get("/actions?format=csv").text
    assert engineer.get("/actions?format=xlsx").content.startswith(b"PK")
    assert engineer.get("/actions?show=x").status_code == 400
    assert engineer.get("/actions/999").status_code == 404


def test_everybody_signed_in_may_add(sign_in):
    reviewer = sign_in(Role.REVIEWER)
    assert reviewer.post("/actions/new", data={**TYPED, "owner": "reviewer"}).status_code == 303
