"""Signing: who may, on what, and what it does to findings and counters."""

import dataclasses
from datetime import date, timedelta

import pytest

from tests.boms import HARBOUR_LATER
from tests.conftest import PASSWORD
from tests.desk.conftest import OnPostgres
from tests.desk.reviewing import (
    ACCEPT,
    REFUSE,
    RESOLVED,
    candidate,
    finding,
    finding_row,
    findings,
    proved,
    session_of,
    shown,
    sign,
    state,
)
from webapp.desk import (
    assessing,
    cases,
    commits,
    counting,
    deciding,
    decisions,
    parts,
    reauth,
    routes,
    setups,
    sweep,
)
from webapp.desk.alternates import Place, set_approval
from webapp.desk.decisions import NewDecision, Shown
from webapp.desk.reauth import ReauthenticationNeededError
from webapp.errors import ConflictError, InvalidInputError, NotAllowedError, NotFoundError
from webapp.settings import Settings
from webapp.store import ledger, sessions
from webapp.store.base import utc_now
from webapp.store.decisions import covers
from webapp.trade.decisions import DecisionKind, today
from webapp.trade.facts import PartField
from webapp.trade.people import Role


@pytest.fixture
def reviewer(database, settings, passwords, add_person):
    """A reviewer who worked on nothing, with the password entered."""
    return proved(database, settings, passwords, add_person(Role.REVIEWER))


@pytest.fixture
def hot(database, person, routed, part_id):
    """A product with a resistor that stands 170 °C, on a route that peaks at 180 °C."""
    product_id = routed()
    state(database, person, part_id("GR-104-X7"), "limit_c", "170", product_id)
    return product_id


def standing(database, row):
    return finding_row(database, row.id).standing


class Core:
    def test_an_acceptance_closes_the_finding_and_the_counters_follow(self, database, settings, reviewer, hot):
        before = candidate(database, hot).row
        blocker = finding(database, hot, "body-limit", "part")
        assert (blocker.verdict, before.open_blocks) == ("blocks", 1)
        sign(database, settings, reviewer, ACCEPT, blocker)
        after = candidate(database, hot).row
        assert standing(database, blocker) == "accepted"
        assert (after.open_blocks, after.waiting) == (0, before.waiting - 1)
        assert after.blocks == 1

    def test_a_refusal_leaves_the_queue_and_stays_open(self, database, settings, reviewer, hot):
        before = candidate(database, hot).row
        blocker = finding(database, hot, "body-limit", "part")
        sign(database, settings, reviewer, REFUSE, blocker)
        after = candidate(database, hot).row
        assert standing(database, blocker) == "refused"
        assert (after.open_blocks, after.waiting, after.refused) == (1, before.waiting - 1, 1)
        assert after.readiness == before.readiness

    def test_inputs_that_were_not_shown_are_not_signed(self, database, settings, person, reviewer, hot, part_id):
        blocker = finding(database, hot, "body-limit", "part")
        state(database, person, part_id("GR-104-X7"), "limit_c", "175", hot)
        with pytest.raises(ConflictError):
            sign(database, settings, reviewer, ACCEPT, blocker)
        assert standing(database, blocker) == "undecided"

    def test_nor_those_of_an_edit_that_is_not_assessed_yet(self, database, settings, person, reviewer, hot, part_id):
        blocker = finding(database, hot, "body-limit", "part")
        state(database, person, part_id("GR-104-X7"), "limit_c", "175")
        with pytest.raises(ConflictError, match="re-assessed"):
            sign(database, settings, reviewer, ACCEPT, blocker)

    def test_other_inputs_open_it_again_and_both_stand_side_by_side(
        self, database, settings, person, reviewer, hot, part_id
    ):
        blocker = finding(database, hot, "body-limit", "part")
        sign(database, settings, reviewer, ACCEPT, blocker)
        state(database, person, part_id("GR-104-X7"), "limit_c", "172", hot)
        now = finding(database, hot, "body-limit", "part")
        assert now.standing == "stale"
        assert candidate(database, hot).row.reopened == 1
        with database.read() as session:
            page = deciding.finding_page(session, reviewer.person, settings, now.id)
        (change,) = [one for one in page.changes if one.changed]
        assert (change.before[:6], change.now[:6]) == ("170 °C", "172 °C")
        assert page.decision is None
        assert page.earlier.decision.kind == "accept"

    def test_what_was_signed_holds_again_when_the_inputs_are_what_they_were(
        self, database, settings, person, reviewer, hot, part_id
    ):
        blocker = finding(database, hot, "body-limit", "part")
        sign(database, settings, reviewer, ACCEPT, blocker)
        for text in ("172", "170"):
            state(database, person, part_id("GR-104-X7"), "limit_c", text, hot)
        assert finding(database, hot, "body-limit", "part").standing == "accepted"

    def test_the_ledger_has_one_entry_with_the_members(self, database, settings, reviewer, hot):
        rows = [row for row in findings(database, hot) if row.verdict == "prove"]
        assert len(rows) > 1
        sign(database, settings, reviewer, ACCEPT, *rows)
        with database.read() as session:
            (entry, *_), count = ledger.find_entries(session, ledger.LedgerView(kind="decision signed"))
            assert ledger.verify(session).ok
        assert count == 1
        assert {member["key"] for member in entry.fields["findings"]} == {row.key for row in rows}


class TestOnSqlite(Core):
    pass


class TestOnPostgres(OnPostgres, Core):
    pass


class TestWho:
    def test_the_role_reviewer_is_needed(self, database, settings, passwords, add_person, hot):
        manager = proved(database, settings, passwords, add_person(Role.MANAGER))
        with pytest.raises(NotAllowedError, match="role reviewer"):
            sign(database, settings, manager, ACCEPT, findings(database, hot)[0])

    def test_the_password_is_needed_again_after_ten_minutes(self, database, settings, passwords, reviewer, hot):
        row = findings(database, hot)[0]
        with database.command() as session:
            stored = session.get(sessions.LoginSessionRow, reviewer.session_id)
            stored.proved_at = utc_now() - timedelta(minutes=10)
        with pytest.raises(ReauthenticationNeededError):
            sign(database, settings, reviewer, ACCEPT, row)
        reauth.reauthenticate(database, passwords, reviewer, PASSWORD)
        sign(database, settings, reviewer, ACCEPT, row)

    def test_another_session_of_the_same_person_does_not_count(self, database, settings, reviewer, hot):
        other = session_of(database, settings, reviewer.person)
        with pytest.raises(ReauthenticationNeededError):
            sign(database, settings, other, ACCEPT, findings(database, hot)[0])

    def test_a_wrong_password_opens_nothing(self, database, settings, passwords, reviewer):
        fresh = session_of(database, settings, reviewer.person)
        with pytest.raises(InvalidInputError) as caught:
            reauth.reauthenticate(database, passwords, fresh, "wrong copper kettles")
        assert caught.value.field == "password"
        with database.read() as session:
            assert reauth.may_sign_until(session, fresh) is None


class TestAuthors:
    @pytest.fixture
    def second(self, add_person):
        """Somebody who is engineer and reviewer."""
        return add_person(Role.ENGINEER, Role.REVIEWER, login="second")

    def refusals(self, database, settings, who, product_id):
        with database.read() as session:
            found = decisions.preview(session, who, settings, shown(*findings(database, product_id)), bulk=False)
        return {one.finding.key: one.reason for one in found.refused}, {row.key for row in found.allowed}

    def test_who_uploaded_may_sign_nothing_of_it(self, database, settings, person, hot):
        refused, allowed = self.refusals(database, settings, person, hot)
        assert not allowed
        assert set(refused.values()) <= {
            "You uploaded the BOM: somebody else has to sign.",
            "There is nothing to decide.",
        }

    def test_who_stated_the_value_may_not_sign_what_used_it_but_all_else(
        self, database, settings, hot, second, part_id
    ):
        state(database, second, part_id("GR-104-X7"), "limit_c", "171", hot)
        refused, allowed = self.refusals(database, settings, second, hot)
        (reason,) = [why for key, why in refused.items() if key.startswith("body-limit|part")]
        assert reason == "You last edited the part's limit c: somebody else has to sign."
        assert any(key.startswith("finish-unknown") for key in allowed)

    def test_who_withdrew_it_was_the_last_to_edit_it(self, database, settings, person, hot, second, part_id):
        # MX-800 is a bare part number in a package without leads: its finish is not known either way.
        state(database, person, part_id("MX-800"), "finish", "e3")
        with database.command() as session:
            parts.withdraw_value(session, second, part_id("MX-800"), PartField.FINISH)
        assessing.reassess(database, hot)
        refused, _ = self.refusals(database, settings, second, hot)
        (reason,) = [why for key, why in refused.items() if key.startswith("finish-unknown")]
        assert reason == "You last edited the part's finish: somebody else has to sign."

    def test_who_approved_the_part_for_the_line_may_not_sign_for_it(
        self, database, settings, person, second, routed, part_id
    ):
        head = b"Designator,Qty,MPN,Manufacturer,Package\n"
        product_id = routed(head + b"R1,1,GR-1 or GR-9,Kelvarn,0402\nR2,1,A,B,0402\nR3,1,C,B,0402\n")
        state(database, person, part_id("GR-9"), "limit_c", "150")
        for version, approved in ((1, False), (2, True)):
            with database.command() as session:
                place = Place(1, 1, part_id("GR-9"))
                set_approval(session, second, product_id, place, approved=approved, version=version)
        assessing.reassess(database, product_id)
        refused, allowed = self.refusals(database, settings, second, product_id)
        (reason,) = [why for key, why in refused.items() if key.startswith("body-limit|part")]
        assert reason == "You approved the part for the line: somebody else has to sign."
        assert any(key.startswith("board-finish") for key in allowed)

    def test_who_saved_the_route_may_not_sign(self, database, settings, hot, second):
        with database.command() as session:
            (_, low) = routes.routes_of(session, hot)
            routes.save_route(session, second, hot, low.route, route_id=low.id, version=low.version)
        assessing.reassess(database, hot)
        refused, allowed = self.refusals(database, settings, second, hot)
        assert not allowed
        assert any("route" in reason for reason in refused.values())

    def test_who_saved_the_setup_may_not_sign_what_used_it(self, database, settings, hot, second):
        with database.command() as session:
            now = setups.setup_of(session, hot)
            warmer = dataclasses.replace(now.environment, t_max_c=61.0)
            setups.save_setup(session, second, hot, now.board, warmer, version=now.version)
        assessing.reassess(database, hot)
        refused, allowed = self.refusals(database, settings, second, hot)
        assert {key.split("|")[0] for key, why in refused.items() if "setup" in why} >= {"joint-runs-hot"}
        assert any(key.startswith("body-limit") for key in allowed)

    def test_a_site_of_one_person_may_let_them(self, database, settings, passwords, hot, second, part_id):
        state(database, second, part_id("GR-104-X7"), "limit_c", "171", hot)
        blocker = finding(database, hot, "body-limit", "part")
        signed_in = proved(database, settings, passwords, second)
        with pytest.raises(NotAllowedError, match="somebody else"):
            sign(database, settings, signed_in, ACCEPT, blocker)
        sign(database, Settings(authors_may_sign=True), signed_in, ACCEPT, blocker)


class TestWhat:
    @pytest.mark.parametrize(
        ("new", "field"),
        [
            (NewDecision(DecisionKind.ACCEPT, " "), "reason"),
            (NewDecision(DecisionKind.RESOLVED, "It will go.", " "), "change"),
            (NewDecision(DecisionKind.ACCEPT, "For now.", expires_on="31.12.2090"), "expires_on"),
            (NewDecision(DecisionKind.ACCEPT, "For now.", expires_on="2020-01-01"), "expires_on"),
            (NewDecision(DecisionKind.ACCEPT, "For now.", lot_limit="some"), "lot_limit"),
            (NewDecision(DecisionKind.ACCEPT, "For now.", lot_limit="0"), "lot_limit"),
        ],
    )
    def test_a_mistake_is_named_by_its_field(self, database, settings, reviewer, hot, new, field):
        with pytest.raises(InvalidInputError) as caught:
            sign(database, settings, reviewer, new, findings(database, hot)[0])
        assert caught.value.field == field

    def test_what_blocks_is_not_signed_in_bulk(self, database, settings, reviewer, hot):
        rows = [row for row in findings(database, hot) if row.verdict in ("blocks", "prove")]
        with pytest.raises(NotAllowedError, match="one by one"):
            sign(database, settings, reviewer, ACCEPT, *rows)
        assert {row.standing for row in findings(database, hot)} <= {"undecided", "none"}

    def test_the_preview_says_which_and_why_not(self, database, settings, reviewer, hot):
        rows = findings(database, hot)
        with database.read() as session:
            found = decisions.preview(session, reviewer.person, settings, [*shown(*rows), Shown(10**6, "0" * 64)])
        assert {row.verdict for row in found.allowed} == {"prove"}
        assert found.reasons["What blocks is signed one by one."] == 1
        assert found.gone == 1
        with database.command() as session:
            row = decisions.sign(session, reviewer, settings, ACCEPT, found.shown)
            assert len(covers(session, row.id)) == len(found.allowed)

    def test_what_is_gone_is_a_conflict(self, database, settings, reviewer, hot):
        with database.command() as session, pytest.raises(ConflictError):
            decisions.sign(session, reviewer, settings, ACCEPT, [Shown(10**6, "0" * 64)])

    def test_findings_of_today_need_no_decision(self, database, settings, reviewer, hot):
        with database.read() as session:
            (today_case, _) = cases.cases_of(session, hot)
            row = cases.findings_of(session, today_case.id)[0]
        with pytest.raises(NotAllowedError, match="today"):
            sign(database, settings, reviewer, ACCEPT, row)


class TestTime:
    def test_an_acceptance_runs_out_after_its_day(self, database, settings, reviewer, hot, monkeypatch):
        blocker = finding(database, hot, "body-limit", "part")
        day = today() + timedelta(days=30)
        sign(database, settings, reviewer, dataclasses.replace(ACCEPT, expires_on=day.isoformat()), blocker)
        assert candidate(database, hot).row.expires_on == day
        self.at(monkeypatch, day)
        sweep.keep_day(database)
        assert standing(database, blocker) == "accepted"
        self.at(monkeypatch, day + timedelta(days=1))
        sweep.keep_day(database)
        assert standing(database, blocker) == "expired"
        row = candidate(database, hot).row
        assert (row.open_blocks, row.reopened, row.expires_on) == (1, 1, None)

    def at(self, monkeypatch, day: date):
        for module in (counting, sweep):
            monkeypatch.setattr(module, "today", lambda: day)

    def test_a_planned_change_closes_as_done_when_the_finding_is_gone(
        self, database, settings, person, reviewer, hot, part_id
    ):
        blocker = finding(database, hot, "body-limit", "part")
        decision_id = sign(database, settings, reviewer, RESOLVED, blocker)
        assert candidate(database, hot).row.planned == 1
        state(database, person, part_id("GR-104-X7"), "limit_c", "260", hot)
        assert finding_row(database, blocker.id) is None
        with database.read() as session:
            (cover,) = covers(session, decision_id)
        assert cover.done_at is not None
        # Undone, it is open: the change that was planned has been made and taken back.
        state(database, person, part_id("GR-104-X7"), "limit_c", "170", hot)
        assert finding(database, hot, "body-limit", "part").standing == "undecided"

    def test_a_planned_change_that_did_not_settle_it_opens_it_again(
        self, database, settings, person, reviewer, hot, part_id
    ):
        sign(database, settings, reviewer, RESOLVED, finding(database, hot, "body-limit", "part"))
        state(database, person, part_id("GR-104-X7"), "limit_c", "175", hot)
        assert finding(database, hot, "body-limit", "part").standing == "stale"

    def test_a_new_revision_keeps_what_was_signed_on_the_same_inputs(
        self, database, settings, person, reviewer, hot, upload, draft
    ):
        sign(database, settings, reviewer, ACCEPT, finding(database, hot, "body-limit", "part"))
        token = upload(HARBOUR_LATER)
        commits.commit_upload(database, person, token, draft(token).version, commits.NextRevision("HL-2"))
        assessing.reassess(database, hot)
        assert finding(database, hot, "body-limit", "part").standing == "accepted"


class TestTakingBack:
    def test_a_decision_withdrawn_opens_its_findings(self, database, settings, reviewer, hot):
        blocker = finding(database, hot, "body-limit", "part")
        decision_id = sign(database, settings, reviewer, ACCEPT, blocker)
        for _ in range(2):
            with database.command() as session:
                decisions.withdraw(session, reviewer.person, decision_id)
        assert standing(database, blocker) == "undecided"
        with database.read() as session:
            _, count = ledger.find_entries(session, ledger.LedgerView(kind="decision withdrawn"))
        assert count == 1

    def test_the_role_is_needed_for_it_too(self, database, settings, person, reviewer, hot):
        decision_id = sign(database, settings, reviewer, ACCEPT, findings(database, hot)[0])
        with database.command() as session, pytest.raises(NotAllowedError):
            decisions.withdraw(session, person, decision_id)

    def test_there_is_nothing_to_withdraw(self, database, reviewer):
        with database.command() as session, pytest.raises(NotFoundError):
            decisions.withdraw(session, reviewer.person, 99)


class TestElsewhere:
    @pytest.fixture
    def twin(self, routed, hot):
        """Another product with the same part on the same route."""
        return routed(code="HL-3")

    def test_the_same_inputs_are_offered_and_never_taken_over_unasked(self, database, settings, reviewer, hot, twin):
        sign(database, settings, reviewer, ACCEPT, finding(database, hot, "body-limit", "part"))
        other = finding(database, twin, "body-limit", "part")
        assert other.standing == "undecided"
        with database.read() as session:
            page = deciding.finding_page(session, reviewer.person, settings, other.id)
        (offer,) = page.elsewhere
        assert (offer.product_code, offer.by) == ("HL-2", reviewer.person.name)
        with database.command() as session:
            made = decisions.take_over(session, reviewer, settings, offer.decision.id, *shown(other))
            assert (made.reason, made.taken_over_from) == (ACCEPT.reason, offer.decision.id)
        assert finding(database, twin, "body-limit", "part").standing == "accepted"

    def test_other_inputs_are_not_offered(self, database, settings, person, reviewer, hot, twin, part_id):
        sign(database, settings, reviewer, ACCEPT, finding(database, hot, "body-limit", "part"))
        state(database, person, part_id("GR-104-X7"), "limit_c", "172", hot, twin)
        other = finding(database, twin, "body-limit", "part")
        with database.read() as session:
            page = deciding.finding_page(session, reviewer.person, settings, other.id)
        assert page.elsewhere == ()

    def test_a_decision_that_was_withdrawn_is_not_taken_over(self, database, settings, reviewer, hot, twin):
        decision_id = sign(database, settings, reviewer, ACCEPT, finding(database, hot, "body-limit", "part"))
        with database.command() as session:
            decisions.withdraw(session, reviewer.person, decision_id)
        (other,) = shown(finding(database, twin, "body-limit", "part"))
        with database.command() as session, pytest.raises(ConflictError):
            decisions.take_over(session, reviewer, settings, decision_id, other)
