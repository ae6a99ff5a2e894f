"""Which of a line's parts may be fitted: the worst approved one decides, one stays, and a new revision remembers."""

from threading import Barrier, Thread

import pytest
from sqlmodel import select

from tests.desk.conftest import OnPostgres
from webapp.desk import assessing, cases, commits, parts
from webapp.desk.alternates import CHANGED, LAST, NEWER, Place, set_approval
from webapp.desk.commits import NextRevision
from webapp.desk.parts import ValueSource
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.store import part_library, product_reads
from webapp.store.ledger import LedgerEntryRow
from webapp.store.products import BomLineRow
from webapp.trade.facts import PartField
from webapp.trade.ledger import EntryKind
from webapp.trade.sources import Kind

HEAD = b"Designator,Qty,MPN,Manufacturer,Package\n"
REST = b"R2,1,A,B,0402\nR3,1,C,B,0402\n"
BOM = HEAD + b"R1,1,GR-1 or GR-9,Kelvarn,0402\n" + REST


@pytest.fixture
def line_parts(database):
    """``line_parts(product_id)`` is the parts of the newest revision's lines with alternates, by position."""

    def look(product_id):
        with database.read() as session:
            revision = product_reads.last_revision(session, product_id)
            rows = session.exec(select(BomLineRow).where(BomLineRow.revision_id == revision.id)).all()
            found = part_library.parts_of_lines(session, [row.id for row in rows])
            return {row.position: found[row.id] for row in rows if row.id in found}

    return look


@pytest.fixture
def change(database, person, line_parts):
    """``change(product_id, part_id, approved=False)`` takes a part out of line 1, as seen at that moment."""

    def send(product_id, part_id, *, approved, version=None, revision=1, line=1):
        seen = {part.part_id: part.version for part in line_parts(product_id).get(line, ())}
        version = seen.get(part_id, 1) if version is None else version
        with database.command() as session:
            place = Place(revision, line, part_id)
            set_approval(session, person, product_id, place, approved=approved, version=version)

    return send


@pytest.fixture
def next_revision(database, person, upload, draft):
    """``next_revision(content)`` commits the content as the next revision of HL-2."""

    def commit(content):
        token = upload(content, "later.csv")
        commits.commit_upload(database, person, token, draft(token).version, NextRevision("HL-2"))

    return commit


def blocking(database, product_id):
    with database.read() as session:
        found = cases.findings_of(session, cases.find_case(session, product_id).id)
    return [finding.title for finding in found if finding.verdict == "blocks"]


def states(found):
    return {part.label: part.approved for part in found}


class TestApproving:
    def test_the_worst_approved_part_decides_and_the_inverse_undoes(self, database, person, routed, part_id, change):
        product_id = routed(BOM)
        with database.command() as session:
            source = ValueSource(Kind.ENTERED)
            parts.state_value(session, person, part_id("GR-9"), PartField.LIMIT_C, "150", source)
        assessing.reassess(database, product_id)
        assert blocking(database, product_id) == ["GR-9"]
        change(product_id, part_id("GR-9"), approved=False)
        assessing.reassess(database, product_id)
        assert blocking(database, product_id) == []
        change(product_id, part_id("GR-9"), approved=True)
        assessing.reassess(database, product_id)
        assert blocking(database, product_id) == ["GR-9"]

    def test_who_said_so_and_the_ledger(self, database, person, routed, part_id, line_parts, change, stale):
        product_id = routed(BOM)
        change(product_id, part_id("GR-9"), approved=False)
        own, other = line_parts(product_id)[1]
        assert (own.label, own.own, own.approved, own.changed_by) == ("GR-1", True, True, None)
        assert (other.label, other.own, other.approved, other.changed_by) == ("GR-9", False, False, person.name)
        assert all(stale(product_id).values())
        with database.read() as session:
            kind = EntryKind.APPROVAL_CHANGED
            (entry,) = session.exec(select(LedgerEntryRow).where(LedgerEntryRow.kind == kind)).all()
        assert (entry.actor, entry.subject) == (person.login, "product HL-2")
        assert entry.fields == {
            "product": "HL-2",
            "revision": 1,
            "line": 1,
            "refdes": ["R1"],
            "part": entry.fields["part"],
            "approved": False,
        }
        assert "GR9" in entry.fields["part"].upper().replace("-", "")

    def test_one_has_to_stay(self, routed, part_id, line_parts, change):
        product_id = routed(BOM)
        change(product_id, part_id("GR-1"), approved=False)
        with pytest.raises(InvalidInputError, match=LAST) as caught:
            change(product_id, part_id("GR-9"), approved=False)
        assert caught.value.field == "approved"
        assert states(line_parts(product_id)[1]) == {"GR-1": False, "GR-9": True}

    def test_a_state_seen_before_somebody_elses_change_is_refused(self, routed, part_id, line_parts, change):
        product_id = routed(BOM)
        change(product_id, part_id("GR-9"), approved=False)
        with pytest.raises(ConflictError, match=CHANGED):
            change(product_id, part_id("GR-9"), approved=False, version=1)
        assert states(line_parts(product_id)[1]) == {"GR-1": True, "GR-9": False}

    def test_what_holds_already_changes_nothing(self, routed, part_id, line_parts, change, stale):
        product_id = routed(BOM)
        change(product_id, part_id("GR-9"), approved=True)
        assert line_parts(product_id)[1][1].version == 1
        assert not any(stale(product_id).values())

    def test_a_line_that_has_no_such_part(self, routed, part_id, change):
        product_id = routed(BOM)
        for line in (2, 99):
            with pytest.raises(NotFoundError):
                change(product_id, part_id("GR-9"), approved=True, line=line)

    def test_a_page_of_the_revision_before_is_refused(self, routed, part_id, change, next_revision):
        product_id = routed(BOM)
        next_revision(BOM.replace(b"R2,1", b"R5,1"))
        with pytest.raises(ConflictError, match=NEWER):
            change(product_id, part_id("GR-9"), approved=False, revision=1)
        change(product_id, part_id("GR-9"), approved=False, revision=2)

    def test_two_who_each_leave_the_other_part_do_not_leave_none(self, database, person, routed, part_id, line_parts):
        product_id = routed(BOM)
        start, refused = Barrier(2), []

        def take_out(part):
            start.wait()
            try:
                with database.command() as session:
                    set_approval(session, person, product_id, Place(1, 1, part), approved=False, version=1)
            except InvalidInputError as error:
                refused.append(error)

        threads = [Thread(target=take_out, args=[part_id(label)]) for label in ("GR-1", "GR-9")]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(refused) == 1
        assert sorted(states(line_parts(product_id)[1]).values()) == [False, True]


class TestApprovingOnPostgres(OnPostgres, TestApproving):
    pass


class TestNextRevision:
    """R1 could be fitted with GR-1 or GR-9; what was taken out stays out where a place has it the same way."""

    @pytest.mark.parametrize(
        ("lines", "found"),
        [
            (b"R1,1,GR-1 or GR-9,Kelvarn,0402\n", {1: {"GR-1": True, "GR-9": False}}),
            (b'"R1,R7",2,GR-1 or GR-9,Kelvarn,0402\n', {1: {"GR-1": True, "GR-9": False}}),
            (b"R1,1,GR-1 or GR-9 or GR-7,Kelvarn,0402\n", {1: {"GR-1": True, "GR-9": False, "GR-7": True}}),
            # Another place, and a list that now names the part first, ask for it anew.
            (b"R7,1,GR-1 or GR-9,Kelvarn,0402\n", {1: {"GR-1": True, "GR-9": True}}),
            (b"R1,1,GR-9 or GR-1,Kelvarn,0402\n", {1: {"GR-9": True, "GR-1": True}}),
        ],
    )
    def test_an_alternate_taken_out_stays_out(
        self, person, routed, part_id, line_parts, change, next_revision, lines, found
    ):
        product_id = routed(BOM)
        change(product_id, part_id("GR-9"), approved=False)
        next_revision(HEAD + lines + REST)
        now = line_parts(product_id)
        assert {position: states(line) for position, line in now.items()} == found
        for part in now[1]:
            assert part.changed_by == (None if part.approved else person.name)

    def test_a_part_that_is_the_only_one_left_may_be_fitted(self, routed, part_id, change, next_revision, database):
        product_id = routed(BOM)
        change(product_id, part_id("GR-1"), approved=False)
        next_revision(HEAD + b"R1,1,GR-1,Kelvarn,0402\n" + REST)
        assessing.reassess(database, product_id)
        with database.read() as session:
            uses = parts.part_page(session, part_id("GR-1")).uses
        assert [(use.refdes, use.approved) for use in uses] == [(("R1",), True)]

    def test_merged_lines_that_disagree_ask_anew(self, routed, part_id, line_parts, change, next_revision):
        product_id = routed(HEAD + b"R1,1,GR-1 or GR-9,Kelvarn,0402\nR4,1,GR-1 or GR-9,Kelvarn,0402\n" + REST)
        change(product_id, part_id("GR-9"), approved=False)
        next_revision(HEAD + b'"R1,R4",2,GR-1 or GR-9,Kelvarn,0402\n' + REST)
        assert states(line_parts(product_id)[1]) == {"GR-1": True, "GR-9": True}
