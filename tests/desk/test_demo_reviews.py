"""The demo's review: every state that a screen can show is there, made the way people make it."""

from collections import Counter
from datetime import timedelta

import msgspec
import pytest
import sqlalchemy as sa
from sqlmodel import SQLModel, select

from webapp.desk import actions, cases, demo, demo_reviews, review
from webapp.desk.demo_products import demo_products, load_demo_products
from webapp.desk.demo_reviews import load_demo_reviews
from webapp.store import ledger, people, product_reads
from webapp.store.cases import FindingRow
from webapp.store.decisions import DecisionRow, covers, decided_on_inputs
from webapp.store.people import PersonRow
from webapp.store.portfolio import PortfolioDayRow, PortfolioView, find_products, trend
from webapp.store.products import ProductRow
from webapp.store.sessions import LoginSessionRow
from webapp.trade.decisions import DecisionKind, today
from webapp.trade.ledger import EntryKind
from webapp.trade.people import Role

SEED = demo_reviews.demo_reviews()


@pytest.fixture
def with_products(database, settings, passwords):
    """The database with the demo's people and products."""
    demo.load_demo(database, passwords)
    assert load_demo_products(database, settings) == ()
    return database


def contents(database):
    """Every row of every table, but for the count of sign-ins tried."""
    with database.read() as session:
        return {
            table.name: sorted(map(repr, session.connection().execute(sa.select(table))))
            for table in SQLModel.metadata.sorted_tables
            if table.name != "login_throttle"
        }


def case_findings(session, code, route):
    product = product_reads.product_by_code(session, code)
    return cases.findings_of(session, cases.find_case(session, product.id, route).id)


class TestLoaded:
    """The whole scenario; loaded once, for it takes some seconds."""

    def test_every_state_is_there_and_a_second_load_changes_nothing(self, with_products, settings, passwords):
        assert load_demo_reviews(with_products, settings, passwords) is None
        with with_products.read() as session:
            self.decisions_are_as_described(session)
            self.standings_are_as_described(session)
            self.the_old_inputs_stand_beside_the_new_ones(session)
            self.one_acceptance_can_be_taken_over(session)
            self.something_waits_for_a_reviewer(session)
            self.actions_are_open_overdue_and_done(session)
            self.products_are_grouped(session)
            self.the_snapshot_is_what_the_portfolio_shows(session)
            self.everything_is_in_the_ledger_by_who_did_it(session)
            assert session.exec(select(LoginSessionRow)).all() == []
        before = contents(with_products)
        assert load_demo_reviews(with_products, settings, passwords) is None
        assert contents(with_products) == before

    def decisions_are_as_described(self, session):
        rows = session.exec(select(DecisionRow).order_by(DecisionRow.id)).all()
        assert [(row.kind, row.reason, row.change, row.lot_limit) for row in rows] == [
            (new.kind, new.reason, new.change, new.lot_limit) for new in SEED.decisions
        ]
        reviewer = people.row_by_login(session, demo_reviews.REVIEWER)
        assert {row.signed_by for row in rows} == {reviewer.id}
        assert [row.expires_on for row in rows if row.expires_on] == [today() + timedelta(days=120)]
        # One part on both sides of two products, two candidate routes each.
        assert len(covers(session, rows[0].id)) == 8
        counts = Counter(row.kind for row in rows)
        assert (counts["resolved"], counts["refuse"]) == (1, 1)
        assert counts["accept"] >= 3

    def standings_are_as_described(self, session):
        found = Counter(session.exec(select(FindingRow.standing)).all())
        assert {standing: found[standing] for standing in ("accepted", "planned", "refused", "stale", "expired")} == {
            # 8 of one part, 2 of a finish, a bake, a hand-fitted part, one for a while.
            "accepted": 13,
            "planned": 1,
            "refused": 1,
            # Signed on both candidates, then measured again.
            "stale": 2,
            "expired": 0,
        }
        assert found["undecided"] > 0
        lamp = case_findings(session, "LC-90", "low temperature, then wave")
        assert {(row.check, row.verdict) for row in lamp if row.standing == "refused"} == {("joint-runs-hot", "blocks")}

    def the_old_inputs_stand_beside_the_new_ones(self, session):
        stale = session.exec(select(FindingRow).where(FindingRow.standing == "stale")).all()
        (decision,) = [new for new in SEED.decisions if new.covers[0].title == "ORLM7340-800T"]
        row = session.exec(select(DecisionRow).where(DecisionRow.reason == decision.reason)).one()
        signed = covers(session, row.id)
        assert {cover.case_id for cover in signed} == {finding.case_id for finding in stale}
        for finding in stale:
            (cover,) = [cover for cover in signed if cover.case_id == finding.case_id]
            assert cover.key == finding.key
            changed = {label for label in finding.inputs if finding.inputs[label] != cover.inputs.get(label)}
            assert len(changed) == 1, changed
            assert "self-heating" in changed.pop()

    def one_acceptance_can_be_taken_over(self, session):
        other = [
            row
            for row in case_findings(session, "ML-85", "low temperature, today's coating")
            if (row.check, row.title, row.standing) == ("body-limit", "HLS-1R0-5V5", "undecided")
        ]
        (offered,) = decided_on_inputs(session, [other[0].fingerprint])
        assert offered.decision.kind == DecisionKind.ACCEPT

    def something_waits_for_a_reviewer(self, session):
        assert all(review.counts(session, review.QueueView())[verdict] for verdict in ("blocks", "change", "prove"))
        assert review.queue(session, review.QueueView(show=review.Show.REOPENED))[1] == 1

    def actions_are_open_overdue_and_done(self, session):
        engineer = people.person_from(session, people.row_by_login(session, "ida"))
        listed, total = actions.list_actions(session, engineer, actions.ActionView(actions.Show.ALL))
        assert total == len(SEED.actions)
        assert {entry.row.title for entry in listed if entry.overdue} == {
            action.title for action in SEED.actions if (action.due_in_days or 0) < 0
        }
        assert actions.counts(session, engineer) == {"open": 5, "overdue": 1, "mine": 3}
        (done,) = [entry for entry in listed if entry.done]
        assert (done.owner_login, done.row.done_by) == ("ruben", done.row.owner_id)
        # Those from a finding lead back to it, also after the re-assessment.
        assert all((entry.finding_id is not None) == bool(entry.product_code) for entry in listed)

    def products_are_grouped(self, session):
        query = select(ProductRow, PersonRow.login).join(PersonRow, PersonRow.id == ProductRow.owner_id)
        stored = {(row.code, row.label, row.customer, login) for row, login in session.exec(query)}
        assert stored == {msgspec.structs.astuple(grouping) for grouping in SEED.products}
        assert {grouping.code for grouping in SEED.products} == {product.code for product in demo_products()}

    def the_snapshot_is_what_the_portfolio_shows(self, session):
        (day,) = trend(session, today() - timedelta(days=400))
        lines = find_products(session, PortfolioView())
        assert (day.day, day.products) == (today(), len(demo_products()))
        assert day.open_prove == sum(line.counters.open_prove for line in lines)
        assert day.open_blocks == sum(line.counters.open_blocks for line in lines)
        assert {row.readiness for row in session.exec(select(PortfolioDayRow))} == {
            line.counters.readiness for line in lines
        }

    def everything_is_in_the_ledger_by_who_did_it(self, session):
        verified = ledger.verify(session)
        assert verified.ok
        entries, _ = ledger.find_entries(session, ledger.LedgerView())
        done = Counter((entry.kind, entry.actor) for entry in entries)
        assert done[EntryKind.DECIDED, "ruben"] == len(SEED.decisions)
        assert done[EntryKind.PRODUCT_DESCRIBED, "ida"] == len(SEED.products)
        assert done[EntryKind.ACTION_ADDED, "ida"] == len(SEED.actions)


def test_what_fails_or_breaks_a_rule_leaves_nothing_behind(with_products, settings, passwords, monkeypatch):
    before = contents(with_products)
    first = SEED.decisions[0]
    missing = msgspec.structs.replace(first.covers[0], title="NO-SUCH-PART")
    wrong = msgspec.structs.replace(SEED, decisions=(first, msgspec.structs.replace(first, covers=(missing,))))
    failed = load_demo_reviews(with_products, settings, passwords, wrong)
    assert failed.words == (
        "The demo's review was not loaded: AQ-310, ball-mixing (prove) NO-SUCH-PART: "
        "0 findings in place of one on the route low temperature, today's underfill."
    )
    assert contents(with_products) == before
    # Were it the engineer who signs, the rule about authors would hold in the demo too.
    with with_products.command() as session:
        people.replace_roles(session, people.row_by_login(session, "ida").id, {Role.ENGINEER, Role.REVIEWER})
    before = contents(with_products)
    monkeypatch.setattr(demo_reviews, "REVIEWER", "ida")
    failed = load_demo_reviews(with_products, settings, passwords)
    assert failed.reason == "You uploaded the BOM: somebody else has to sign."
    assert contents(with_products) == before


def test_once_somebody_has_begun_the_review_is_theirs(database, settings, passwords):
    demo.load_demo(database, passwords)
    # Nothing to review yet: it is said, and tried again with the next start.
    assert load_demo_reviews(database, settings, passwords).reason == "There is no product AQ-310."
    with database.command() as session:
        engineer = people.person_from(session, people.row_by_login(session, "ida"))
        actions.add_action(session, engineer, actions.ActionForm("Tidy the bench", "ida"))
    assert load_demo_reviews(database, settings, passwords) is None


def test_without_the_demo_accounts_nothing_is_loaded(database, settings, passwords, add_person):
    add_person(Role.ENGINEER, login="ida")
    add_person(Role.REVIEWER, login=demo_reviews.REVIEWER)
    assert load_demo_reviews(database, settings, passwords) is None
