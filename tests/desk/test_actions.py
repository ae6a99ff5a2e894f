import pytest

from tests.desk.reviewing import finding, state
from webapp.desk import actions
from webapp.desk.actions import ActionForm, ActionView, Show
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.store import ledger
from webapp.trade.people import Role


@pytest.fixture
def add(database, person):
    """``add(title, owner, due_on, ...)`` adds an action and gives its id."""

    def make(title="Ask the maker", owner=None, due_on="", **more):
        with database.command() as session:
            return actions.add_action(session, person, ActionForm(title, owner or person.login, due_on), **more)

    return make


def titles(database, person, **view):
    with database.read() as session:
        found, total = actions.list_actions(session, person, ActionView(**view))
    assert total == len(found)
    return [entry.row.title for entry in found]


def test_lists_are_by_date_with_what_is_done_last(database, person, add, add_person):
    other = add_person(Role.MANAGER)
    add("no date")
    add("late", due_on="2020-02-01")
    add("later", due_on="2999-01-01", owner=other.login)
    done = add("done", due_on="2020-01-01")
    with database.command() as session:
        actions.set_done(session, person, done, done=True, version=1)
    assert titles(database, person) == ["late", "later", "no date"]
    assert titles(database, person, show=Show.OVERDUE) == ["late"]
    assert titles(database, person, show=Show.MINE) == ["late", "no date"]
    assert titles(database, other, show=Show.MINE) == ["later"]
    assert titles(database, person, show=Show.DONE) == ["done"]
    assert titles(database, person, show=Show.ALL) == ["late", "later", "no date", "done"]
    assert titles(database, person, search="LATE") == ["late", "later"]
    with database.read() as session:
        assert actions.counts(session, person) == {"open": 3, "overdue": 1, "mine": 2}
        assert actions.action_by_id(session, done).done


def test_from_a_finding_it_takes_the_product_and_leads_back(database, person, add, routed, part_id):
    product_id = routed()
    state(database, person, part_id("GR-104-X7"), "limit_c", "170", product_id)
    blocker = finding(database, product_id, "body-limit", "part")
    action_id = add(finding_id=blocker.id)
    with database.read() as session:
        entry = actions.action_by_id(session, action_id)
    assert (entry.product_code, entry.finding_id) == ("HL-2", blocker.id)
    assert entry.row.finding_title.startswith("GR-104-X7: ")
    assert titles(database, person, product="hl-2") == ["Ask the maker"]
    # Settled: the action stays, and says what it was about.
    state(database, person, part_id("GR-104-X7"), "limit_c", "260", product_id)
    with database.read() as session:
        entry = actions.action_by_id(session, action_id)
    assert entry.finding_id is None
    assert entry.row.finding_title


@pytest.mark.parametrize(
    ("form", "field"),
    [
        (ActionForm(" ", "engineer"), "title"),
        (ActionForm("x" * 201, "engineer"), "title"),
        (ActionForm("Ask\u202e", "engineer"), "title"),
        (ActionForm("Ask", "engineer", "", "first\nsec\u200bond"), "note"),
        (ActionForm("Ask", "nobody"), "owner"),
        (ActionForm("Ask", "engineer", "tomorrow"), "due_on"),
        (ActionForm("Ask", "engineer", "", "x" * 1001), "note"),
    ],
)
def test_a_mistake_is_named_by_its_field(database, person, form, field):
    with database.command() as session, pytest.raises(InvalidInputError) as caught:
        actions.add_action(session, person, form)
    assert caught.value.field == field


def test_changes_are_recorded_and_two_at_once_are_a_conflict(database, person, add):
    action_id = add()
    with database.command() as session:
        actions.change_action(session, person, action_id, ActionForm("Ask again", person.login), version=1)
    with database.command() as session, pytest.raises(ConflictError):
        actions.set_done(session, person, action_id, done=True, version=1)
    with database.command() as session:
        actions.set_done(session, person, action_id, done=True, version=2)
    with database.read() as session:
        entries, _ = ledger.find_entries(session, ledger.LedgerView(search=f"action {action_id}"))
    assert [entry.kind for entry in entries] == ["action changed", "action changed", "action added"]
    assert entries[0].fields["done"] is True


def test_what_is_gone(database, person, add):
    with pytest.raises(NotFoundError):
        add(finding_id=99)
    with pytest.raises(NotFoundError):
        add(product_id=99)
    with database.command() as session, pytest.raises(NotFoundError):
        actions.set_done(session, person, 99, done=True, version=1)
    with database.read() as session, pytest.raises(NotFoundError):
        actions.action_by_id(session, 99)
