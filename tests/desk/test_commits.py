import os
import signal
import subprocess
import sys
import textwrap
import threading
from dataclasses import replace
from pathlib import Path

import pytest
from sqlmodel import select

from tests.boms import HARBOUR, HARBOUR_LATER, NO_DESIGNATORS, PLACEMENT, UNCLEAR, table
from tests.desk.conftest import OnPostgres
from tests.desk.test_uploads import CORRECTED
from webapp.desk import commits, drafts, uploads
from webapp.desk.commits import NewProduct, NextRevision
from webapp.desk.drafts import DraftClosedError
from webapp.desk.uploads import UploadedFile
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, NotFoundError
from webapp.store import product_reads
from webapp.store.product_reads import LineView
from webapp.store.products import BomLineRow, BomRevisionRow, ProductRow
from webapp.trade.bom import Field, Fitting
from webapp.trade.people import Role

LOGGER = NewProduct("HL-2", "Harbour logger")


@pytest.fixture
def commit(database, person):
    """``commit(token, target)`` at the version the draft has."""

    def run(token, target=LOGGER, version=None, note=""):
        if version is None:
            with database.read() as session:
                version = drafts.own_row(session, person, token).version
        return commits.commit_upload(database, person, token, version, target, note)

    return run


def stored(database, kind):
    with database.read() as session:
        return session.exec(select(kind)).all()


class TestCommitting:
    def test_every_line_arrives_as_it_was_understood(self, upload, draft, commit, database):
        token = upload(placement=UploadedFile("places.csv", PLACEMENT))
        before = draft(token)
        done = commit(token, note="First lot\r\nof ten")
        assert (done.code, done.number, done.already) == ("HL-2", 1, False)
        (revision,) = stored(database, BomRevisionRow)
        with database.read() as session:
            assert product_reads.lines_of(session, revision.id) == list(before.joined.reading.lines)
        assert (revision.line_count, revision.fitted_count, revision.dnp_count, revision.excluded_count) == (6, 8, 1, 1)
        assert revision.file_sha256 == before.file_sha256
        assert (revision.filename, revision.placement_filename) == ("harbour.csv", "places.csv")
        assert revision.note == "First lot\nof ten"
        lines = stored(database, BomLineRow)
        assert [line.bottom_refdes for line in lines] == [["R2"], [], [], [], [], []]

    def test_twice_gives_the_same_revision(self, upload, commit, database):
        token = upload()
        first = commit(token)
        again = commit(token, NewProduct("other", "Other"), version=1)
        assert (again.code, again.number, again.already) == (first.code, 1, True)
        assert len(stored(database, BomRevisionRow)) == 1
        assert len(stored(database, ProductRow)) == 1

    def test_a_committed_draft_cannot_be_changed(self, upload, commit, draft, database, settings, person):
        token = upload()
        commit(token)
        with pytest.raises(DraftClosedError):
            uploads.set_rows(database, settings, person, token, 2, {3: Fitting.DNP})
        with pytest.raises(DraftClosedError):
            uploads.discard(database, person, token)
        with database.read() as session:
            closed = drafts.closed_draft(session, person, token)
        assert (closed.code, closed.number) == ("HL-2", 1)

    def test_a_stale_version_commits_nothing(self, upload, commit, database, settings, person):
        token = upload()
        uploads.set_rows(database, settings, person, token, 1, {3: Fitting.DNP})
        with pytest.raises(ConflictError, match="changed in another window"):
            commit(token, version=1)
        assert not stored(database, ProductRow)

    def test_what_is_no_bom_is_not_committed(self, upload, commit, database):
        token = upload(NO_DESIGNATORS)
        with pytest.raises(InvalidInputError, match="designators"):
            commit(token)
        assert not stored(database, ProductRow)

    def test_others_cannot_commit_it(self, upload, database, add_person):
        token = upload()
        other = add_person(Role.ENGINEER, login="other")
        with pytest.raises(NotFoundError):
            commits.commit_upload(database, other, token, 1, LOGGER)

    @pytest.mark.parametrize(
        ("target", "field"),
        [
            (NewProduct("", "Name"), "code"),
            (NewProduct("../x", "Name"), "code"),
            (NewProduct("a//b", "Name"), "code"),
            (NewProduct("x" * 41, "Name"), "code"),
            (NewProduct("HL-2", " "), "name"),
            (NewProduct("HL-2", "x" * 201), "name"),
            (NextRevision("HL-9"), "product"),
        ],
    )
    def test_what_is_typed_wrong_is_said_at_its_field(self, upload, commit, database, target, field):
        token = upload()
        with pytest.raises(InvalidInputError) as caught:
            commit(token, target)
        assert caught.value.field == field
        assert not stored(database, ProductRow)

    def test_a_code_is_taken_once_whatever_its_case(self, upload, commit):
        commit(upload())
        with pytest.raises(InvalidInputError, match="HL-2 already") as caught:
            commit(upload(), NewProduct("hl-2", "Another"))
        assert caught.value.field == "code"

    def test_the_next_revision_of_a_product(self, upload, commit, database):
        commit(upload())
        done = commit(upload(HARBOUR_LATER, "later.csv"), NextRevision("hl-2"))
        assert (done.code, done.number) == ("HL-2", 2)
        assert [row.number for row in stored(database, BomRevisionRow)] == [1, 2]

    def test_two_at_once_make_two_revisions(self, upload, commit, database):
        commit(upload())
        tokens = [upload(HARBOUR_LATER), upload(HARBOUR_LATER)]
        results = at_once(lambda token: commit(token, NextRevision("HL-2")), tokens)
        assert sorted(done.number for done in results) == [2, 3]

    def test_one_draft_at_once_from_two_windows_makes_one_revision(self, upload, commit, database):
        token = upload()
        results = at_once(lambda target: commit(token, target, version=1), [LOGGER, NewProduct("HL-3", "Other")])
        assert len({(done.code, done.number) for done in results}) == 1
        assert sorted(done.already for done in results) == [False, True]
        assert len(stored(database, BomRevisionRow)) == 1

    def test_ten_thousand_lines_arrive(self, upload, commit, database):
        token = upload(table(10_000), "large.csv")
        commit(token)
        (revision,) = stored(database, BomRevisionRow)
        assert (revision.line_count, revision.fitted_count) == (10_000, 20_000)
        with database.read() as session:
            rows, total = product_reads.find_lines(
                session, revision.id, LineView(sort="refdes"), offset=9_999, limit=10
            )
        assert total == 10_000
        assert [row.refdes for row in rows] == [["R19999", "R20000"]]


def at_once(run, arguments):
    """What ``run`` gives for each argument, all running together; a business error counts as a result."""
    results = []

    def keep(argument):
        try:
            results.append(run(argument))
        except MeltlineError as error:
            results.append(error)

    threads = [threading.Thread(target=keep, args=(argument,)) for argument in arguments]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results


# Dies without a word when the transaction is about to be committed, the last moment at which all is written.
KILLED = """
    import os, signal, sys
    from sqlalchemy import event
    from webapp.desk import commits
    from webapp.settings import Settings
    from webapp.store.engine import open_database
    from webapp.store.people import person_from, row_by_login

    database = open_database(sys.argv[1])
    with database.read() as session:
        person = person_from(session, row_by_login(session, "engineer"))
    event.listen(database.engine, "commit", lambda _connection: os.kill(os.getpid(), signal.SIGKILL))
    event.listen(database.writer, "commit", lambda _connection: os.kill(os.getpid(), signal.SIGKILL))
    commits.commit_upload(database, person, sys.argv[2], 1, commits.NewProduct("HL-2", "Harbour logger"))
"""


def kill_during_commit(url, token):
    root = Path(__file__).resolve().parents[2]
    return subprocess.run(
        [sys.executable, "-c", textwrap.dedent(KILLED), url, token],
        env={**os.environ, "PYTHONPATH": str(root)},
        timeout=60,
        check=False,
    )


class TestKilledDuringCommit:
    def test_nothing_is_half_stored_and_the_draft_is_still_open(self, upload, draft, commit, database, settings):
        token = upload()
        before = draft(token)
        result = kill_during_commit(settings.db_url, token)
        assert result.returncode == -signal.SIGKILL
        for kind in (ProductRow, BomRevisionRow, BomLineRow):
            assert not stored(database, kind)
        assert draft(token) == before
        # And it commits as if nothing had happened.
        assert commit(token).number == 1
        assert len(stored(database, BomLineRow)) == 6


class TestComparing:
    def test_the_draft_beside_the_last_revision(self, upload, commit, draft, database):
        commit(upload())
        token = upload(HARBOUR_LATER, "later.csv")
        with database.read() as session:
            comparison = commits.compare(session, draft(token), "hl-2")
        found = comparison.difference
        assert (comparison.code, comparison.last) == ("HL-2", 1)
        # By hand from tests/boms.py.
        assert (found.added, found.removed) == (("R6",), ("R5",))
        assert {change.refdes: [what for what, _, _ in change.details] for change in found.changes} == {
            ("C1",): ["part number", "value"],
            ("J1",): ["fitting"],
        }

    def test_an_unknown_product(self, upload, draft, database):
        token = upload()
        with database.read() as session, pytest.raises(InvalidInputError, match="no product"):
            commits.compare(session, draft(token), "HL-9")


class TestMemory:
    def teach(self, upload, commit, database, settings, person):
        token = upload(UNCLEAR, "unclear.csv")
        uploads.set_columns(database, settings, person, token, 1, CORRECTED)
        commit(token)

    def test_columns_set_by_a_person_are_taken_for_the_next_file_and_it_is_said(
        self, upload, commit, draft, database, settings, person, add_person
    ):
        self.teach(upload, commit, database, settings, person)
        found = draft(upload(UNCLEAR.replace(b"GR-104", b"GR-999"), "next.csv"))
        assert found.reading.lines[0].mpn == "GR-999-X7"
        assert (found.taught.by, found.taught.filename) == (person.name, "unclear.csv")
        # They are there for everybody.
        other = add_person(Role.ENGINEER, login="other")
        token = upload(UNCLEAR, "theirs.csv", by=other)
        with database.read() as session:
            assert drafts.open_draft(session, other, token).taught.by == person.name

    def test_nothing_is_remembered_before_the_commit(self, upload, draft, database, settings, person):
        token = upload(UNCLEAR, "unclear.csv")
        uploads.set_columns(database, settings, person, token, 1, CORRECTED)
        assert draft(upload(UNCLEAR, "next.csv")).taught is None

    def test_a_guess_that_nobody_touched_is_not_remembered(self, upload, commit, draft):
        commit(upload(UNCLEAR, "unclear.csv"))
        assert draft(upload(UNCLEAR, "next.csv")).taught is None

    def test_other_heads_get_nothing_of_it(self, upload, commit, draft, database, settings, person):
        self.teach(upload, commit, database, settings, person)
        assert draft(upload()).taught is None

    def test_the_guess_instead_is_what_is_remembered_then(self, upload, commit, draft, database, settings, person):
        self.teach(upload, commit, database, settings, person)
        token = upload(UNCLEAR, "next.csv")
        uploads.guess_columns(database, settings, person, token, 1)
        assert draft(token).taught is None
        commit(token, NextRevision("HL-2"))
        third = draft(upload(UNCLEAR, "third.csv"))
        assert (third.taught, third.choices.columns) == (None, None)

    def test_another_header_row_forgets_columns_set_for_the_first(self, upload, draft, database, settings, person):
        token = upload(HARBOUR)
        uploads.set_columns(database, settings, person, token, 1, {0: Field.REFDES, 2: Field.VALUE})
        uploads.reread(database, settings, person, token, 2, lambda _r, c: replace(c, header_row=0))
        assert draft(token).choices.columns is None


class TestOnPostgres(OnPostgres):
    def test_commit_next_revision_memory_and_comparison(self, upload, commit, draft, database, settings, person):
        token = upload(UNCLEAR, "unclear.csv", placement=UploadedFile("places.csv", PLACEMENT))
        uploads.set_columns(database, settings, person, token, 1, CORRECTED)
        assert commit(token).number == 1
        assert commit(token).already
        token = upload(UNCLEAR, "next.csv")
        assert draft(token).taught.filename == "unclear.csv"
        with database.read() as session:
            assert commits.compare(session, draft(token), "HL-2").difference.is_none
        uploads.guess_columns(database, settings, person, token, 1)
        assert commit(token, NextRevision("HL-2")).number == 2

    def test_two_at_once(self, upload, commit, database):
        commit(upload())
        tokens = [upload(HARBOUR_LATER), upload(HARBOUR_LATER)]
        results = at_once(lambda token: commit(token, NextRevision("HL-2")), tokens)
        assert sorted(done.number for done in results) == [2, 3]
        token = upload()
        results = at_once(lambda _: commit(token, NextRevision("HL-2"), version=1), [1, 2])
        assert {done.number for done in results} == {4}
        assert len(stored(database, BomRevisionRow)) == 4

    def test_text_with_a_null_character_is_stored_without_it(self, upload, commit, database):
        rows = b"Designator,Qty,MPN,Value\nR1,1,AB-1,10\x00k\nR2,1,AB-2,22k\nR3,1,AB-3,33k\n"
        commit(upload(rows, "null.csv"))
        assert [row.value for row in stored(database, BomLineRow)] == ["10k", "22k", "33k"]
