"""Findings read as lists need them, against the whole rows."""

import pytest

from tests.boms import HARBOUR
from tests.desk.conftest import OnPostgres
from webapp.desk import cases
from webapp.desk.new_product import ProductFromFiles, new_product
from webapp.desk.uploads import UploadedFile
from webapp.store import product_reads
from webapp.store.finding_reads import briefs_of, findings_by_id, texts_of
from webapp.trade.people import Role


class TestReads:
    @pytest.fixture
    def case_id(self, database, settings, add_person):
        """The candidate of the harbour logger."""
        file = UploadedFile("harbour.csv", HARBOUR)
        files = ProductFromFiles("HL-2", file, "two-sided-low-temperature")
        new_product(database, settings, add_person(Role.ENGINEER), files)
        with database.read() as session:
            return cases.find_case(session, product_reads.product_by_code(session, "HL-2").id).id

    def test_briefs_are_the_rows_in_their_order(self, database, case_id):
        with database.read() as session:
            rows = cases.findings_of(session, case_id)
            assert len(rows) > 2
            assert [tuple(brief) for brief in briefs_of(session, case_id)] == [
                (row.id, row.check, row.verdict, row.need, row.missing, row.same_as_today) for row in rows
            ]

    def test_texts_hold_all_words_and_designators(self, database, case_id):
        with database.read() as session:
            found = {finding_id: (check, words) for finding_id, check, words in texts_of(session, case_id)}
            for row in cases.findings_of(session, case_id):
                words = (row.title, row.sentence, row.step_title, row.missing, *row.refdes)
                assert found[row.id] == (row.check, words)

    def test_whole_rows_come_in_the_order_asked_for(self, database, case_id):
        with database.read() as session:
            ids = [brief.id for brief in briefs_of(session, case_id)][::-1]
            assert [row.id for row in findings_by_id(session, [*ids, 10**9])] == ids


class TestReadsOnPostgres(OnPostgres, TestReads):
    pass
