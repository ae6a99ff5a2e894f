"""The main job in any order: upload, edit, assess, look, decide, take back. Whatever people do,

- nobody signs inputs they did not see,
- readiness and the counters are what their definition gives, recomputed from nothing,
- the ledger verifies.
"""

import shutil
from dataclasses import dataclass, field, replace

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, precondition, rule, run_state_machine_as_test
from sqlmodel import select

from tests.boms import HARBOUR, HARBOUR_LATER
from tests.conftest import PASSWORD
from tests.desk.reviewing import ACCEPT, REFUSE, RESOLVED, SHEET, proved
from webapp.checks.assess import assess
from webapp.desk import accounts, assessing, cases, commits, decisions, drafts, parts, routes, uploads
from webapp.desk.commits import NewProduct, NextRevision
from webapp.desk.decisions import Shown
from webapp.errors import MeltlineError
from webapp.settings import Settings
from webapp.store import ledger, product_reads
from webapp.store.engine import open_database
from webapp.store.parts import PartRow
from webapp.trade.facts import PartField
from webapp.trade.people import Role

CODES = ("HL-2", "HL-3")
LABELS = ("GR-104-X7", "00471")
OPEN = ("blocks", "change", "prove")


@dataclass
class Signature:
    """A decision on one finding as the model keeps it."""

    decision_id: int
    route_id: int
    key: str
    fingerprint: str
    verdict: str
    kind: str
    over: bool = field(default=False)


@pytest.fixture(scope="module")
def start(tmp_path_factory, migrated_file, passwords):
    """A database with people and six drafts to commit, made once: reading a file takes a process each."""
    folder = tmp_path_factory.mktemp("start")
    shutil.copyfile(migrated_file, folder / "meltline.sqlite3")
    site = _settings(folder)
    database = open_database(site.db_url)
    people = {}
    for login, role in (("ida", Role.ENGINEER), ("ruben", Role.REVIEWER)):
        new = accounts.new_person(passwords, login=login, name=login, password=PASSWORD, roles=frozenset({role}))
        with database.command() as session:
            people[login] = accounts.add_person(session, new)
    tokens = []
    for content in (HARBOUR, HARBOUR, HARBOUR_LATER, HARBOUR_LATER, HARBOUR, HARBOUR_LATER):
        new = uploads.NewUpload(uploads.UploadedFile("harbour.csv", content), uploads.new_form_key())
        tokens.append(uploads.start_upload(database, site, people["ida"], new))
    database.close()
    return folder, people, tokens


def _settings(folder):
    return Settings(data_dir=folder)


class MainJob(RuleBasedStateMachine):
    """What an engineer and a reviewer can do."""

    def __init__(self, start, folder, passwords):
        super().__init__()
        source, people, tokens = start
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(source, folder)
        self.site = _settings(folder)
        self.database = open_database(self.site.db_url)
        self.engineer, self.tokens = people["ida"], list(tokens)
        self.reviewer = proved(self.database, self.site, passwords, people["ruben"])
        self.screens: list[tuple[int, Shown]] = []
        self.signed: list[Signature] = []
        self.products = []
        for code in CODES:
            self._commit(NewProduct(code, code))
            with self.database.command() as session:
                product_id = product_reads.product_by_code(session, code).id
                routes.new_route_from_template(session, self.engineer, product_id, "two-sided-low-temperature")
            self.products.append(product_id)
            self._assess(product_id)

    def teardown(self):
        self.database.close()

    @precondition(lambda self: self.tokens)
    @rule(code=st.sampled_from(CODES))
    def upload(self, code):
        self._commit(NextRevision(code))

    @rule(label=st.sampled_from(LABELS), limit=st.sampled_from(("150", "170", "260", "")), then_assess=st.booleans())
    def edit_a_part(self, label, limit, then_assess):
        """State what its body stands in °C, or take that back."""
        with self.database.command() as session:
            part_id = session.exec(select(PartRow.id).where(PartRow.label == label)).one()
            if limit:
                parts.state_value(session, self.engineer, part_id, PartField.LIMIT_C, limit, SHEET)
            else:
                parts.withdraw_value(session, self.engineer, part_id, PartField.LIMIT_C)
        if then_assess:
            for product_id in self.products:
                self._assess(product_id)

    @rule(product=st.integers(0, 1), peak=st.sampled_from((175.0, 185.0)))
    def change_the_peak(self, product, peak):
        with self.database.command() as session:
            (_, low) = routes.routes_of(session, self.products[product])
            steps = tuple(replace(step, peak_c=peak) for step in low.route.steps)
            changed = replace(low.route, steps=steps)
            routes.save_route(session, self.engineer, self.products[product], changed, route_id=low.id)

    @rule(product=st.integers(0, 1))
    def assess_and_look(self, product):
        """The reviewer's screen shows what is open; it stays open while others work."""
        self._assess(self.products[product])
        self.screens += self._look(product)

    @rule(product=st.integers(0, 1), pick=st.integers(0, 9), new=st.sampled_from((ACCEPT, RESOLVED, REFUSE)))
    def look_and_sign(self, product, pick, new):
        self._assess(self.products[product])
        seen = self._look(product)
        if seen:
            assert self._sign(new, *seen[pick % len(seen)])

    @precondition(lambda self: self.screens)
    @rule(pick=st.integers(0, 99), new=st.sampled_from((ACCEPT, RESOLVED, REFUSE)))
    def sign_from_an_old_screen(self, pick, new):
        self._sign(new, *self.screens[-1 - pick % len(self.screens)])

    @precondition(lambda self: self.signed)
    @rule(pick=st.integers(0, 99))
    def take_back(self, pick):
        signature = self.signed[pick % len(self.signed)]
        with self.database.command() as session:
            decisions.withdraw(session, self.reviewer.person, signature.decision_id)
        signature.over = True
        self._check()

    def _look(self, product):
        """(route, finding as shown) of the candidate's open findings, gravest first."""
        with self.database.read() as session:
            case = cases.find_case(session, self.products[product])
            rows = [row for row in cases.findings_of(session, case.id) if row.verdict in OPEN]
        return [(case.row.route_id, Shown(row.id, row.fingerprint)) for row in rows]

    def _sign(self, new, route_id, shown):
        """Sign; whether it was taken. What is taken is what was shown."""
        try:
            with self.database.command() as session:
                decision_id = decisions.sign(session, self.reviewer, self.site, new, [shown]).id
                (cover,) = decisions.covers(session, decision_id)
        except MeltlineError:
            self._check()
            return False
        _, found = self._fresh(cover.case_id)
        now = {finding.key: finding.fingerprint for finding in found.findings}
        assert now[cover.key] == shown.fingerprint, "signed on inputs that were not shown"
        signature = Signature(decision_id, route_id, cover.key, shown.fingerprint, cover.verdict, new.kind.value)
        self.signed.append(signature)
        self._check()
        return True

    def _commit(self, target):
        token = self.tokens.pop(0)
        with self.database.read() as session:
            version = drafts.open_draft(session, self.engineer, token).version
        commits.commit_upload(self.database, self.engineer, token, version, target)

    def _assess(self, product_id):
        with self.database.read() as session:
            waiting = [entry for entry in cases.cases_of(session, product_id) if entry.stale]
        assessing.reassess(self.database, product_id)
        for entry in waiting:
            _, found = self._fresh(entry.id)
            there = {finding.key for finding in found.findings if finding.verdict.is_open}
            for signature in self.signed:
                if (signature.route_id, signature.kind) == (entry.row.route_id, "resolved"):
                    signature.over = signature.over or signature.key not in there
        self._check()

    def _fresh(self, case_id):
        """The case read and assessed from nothing."""
        with self.database.read() as session:
            loaded = assessing.load_case(session, case_id)
        return loaded, assess(loaded.case)

    def _check(self):
        for product_id in self.products:
            with self.database.read() as session:
                entries = cases.cases_of(session, product_id)
            for entry in entries:
                if not entry.stale:
                    self._check_counters(entry)
        with self.database.read() as session:
            assert ledger.verify(session).ok

    def _check_counters(self, entry):
        loaded, found = self._fresh(entry.id)
        is_open = [finding for finding in found.findings if self._is_open(entry.row.route_id, finding)]
        lines = [line.of for line in loaded.case.lines]
        touched = {lines[i] for finding in is_open for i in finding.lines}
        total = int(loaded.placed.sum())
        clear = sum(int(count) for i, count in enumerate(loaded.placed) if i not in touched)
        assert entry.row.readiness == pytest.approx(clear / total)
        assert entry.row.open_board_step_product == sum(1 for finding in is_open if not finding.lines)
        for verdict in OPEN:
            expected = sum(1 for finding in is_open if finding.verdict.key == verdict)
            assert getattr(entry.row, f"open_{verdict}") == expected

    def _is_open(self, route_id, finding):
        """Blocks, change or prove, and the last signature on it with these inputs neither accepts nor resolves."""
        if not finding.verdict.is_open:
            return False
        on_it = [
            signature.kind
            for signature in self.signed
            if not signature.over
            and (signature.route_id, signature.key, signature.fingerprint, signature.verdict)
            == (route_id, finding.key, finding.fingerprint, finding.verdict.key)
        ]
        return not on_it or on_it[-1] == "refuse"


def test_the_main_job_in_any_order(start, tmp_path, passwords):
    run_state_machine_as_test(
        lambda: MainJob(start, tmp_path / "run", passwords),
        settings=settings(
            max_examples=8,
            stateful_step_count=18,
            deadline=None,
            derandomize=True,
            # A failure is shown as it was found: making it smaller takes minutes.
            phases=(Phase.generate,),
            suppress_health_check=list(HealthCheck),
        ),
    )
