from dataclasses import replace

import pytest
from sqlmodel import select

from tests.boms import HARBOUR, HARBOUR_LATER, NO_DESIGNATORS, PLACEMENT, UNCLEAR
from tests.desk.conftest import OnPostgres
from webapp.desk import drafts, uploads
from webapp.desk.drafts import DraftClosedError
from webapp.desk.uploads import UploadedFile
from webapp.errors import ConflictError, InvalidInputError, NotFoundError, TooLargeError, UnreadableFileError
from webapp.settings import Settings
from webapp.store import files
from webapp.store.files import StoredFileRow
from webapp.store.uploads import UploadRow
from webapp.trade.bom import Field, Fitting
from webapp.trade.people import Role
from webapp.trade.tally import Tally

# By hand from tests/boms.py: R1-R5, C1, C10, U1 fitted; J1 not; FD1 a fiducial; title, heading, total passed over.
HARBOUR_COUNTS = Tally(lines=6, fitted=8, dnp=1, excluded=1, loose=0, skipped=3, problems=0)
CORRECTED = {0: Field.REFDES, 1: Field.QTY, 2: Field.MPN, 3: Field.MANUFACTURER, 4: Field.PACKAGE}


def rows_of(database, table):
    with database.read() as session:
        return session.exec(select(table)).all()


class TestStarting:
    def test_a_file_becomes_a_draft_with_its_counts_and_its_original(self, upload, draft, database, settings, person):
        token = upload()
        found = draft(token)
        assert found.counts == HARBOUR_COUNTS
        assert files.read_file(settings.files_dir, found.file_sha256) == HARBOUR
        assert found.size == len(HARBOUR)
        assert (found.version, found.filename) == (1, "harbour.csv")
        with database.read() as session:
            (entry,) = drafts.own_open_drafts(session, person)
        assert (entry.token, entry.counts) == (token, HARBOUR_COUNTS)

    def test_it_is_opened_from_what_is_stored_only_when_it_has_changed(self, upload, draft, database, settings, person):
        token = upload(placement=UploadedFile("places.csv", PLACEMENT))
        first = draft(token)
        assert draft(token).joined is first.joined
        uploads.set_rows(database, settings, person, token, first.version, {3: Fitting.DNP})
        assert draft(token).joined.reading != first.joined.reading
        uploads.remove_placement(database, person, token, draft(token).version)
        assert draft(token).placement is None

    def test_the_same_form_twice_makes_one_draft(self, upload, database):
        key = uploads.new_form_key()
        assert upload(form_key=key) == upload(form_key=key)
        assert len(rows_of(database, UploadRow)) == 1

    def test_the_same_form_with_another_file_makes_another_draft(self, upload):
        # Somebody went back and chose another file: they must not get the first one's draft.
        key = uploads.new_form_key()
        assert upload(form_key=key) != upload(HARBOUR_LATER, form_key=key)

    def test_a_form_key_from_elsewhere_is_not_taken(self, upload, database):
        upload(form_key="x")
        assert len(rows_of(database, UploadRow)[0].form_key) > 16

    def test_a_file_that_cannot_be_read_leaves_nothing(self, upload, database, settings):
        with pytest.raises(UnreadableFileError, match="neither text nor a workbook") as caught:
            upload(bytes(range(256)) * 40, "junk.xlsx")
        assert caught.value.field == "file"
        assert not rows_of(database, UploadRow)
        assert not rows_of(database, StoredFileRow)
        assert not settings.files_dir.exists()

    def test_an_empty_and_a_large_file_are_refused(self, upload, database, settings, person):
        with pytest.raises(UnreadableFileError, match=r"harbour\.csv is empty"):
            upload(b"")
        small = Settings(data_dir=settings.data_dir, max_upload_bytes=1024)
        new = uploads.NewUpload(UploadedFile("big.csv", b"x" * 1025), uploads.new_form_key())
        with pytest.raises(TooLargeError):
            uploads.start_upload(database, small, person, new)
        assert not rows_of(database, UploadRow)

    def test_a_bad_placement_file_leaves_nothing(self, upload, database):
        with pytest.raises(UnreadableFileError) as caught:
            upload(placement=UploadedFile("prices.csv", NO_DESIGNATORS))
        assert caught.value.field == "placement"
        assert not rows_of(database, UploadRow)

    def test_a_readable_file_that_is_no_bom_becomes_a_draft_that_says_why(self, upload, draft):
        found = draft(upload(NO_DESIGNATORS))
        assert not found.reading.is_board_bom
        assert "designators" in found.reading.why_not_bom

    @pytest.mark.parametrize(
        ("given", "kept"),
        [
            ("C:\\boms\\r 2.csv", "r 2.csv"),
            ("../../etc/passwd", "passwd"),
            ("a\nb\x00.csv", "a b .csv"),
            ("", "unnamed file"),
            ("x" * 300, "x" * 255),
        ],
    )
    def test_names_of_files_are_tidied(self, given, kept):
        assert UploadedFile(given, b"").name == kept

    def test_an_unknown_product_is_refused(self, upload):
        with pytest.raises(InvalidInputError, match="no product"):
            upload(product_code="HL-9")


class TestOwning:
    def test_others_do_not_see_a_draft(self, upload, database, settings, add_person):
        token = upload()
        other = add_person(Role.ENGINEER, login="other")
        with database.read() as session, pytest.raises(NotFoundError):
            drafts.open_draft(session, other, token)
        with pytest.raises(NotFoundError):
            uploads.set_rows(database, settings, other, token, 1, {3: Fitting.DNP})
        with pytest.raises(NotFoundError):
            uploads.discard(database, other, token)
        with database.read() as session:
            assert drafts.own_open_drafts(session, other) == []


class TestChanging:
    def test_reading_again_with_another_header_row(self, upload, draft, database, settings, person):
        token = upload()
        uploads.reread(database, settings, person, token, 1, lambda _r, choices: replace(choices, header_row=0))
        found = draft(token)
        assert (found.reading.header_row, found.version) == (None, 2)
        # The former header is a row like any other now.
        assert "header" not in {skip.reason for skip in found.reading.skipped}

    def test_a_stale_version_is_refused_and_nothing_changes(self, upload, draft, database, settings, person):
        token = upload()
        uploads.set_rows(database, settings, person, token, 1, {3: Fitting.DNP})
        before = draft(token)
        for change in (
            lambda: uploads.set_rows(database, settings, person, token, 1, {4: Fitting.DNP}),
            lambda: uploads.set_columns(database, settings, person, token, 1, {0: Field.REFDES}),
            lambda: uploads.set_placement(database, settings, person, token, 1, UploadedFile("p.csv", PLACEMENT)),
            lambda: uploads.remove_placement(database, person, token, 1),
        ):
            with pytest.raises(ConflictError, match="changed in another window"):
                change()
        assert draft(token) == before

    def test_a_change_meanwhile_is_noticed_after_the_reading_too(self, upload, draft, database, settings, person):
        token = upload()

        def change(_reading, choices):
            uploads.set_placement(database, settings, person, token, 1, UploadedFile("p.csv", PLACEMENT))
            return replace(choices, header_row=3)

        with pytest.raises(ConflictError):
            uploads.reread(database, settings, person, token, 1, change)
        assert draft(token).choices.header_row is None

    def test_the_same_change_twice_is_no_conflict(self, upload, draft, database, settings, person):
        token = upload()
        for _ in range(2):
            uploads.set_rows(database, settings, person, token, 1, {3: Fitting.DNP})
        assert draft(token).version == 2

    def test_a_choice_that_cannot_be_read_leaves_the_draft(self, upload, draft, database, settings, person):
        token = upload()
        before = draft(token)
        with pytest.raises(UnreadableFileError):
            uploads.reread(database, settings, person, token, 1, lambda _r, c: replace(c, encoding="no-such-code"))
        assert draft(token) == before


class TestColumns:
    def test_corrected_columns_give_part_numbers_and_makers(self, upload, draft, database, settings, person):
        token = upload(UNCLEAR, "unclear.csv")
        assert {line.mpn for line in draft(token).reading.lines} == {None}
        uploads.set_columns(database, settings, person, token, 1, CORRECTED)
        found = draft(token)
        assert [line.mpn for line in found.reading.lines] == ["GR-104-X7", "00471", "MX-800", "LQ-22"]
        assert found.reading.lines[0].manufacturer == "Kelvarn"
        assert found.choices.columns == {field: position for position, field in CORRECTED.items()}

    def test_back_to_the_guess(self, upload, draft, database, settings, person):
        token = upload(UNCLEAR, "unclear.csv")
        before = draft(token).reading
        uploads.set_columns(database, settings, person, token, 1, CORRECTED)
        uploads.guess_columns(database, settings, person, token, 2)
        assert draft(token).reading == before
        assert draft(token).choices.columns is None

    def test_two_columns_for_one_field_are_refused_at_the_second(self, upload, draft, database, settings, person):
        token = upload(UNCLEAR, "unclear.csv")
        with pytest.raises(InvalidInputError, match="Article and Firm house") as caught:
            uploads.set_columns(database, settings, person, token, 1, {0: Field.REFDES, 2: Field.MPN, 3: Field.MPN})
        assert caught.value.field == "column_3"
        assert draft(token).version == 1

    def test_designators_are_needed(self, upload, database, settings, person):
        token = upload(UNCLEAR, "unclear.csv")
        with pytest.raises(InvalidInputError, match="which column holds the designators"):
            uploads.set_columns(database, settings, person, token, 1, {2: Field.MPN})

    def test_a_column_that_is_not_there_is_refused(self, upload, database, settings, person):
        token = upload(UNCLEAR, "unclear.csv")
        with pytest.raises(InvalidInputError, match="no column 41"):
            uploads.set_columns(database, settings, person, token, 1, {0: Field.REFDES, 40: Field.MPN})

    def test_leaving_the_guess_as_it_is_teaches_nothing(self, upload, draft, database, settings, person):
        token = upload()
        fields = {column.index: column.field for column in draft(token).reading.table}
        uploads.set_columns(database, settings, person, token, 1, fields)
        assert draft(token).choices.columns is None


class TestRows:
    def test_a_row_is_not_fitted_left_out_and_as_read_again(self, upload, draft, database, settings, person):
        token = upload()
        uploads.set_rows(database, settings, person, token, 1, {3: Fitting.DNP, 6: Fitting.SKIP, 9: Fitting.FITTED})
        # R1, R2 out; U1 gone; J1 in: 8 - 2 - 1 + 1.
        assert (draft(token).counts.fitted, draft(token).counts.dnp) == (6, 2)
        assert [skip.row for skip in draft(token).reading.skipped if skip.reason == "left_out"] == [6]
        uploads.set_rows(database, settings, person, token, 2, {3: None, 6: None, 9: None})
        assert draft(token).counts == HARBOUR_COUNTS
        assert draft(token).choices.rows == {}

    def test_a_row_passed_over_is_taken_as_a_line(self, upload, draft, database, settings, person):
        token = upload()
        uploads.set_rows(database, settings, person, token, 1, {10: Fitting.FITTED})
        line = draft(token).reading.lines[-1]
        assert (line.row, line.refdes, line.qty) == (10, ("Total",), 9)

    def test_rows_that_are_not_there_are_refused(self, upload, database, settings, person):
        token = upload()
        with pytest.raises(InvalidInputError, match="rows 1 to 10"):
            uploads.set_rows(database, settings, person, token, 1, {11: Fitting.DNP})


class TestPlacement:
    def test_sides_come_from_the_placement_file_and_go_with_it(self, upload, draft, database, settings, person):
        token = upload(placement=UploadedFile("places.csv", PLACEMENT))
        joined = draft(token).joined
        assert {line.row: line.side for line in joined.reading.lines} == {
            3: "both", 4: "top", 5: "bottom", 6: None, 7: None, 9: None,
        }  # fmt: skip
        assert joined.bottom_refdes == {3: ("R2",)}
        assert joined.not_in_bom == ("Z9",)
        assert joined.not_in_file == ("U1",)
        uploads.remove_placement(database, person, token, 1)
        assert {line.side for line in draft(token).joined.reading.lines} == {None}
        uploads.set_placement(database, settings, person, token, 2, UploadedFile("places.csv", PLACEMENT))
        assert draft(token).joined == joined

    def test_sides_stay_when_the_bom_is_read_again(self, upload, draft, database, settings, person):
        token = upload(placement=UploadedFile("places.csv", PLACEMENT))
        uploads.set_rows(database, settings, person, token, 1, {4: Fitting.DNP})
        assert draft(token).joined.reading.lines[1].side == "top"


class TestDiscarding:
    def test_thrown_away_and_taken_back(self, upload, draft, database, settings, person):
        token = upload()
        uploads.discard(database, person, token)
        with pytest.raises(DraftClosedError):
            draft(token)
        with pytest.raises(DraftClosedError):
            uploads.set_rows(database, settings, person, token, 2, {3: Fitting.DNP})
        uploads.take_back(database, person, token)
        assert draft(token).counts == HARBOUR_COUNTS

    def test_the_form_of_a_draft_thrown_away_makes_a_new_one(self, upload, database, person):
        key = uploads.new_form_key()
        first = upload(form_key=key)
        uploads.discard(database, person, first)
        assert upload(form_key=key) != first


class TestOnPostgres(OnPostgres):
    def test_the_whole_way_of_a_draft(self, upload, draft, database, settings, person):
        key = uploads.new_form_key()
        token = upload(UNCLEAR, "unclear.csv", form_key=key, placement=UploadedFile("places.csv", PLACEMENT))
        assert upload(UNCLEAR, "unclear.csv", form_key=key) == token
        uploads.set_columns(database, settings, person, token, 1, CORRECTED)
        uploads.set_rows(database, settings, person, token, 2, {3: Fitting.DNP})
        assert (draft(token).counts.fitted, draft(token).counts.dnp) == (4, 2)
        uploads.discard(database, person, token)
        uploads.take_back(database, person, token)
        assert draft(token).version == 5
