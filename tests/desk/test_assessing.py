"""Reading a case, storing its result, and never storing an old one over newer inputs."""

import numpy as np
import pytest
from sqlmodel import select

from tests.boms import HARBOUR, PLACEMENT
from tests.desk.conftest import OnPostgres
from webapp.checks.assess import assess
from webapp.desk import assessing, cases, parts, sweep
from webapp.desk.parts import ValueSource
from webapp.desk.uploads import UploadedFile
from webapp.store.cases import AssessmentCaseRow
from webapp.store.parts import PartRow
from webapp.trade.facts import PartField
from webapp.trade.route import Side
from webapp.trade.sources import Kind


def candidate(database, product_id):
    with database.read() as session:
        return cases.find_case(session, product_id)


def findings(database, case_id):
    with database.read() as session:
        return {row.key: row for row in cases.findings_of(session, case_id)}


def loaded(database, case_id):
    with database.read() as session:
        return assessing.load_case(session, case_id)


def limit(database, person, part, text):
    with database.command() as session:
        parts.state_value(session, person, part, PartField.LIMIT_C, text, ValueSource(Kind.ENTERED))


class TestAssessing:
    def test_the_rows_are_what_the_checks_say(self, database, routed):
        entry = candidate(database, routed(HARBOUR))
        expected = assess(loaded(database, entry.id).case)
        stored = findings(database, entry.id)
        assert set(stored) == {finding.key for finding in expected.findings}
        for finding in expected.findings:
            row = stored[finding.key]
            assert (row.verdict, row.sentence, row.fingerprint) == (
                finding.verdict.key, finding.sentence, finding.fingerprint,
            )  # fmt: skip
            assert (row.refdes, row.same_as_today) == (list(finding.refdes), finding.same_as_today)
        assert {name: getattr(entry.row, name) for name in expected.counts()} == expected.counts()
        assert not entry.stale

    def test_findings_are_replaced_by_key(self, database, person, routed, part_id):
        product_id = routed(HARBOUR)
        entry = candidate(database, product_id)
        before = findings(database, entry.id)
        limit(database, person, part_id("MX-800"), "150")
        assessing.reassess(database, product_id)
        after = findings(database, entry.id)
        blocking = [row for row in after.values() if row.verdict == "blocks"]
        assert [row.refdes for row in blocking] == [["U1"]]
        # What stays keeps its row, so that links to it hold.
        assert {key: row.id for key, row in before.items() if key in after} == {
            key: row.id for key, row in after.items() if key in before
        }
        limit(database, person, part_id("MX-800"), "250")
        assessing.reassess(database, product_id)
        assert not any(row.verdict == "blocks" for row in findings(database, entry.id).values())

    def test_a_result_of_earlier_inputs_is_not_stored(self, database, person, routed, part_id):
        product_id = routed(HARBOUR)
        entry = candidate(database, product_id)
        old = loaded(database, entry.id)
        limit(database, person, part_id("MX-800"), "150")
        assert not assessing.assess_loaded(database, entry.id, old)
        assert candidate(database, product_id).stale
        assert assessing.assess_case(database, entry.id)
        assert not candidate(database, product_id).stale

    def test_a_retired_or_missing_case_is_left_alone(self, database, routed):
        entry = candidate(database, routed(HARBOUR))
        with database.command() as session:
            session.get(AssessmentCaseRow, entry.id).retired_at = entry.row.assessed_at
        assert not assessing.assess_case(database, entry.id)
        assert not assessing.assess_case(database, 99)


class TestAssessingOnPostgres(OnPostgres, TestAssessing):
    pass


class TestLoading:
    def test_places_not_fitted_do_not_count(self, database, routed):
        case = loaded(database, candidate(database, routed(HARBOUR)).id)
        assert [line.refdes for line in case.case.lines] == [("R1", "R2"), ("R3", "R4", "R5"), ("C1", "C10"), ("U1",)]
        assert case.placed.tolist() == [2, 3, 2, 1]

    def test_a_line_on_both_sides_is_one_on_each(self, database, routed):
        product_id = routed(HARBOUR, placement=UploadedFile("place.csv", PLACEMENT))
        case = loaded(database, candidate(database, product_id).id)
        sides = {line.refdes: (line.side, line.of) for line in case.case.lines}
        assert sides["R1",] == (Side.TOP, 0)
        assert sides["R2",] == (Side.BOTTOM, 0)
        assert sides["C1", "C10"] == (Side.BOTTOM, 2)
        assert sides["U1",] == (None, 3)


def test_what_a_datum_alone_would_free(database, person, routed, part_id):
    product_id = routed(HARBOUR)
    entry = candidate(database, product_id)
    with database.read() as session:
        position = {row.label: row.id for row in part_rows(session)}
    finish = next(row for row in findings(database, entry.id).values() if row.check == "finish-unknown")
    counts = {part: (concerned, freed) for part, concerned, freed in finish.parts}
    # Only the finish is open on the resistors; the circuit's self-heating is open as well.
    assert counts[position["GR-104-X7"]] == (2, 2)
    assert counts[position["MX-800"]] == (1, 0)
    assert finish.lines == [1, 2, 3, 4]


def part_rows(session):
    return session.exec(select(PartRow)).all()


class TestSweep:
    def test_takes_what_is_stale_and_only_that(self, database, person, routed, part_id, stale):
        one, two = routed(HARBOUR, "A"), routed(HARBOUR, "B", filename="b.csv")
        assert sweep.sweep(database) == 0
        limit(database, person, part_id("MX-800"), "150")
        assert sweep.sweep(database) == 4
        assert not any((stale(one) | stale(two)).values())

    def test_cases_assessed_by_other_checks_are_stale_too(self, database, routed):
        routed(HARBOUR)
        with database.command() as session:
            for row in session.exec(AssessmentCaseRow.__table__.select()):
                session.get(AssessmentCaseRow, row.id).engine = "older"
        assert sweep.sweep(database) == 2
        assert sweep.sweep(database) == 0

    def test_a_case_that_fails_does_not_keep_the_others_waiting(self, database, person, routed, part_id, monkeypatch):
        one, two = routed(HARBOUR, "A"), routed(HARBOUR, "B", filename="b.csv")
        limit(database, person, part_id("MX-800"), "150")
        broken = candidate(database, one).id
        right = assessing.assess_case

        def failing(db, case_id):
            if case_id == broken:
                raise RuntimeError("broken")
            return right(db, case_id)

        monkeypatch.setattr(sweep, "assess_case", failing)
        assert sweep.sweep(database) == 3
        assert candidate(database, one).stale
        assert not candidate(database, two).stale

    def test_the_thread_sweeps_when_started_and_ends_when_stopped(self, database, person, routed, part_id):
        product_id = routed(HARBOUR)
        limit(database, person, part_id("MX-800"), "150")
        sweeper = sweep.Sweeper(database, every_seconds=60.0)
        sweeper.start()
        thread = sweeper._thread
        # It begins with a sweep, so stopping after it has looked once is enough.
        for _ in range(200):
            if not candidate(database, product_id).stale:
                break
            thread.join(0.05)
        sweeper.stop()
        assert not thread.is_alive()
        assert not candidate(database, product_id).stale


def test_figures_of_a_case_are_plain(database, routed):
    entry = candidate(database, routed(HARBOUR))
    assert isinstance(entry.row.readiness, float)
    assert not any(isinstance(row.value, np.floating) for row in findings(database, entry.id).values())
    assert entry.row.readiness == pytest.approx(0.0)
