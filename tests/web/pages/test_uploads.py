import csv
import io

import pytest
from sqlmodel import delete, select

from tests.boms import HARBOUR, HARBOUR_LATER, NO_DESIGNATORS, PLACEMENT, UNCLEAR, table
from tests.intake.files import protected_xlsx, two_cells, xlsx, zip_bomb
from tests.web.pages.wizard import CORRECTED, Wizard, fields, hidden, plain
from webapp.store.files import StoredFileRow
from webapp.store.products import BomRevisionRow, ProductRow
from webapp.store.sessions import LoginSessionRow
from webapp.store.uploads import UploadRow
from webapp.trade.people import Role


@pytest.fixture
def engineer(sign_in):
    """A browser in which an engineer is signed in."""
    return sign_in(Role.ENGINEER)


@pytest.fixture
def wizard(engineer):
    return Wizard(engineer)


def stored(database, kind):
    with database.read() as session:
        return session.exec(select(kind)).all()


class TestTheWholeWay:
    def test_from_file_to_product(self, wizard, database):
        answer = wizard.start(UNCLEAR, "unclear.csv")
        assert answer.headers["location"] == f"/uploads/{wizard.token}/found"
        assert "4 lines: 6 placements fitted, 0 not fitted" in plain(wizard.get("found"))
        answer = wizard.post_found(go="columns")
        assert answer.headers["location"].endswith("/columns")
        assert "No column for part number" in plain(wizard.get("columns"))
        answer = wizard.post_columns(**CORRECTED)
        assert answer.headers["location"].endswith("/rows")
        assert "GR-104-X7" in plain(wizard.get("rows"))
        answer = wizard.post("rows", row_2="dnp", go="commit")
        assert answer.headers["location"].endswith("/commit")
        assert "Commit as revision 1" in plain(wizard.get("commit"))
        assert not stored(database, ProductRow)
        answer = wizard.commit()
        assert answer.headers["location"] == "/products/HL-2?done=committed"
        page = plain(wizard.client.get(answer.headers["location"]))
        assert "Revision 1 is committed: 4 lines, 4 placements fitted, 2 not fitted." in page
        assert "GR-104-X7" in page

    def test_what_was_left_as_found_is_no_choice(self, wizard, database):
        wizard.start()
        wizard.post_found(go="columns")
        wizard.post_columns()
        (row,) = stored(database, UploadRow)
        assert (row.version, row.choices["sheet"], row.choices["columns"], row.choices["encoding"]) == (
            1, None, None, None,
        )  # fmt: skip

    def test_the_next_file_with_these_heads_gets_the_columns_and_it_is_said(self, wizard):
        wizard.start(UNCLEAR, "unclear.csv")
        wizard.post_columns(**CORRECTED)
        wizard.commit()
        wizard.start(UNCLEAR + b"Q1;1;TT-1;Kelvarn;SOT-23\n", "next.csv")
        page = plain(wizard.get("columns"))
        assert "The columns are as you set them for unclear.csv on 20" in page
        assert "as set before" in page
        answer = wizard.client.post(f"/uploads/{wizard.token}/columns/guess", data={"version": wizard.version()})
        assert answer.headers["location"].endswith("/columns?done=columns")
        assert "as you set them" not in plain(wizard.get("columns"))


class TestWho:
    @pytest.mark.parametrize("role", [Role.REVIEWER, Role.MANAGER, Role.ADMINISTRATOR])
    def test_uploading_needs_an_engineer(self, sign_in, role):
        client = sign_in(role)
        for path in ("/uploads", "/uploads/new", "/uploads/x/found"):
            assert client.get(path).status_code == 403
        assert client.post("/uploads").status_code == 403

    def test_the_draft_of_somebody_else_is_not_there(self, wizard, sign_in):
        wizard.start()
        other = sign_in(Role.ENGINEER, login="other")
        for step in ("", "/found", "/columns", "/rows", "/commit", "/rejected.csv"):
            assert other.get(f"/uploads/{wizard.token}{step}").status_code == 404
        for step in ("/found", "/columns", "/columns/guess", "/rows", "/placement/remove", "/commit", "/discard"):
            assert (
                other.post(f"/uploads/{wizard.token}{step}", data={"version": "1", "header_row": "1"}).status_code
                == 404
            )
        assert "harbour" not in other.get("/uploads").text

    def test_a_session_that_is_over_in_the_middle_loses_nothing(self, wizard, database):
        wizard.start()
        with database.command() as session:
            session.exec(delete(LoginSessionRow))
        page = f"http://127.0.0.1:8000/uploads/{wizard.token}/rows"
        answer = wizard.client.post(
            f"/uploads/{wizard.token}/rows", data={"version": "1", "row_3": "dnp"}, headers={"Referer": page}
        )
        assert (answer.status_code, answer.headers["location"]) == (
            303, f"/sign-in?next=/uploads/{wizard.token}/rows",
        )  # fmt: skip
        answer = wizard.client.post(
            "/sign-in",
            data={"login": "engineer", "password": "seven copper kettles", "next": f"/uploads/{wizard.token}/rows"},
        )
        assert answer.headers["location"] == f"/uploads/{wizard.token}/rows"
        assert "8 placements fitted" in plain(wizard.get("rows"))


class TestBadFiles:
    @pytest.mark.parametrize(
        ("content", "filename", "sentence"),
        [
            (b"", "empty.csv", "empty.csv is empty"),
            (bytes(range(256)) * 64, "photo.xlsx", "neither text nor a workbook"),
            (b"PK\x03\x04 broken", "broken.xlsx", "damaged"),
            (protected_xlsx(), "secret.xlsx", "password"),
            (two_cells(), "two-cells.xlsx", "reaches to row 1,048,576"),
            (zip_bomb(300 * 2**20), "bomb.xlsx", "unpack"),
            (b"R1,1,AB-1\n" * 1_000_000, "million.csv", "reaches to row 1,000,000"),
        ],
    )
    def test_a_file_that_cannot_be_read(self, wizard, database, settings, content, filename, sentence):
        answer = wizard.start(content, filename)
        assert answer.status_code == 422
        assert sentence in plain(answer)
        assert 'aria-describedby="f-file-hint f-file-error"' in answer.text
        assert not stored(database, UploadRow)
        assert not stored(database, StoredFileRow)
        assert not settings.files_dir.exists()

    def test_no_file_at_all(self, wizard, database):
        answer = wizard.client.post("/uploads", data={"form_key": "x" * 20}, files={"file": ("", b"")})
        assert answer.status_code == 422
        assert "Choose the file with the bill of materials" in plain(answer)
        assert wizard.client.post("/uploads", data={}).status_code == 422

    def test_past_the_size_limit(self, wizard, database):
        answer = wizard.start(b"x" * (33 * 2**20 + 1), "large.csv")
        assert answer.status_code == 413
        assert "32 MiB" in plain(answer)
        answer = wizard.start(b"x" * (32 * 2**20 + 1), "just-too-large.csv")
        assert answer.status_code == 413
        assert "just-too-large.csv is larger than the 32 MiB" in plain(answer)
        assert not stored(database, UploadRow)

    def test_the_form_keeps_the_product_it_was_for(self, wizard):
        wizard.start()
        wizard.commit()
        answer = wizard.start(b"", "empty.csv", product="HL-2")
        assert hidden(answer.text, "product") == "HL-2"

    def test_a_list_without_designators_is_shown_and_not_committed(self, wizard, database):
        assert wizard.start(NO_DESIGNATORS, "prices.csv").status_code == 303
        page = plain(wizard.get("found"))
        assert "This does not read as the BOM of a board" in page
        assert "No column holds reference designators" in page
        assert wizard.commit().status_code == 422
        assert not stored(database, ProductRow)

    def test_formulas_stay_text(self, wizard):
        bom = (
            "Designator,Qty,MPN,Value\nR1,1,=cmd|' /C calc'!A0,10k\nR2,1,AB-2,=1+1\nR3,1,@SUM(A1),33k\nR4,1,AB-4,44k\n"
        )
        assert wizard.start(bom.encode(), "formulas.csv").status_code == 303
        page = wizard.get("rows")
        assert "=cmd|' /C calc'!A0" in plain(page)
        assert "looks like a formula: kept as text, never run" in plain(page)
        rejected = wizard.get("rejected.csv")
        assert rejected.headers["content-type"].startswith("text/csv")
        rows = list(csv.reader(io.StringIO(rejected.content.decode("utf-8-sig"), newline="")))
        assert rows[0] == ["Row", "Reason", "Text"]
        assert {row[0] for row in rows[1:]} >= {"2", "4"}
        assert not [cell for row in rows for cell in row if cell.startswith(("=", "+", "-", "@"))]

    def test_markup_in_a_file_is_text(self, wizard):
        bom = b"Designator,Qty,MPN\nR1,1,<script>alert(1)</script>\nR2,1,A&B\nR3,1,AB-3\n"
        wizard.start(bom, "<b>x.csv")
        for step in ("found", "columns", "rows", "commit"):
            text = wizard.get(step).text
            assert "<script>alert" not in text
            assert "<b>x" not in text

    def test_a_bad_placement_file_beside_a_good_bom(self, wizard, database):
        answer = wizard.start(placement=("p.csv", NO_DESIGNATORS))
        assert answer.status_code == 422
        assert 'id="f-placement-error"' in answer.text
        assert not stored(database, UploadRow)


class TestTwiceAndBack:
    def test_the_upload_form_sent_twice(self, wizard, database):
        key = hidden(wizard.client.get("/uploads/new").text, "form_key")
        first = wizard.start(form_key=key)
        again = wizard.start(form_key=key)
        assert first.headers["location"] == again.headers["location"]
        assert len(stored(database, UploadRow)) == 1

    def test_commit_sent_twice_leads_to_the_product_with_a_notice(self, wizard, database):
        wizard.start()
        version = wizard.version()
        wizard.commit(version=version)
        again = wizard.commit(version=version)
        assert again.headers["location"] == "/products/HL-2?done=already&revision=1"
        page = plain(wizard.client.get(again.headers["location"]))
        assert "This upload was committed before, as revision 1. Nothing was made a second time." in page
        assert len(stored(database, BomRevisionRow)) == 1

    def test_back_after_the_commit_leads_to_what_it_became(self, wizard):
        wizard.start()
        version = wizard.version()
        wizard.commit()
        for step in ("found", "columns", "rows", "commit"):
            answer = wizard.get(step)
            assert (answer.status_code, answer.headers["location"]) == (303, f"/uploads/{wizard.token}")
        answer = wizard.post("rows", version=version, row_3="dnp")
        assert answer.headers["location"] == f"/uploads/{wizard.token}"
        page = plain(wizard.client.get(f"/uploads/{wizard.token}"))
        assert "Committed as revision 1 of HL-2" in page

    def test_back_to_an_earlier_step_and_on_again(self, wizard):
        wizard.start()
        rows = wizard.get("rows").text
        wizard.post_columns(_5="")
        # The page from before the change is sent: it is refused, shown as it is now, and goes through then.
        stale = {**fields(rows), "row_3": "dnp"}
        answer = wizard.client.post(f"/uploads/{wizard.token}/rows", data=stale)
        assert answer.status_code == 409
        assert "changed in another window" in plain(answer)
        assert fields(answer.text)["row_3"] == "dnp"
        answer = wizard.client.post(f"/uploads/{wizard.token}/rows", data=fields(answer.text))
        assert answer.status_code == 303
        assert "6 placements fitted" in plain(wizard.get("rows"))

    def test_stale_pages_of_the_other_steps(self, wizard):
        wizard.start()
        wizard.post("rows", version="1", row_3="dnp")
        found = {**fields(wizard.get("found").text), "version": "1", "header_row": "0"}
        answer = wizard.client.post(f"/uploads/{wizard.token}/found", data=found)
        assert answer.status_code == 409
        assert fields(answer.text)["header_row"] == "0"
        answer = wizard.post_columns(version="1", _5="")
        assert answer.status_code == 409
        assert fields(answer.text)["column_5"] == ""
        answer = wizard.commit(version="1", code="HL-7", name="Kept")
        assert answer.status_code == 409
        assert 'value="HL-7"' in answer.text

    def test_thrown_away_and_taken_back(self, wizard):
        wizard.start()
        answer = wizard.client.post(f"/uploads/{wizard.token}/discard")
        page = wizard.client.get(answer.headers["location"])
        assert "The upload is thrown away." in plain(page)
        assert f"/uploads/{wizard.token}/take-back" in page.text
        assert wizard.get("rows").headers["location"] == f"/uploads/{wizard.token}"
        assert "Thrown away on" in plain(wizard.client.get(f"/uploads/{wizard.token}"))
        answer = wizard.client.post(f"/uploads/{wizard.token}/take-back")
        assert "The upload is open again." in plain(wizard.client.get(answer.headers["location"]))


class TestFound:
    @pytest.mark.parametrize(
        ("field", "value"),
        [
            ("header_row", "11"),
            ("header_row", "-1"),
            ("header_row", "x"),
            ("header_row", ""),
            ("delimiter", "x"),
            ("encoding", "rot13"),
            ("decimal", ";"),
        ],
    )
    def test_a_wrong_value_is_said_at_its_field_and_kept(self, wizard, field, value):
        wizard.start()
        answer = wizard.post_found(**{field: value})
        assert answer.status_code == 422
        assert f'id="f-{field}-error"' in answer.text
        if field == "header_row":
            assert fields(answer.text)[field] == value

    def test_another_separator_forgets_what_was_said_of_rows(self, wizard, database):
        wizard.start()
        wizard.post("rows", row_3="dnp")
        assert wizard.post_found(delimiter="comma").status_code == 303
        (row,) = stored(database, UploadRow)
        assert (row.choices["delimiter"], row.choices["rows"]) == (",", {})

    def test_the_sheet_of_a_workbook_is_chosen(self, wizard):
        content = xlsx({"Parts": [["Designator", "Qty", "MPN"], ["R1", 1, "AB-1"], ["R2", 1, "AB-2"]],
                            "Old": [["Designator", "Qty", "MPN"], ["R7", 1, "OLD-7"], ["R8", 1, "OLD-8"]]})  # fmt: skip
        wizard.start(content, "two.xlsx")
        shown = fields(wizard.get("found").text)
        assert shown["sheet"] == "Parts"
        assert "encoding" not in shown
        wizard.post_found(sheet="Old")
        assert "OLD-7" in plain(wizard.get("rows"))
        assert "Old" in plain(wizard.get("found"))
        wizard.post_found(sheet="Parts")
        assert "AB-1" in plain(wizard.get("rows"))


class TestColumns:
    def test_two_columns_for_one_field(self, wizard):
        wizard.start()
        answer = wizard.post_columns(_4="mpn")
        assert answer.status_code == 422
        assert "Two columns are set to part number: MPN and Value. Keep one." in plain(answer)
        assert 'aria-describedby="f-column_4-error"' in answer.text
        assert fields(answer.text)["column_4"] == "mpn"

    def test_no_designators(self, wizard):
        wizard.start()
        answer = wizard.post_columns(_0="")
        assert answer.status_code == 422
        assert "Say which column holds the designators" in plain(answer)

    def test_what_is_no_field(self, wizard):
        wizard.start()
        assert wizard.post_columns(_0="colour").status_code == 422
        assert wizard.post("columns", column_x="mpn").status_code == 422


class TestRows:
    @pytest.mark.parametrize(
        ("show", "inside", "outside"),
        [
            ("fitted", "GR-104-X7", "CN-4"),
            ("dnp", "CN-4", "GR-104-X7"),
            ("excluded", "FD1", "CN-4"),
            ("skipped", "Not fitted:", "CN-4"),
            ("problems", "No line is of this kind.", "CN-4"),
            ("loose", "No line is of this kind.", "CN-4"),
        ],
    )
    def test_what_is_shown(self, wizard, show, inside, outside):
        wizard.start()
        page = plain(wizard.get("rows", show=show))
        assert inside in page
        assert outside not in page

    def test_an_unknown_selection_is_refused_with_a_sentence(self, wizard):
        wizard.start()
        answer = wizard.get("rows", show="odd")
        assert answer.status_code == 400
        assert "&#34;odd&#34; is no selection of rows; there are: all, problems," in answer.text

    def test_pages_of_a_hundred(self, wizard):
        wizard.start(table(250), "large.csv")
        assert "1–100 of 250" in plain(wizard.get("rows"))
        last = wizard.get("rows", page=3)
        assert "201–250 of 250" in plain(last)
        assert 'rel="prev"' in last.text
        assert 'rel="next"' not in last.text
        assert "201–250 of 250" in plain(wizard.get("rows", page=9))

    def test_saving_stays_on_the_page_and_keeps_the_other_pages(self, wizard, database):
        wizard.start(table(250), "large.csv")
        wizard.post("rows", row_2="dnp")
        answer = wizard.post("rows", row_210="skip", show="fitted", page="3")
        assert answer.headers["location"] == f"/uploads/{wizard.token}/rows?show=fitted&page=3&done=saved"
        (row,) = stored(database, UploadRow)
        assert row.choices["rows"] == {"2": "dnp", "210": "skip"}

    @pytest.mark.parametrize("bad", [{"row_3": "odd"}, {"row_x": "dnp"}, {"row_999": "dnp"}])
    def test_wrong_states_are_refused(self, wizard, bad):
        wizard.start()
        assert wizard.post("rows", **bad).status_code == 422

    def test_a_form_without_version_is_refused(self, wizard):
        wizard.start()
        assert wizard.client.post(f"/uploads/{wizard.token}/rows", data={"row_3": "dnp"}).status_code == 422

    def test_a_placement_file_gives_sides(self, wizard):
        wizard.start()
        answer = wizard.client.post(
            f"/uploads/{wizard.token}/placement",
            data={"version": wizard.version()},
            files={"placement": ("places.csv", PLACEMENT)},
        )
        page = plain(wizard.client.get(answer.headers["location"]))
        assert "both 1 top, 1 bottom" in page
        assert "1 designator of the placement file is not in the BOM: Z9" in page
        assert "1 fitted designator of the BOM is not in the placement file: U1" in page
        answer = wizard.post("placement/remove")
        assert "1 top, 1 bottom" not in plain(wizard.client.get(answer.headers["location"]))

    def test_a_bad_placement_file_is_said_at_its_field(self, wizard):
        wizard.start()
        url = f"/uploads/{wizard.token}/placement"
        answer = wizard.client.post(url, data={"version": "1"}, files={"placement": ("p.csv", NO_DESIGNATORS)})
        assert answer.status_code == 422
        assert 'id="f-placement-error"' in answer.text
        assert wizard.client.post(url, data={"version": "1"}).status_code == 422


class TestCommit:
    def test_the_next_revision_with_what_changes(self, wizard):
        wizard.start()
        wizard.commit()
        wizard.start(HARBOUR_LATER, "later.csv", product="HL-2")
        page = plain(wizard.get("commit"))
        assert "Against revision 1 of HL-2" in page
        assert "1 place more, 1 fewer, 2 changed, 6 as before" in page
        assert "Commit as revision 2" in page
        assert "00471 00999" in page
        answer = wizard.post("commit", to="next", product="HL-2", note="Second lot")
        assert answer.headers["location"] == "/products/HL-2?done=committed"
        assert "Second lot" in plain(wizard.client.get("/products/HL-2"))

    def test_a_product_that_is_not_there(self, wizard):
        wizard.start()
        page = wizard.get("commit", to="next", product="HL-9")
        assert page.status_code == 422
        assert "There is no product" in plain(page)
        assert wizard.post("commit", to="next", product="HL-9").status_code == 422

    def test_what_is_typed_wrong_is_kept_and_said_at_its_field(self, wizard):
        wizard.start()
        answer = wizard.commit(code="", name="Harbour logger")
        assert answer.status_code == 422
        assert 'id="f-code-error"' in answer.text
        assert 'value="Harbour logger"' in answer.text

    def test_the_same_file_again_is_said(self, wizard):
        wizard.start()
        wizard.commit()
        wizard.start(HARBOUR, "again.csv")
        assert "This very file was committed before, as revision 1 of HL-2 ." in plain(wizard.get("commit"))


class TestList:
    def test_open_ones_and_committed_ones(self, wizard):
        assert "No upload waits to be finished." in plain(wizard.client.get("/uploads"))
        wizard.start(filename="first.csv")
        wizard.commit()
        wizard.start(HARBOUR_LATER, "second.csv", product="HL-2")
        page = plain(wizard.client.get("/uploads"))
        assert "second.csv HL-2 6 9 0" in page
        assert "HL-2 1 first.csv 6" in page
        assert "1 upload of yours to be finished" in plain(wizard.client.get("/"))

    def test_a_form_for_a_product_that_is_not_there(self, engineer):
        assert engineer.get("/uploads/new?product=HL-9").status_code == 400
