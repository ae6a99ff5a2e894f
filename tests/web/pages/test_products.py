import csv
import io

import pytest
from python_calamine import CalamineWorkbook

from tests.boms import HARBOUR, HARBOUR_LATER, PLACEMENT, table
from tests.web.pages.wizard import Wizard, plain
from webapp.trade.people import Role


@pytest.fixture
def engineer(sign_in):
    """A browser in which an engineer is signed in."""
    return sign_in(Role.ENGINEER)


@pytest.fixture
def logger(engineer):
    """The harbour logger with two revisions; the engineer's browser."""
    wizard = Wizard(engineer)
    wizard.start(placement=("places.csv", PLACEMENT))
    wizard.commit()
    wizard.start(HARBOUR_LATER, "later.csv", product="HL-2")
    wizard.post("commit", to="next", product="HL-2")
    return engineer


def csv_rows(answer):
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))


class TestList:
    def test_an_empty_list_says_how_to_begin(self, engineer, sign_in):
        page = engineer.get("/products")
        assert "No products yet" in plain(page)
        assert 'href="/uploads/new"' in page.text.split("<main")[1]
        other = sign_in(Role.MANAGER).get("/products")
        assert "No products yet" in plain(other)
        assert 'href="/uploads/new"' not in other.text.split("<main")[1]

    def test_products_with_their_last_revision(self, logger):
        assert "HL-2 Harbour logger 2 6 9 The engineer" in plain(logger.get("/products"))

    def test_search(self, logger):
        assert "HL-2" in plain(logger.get("/products?q=harb")).split("Find")[1]
        nothing = plain(logger.get("/products?q=50%25"))
        assert "No product has “50%” in its code or name." in nothing


class TestOne:
    def test_everybody_signed_in_may_look(self, logger, sign_in):
        page = sign_in(Role.REVIEWER).get("/products/HL-2")
        assert page.status_code == 200
        assert "Upload a new revision" not in page.text
        assert "/uploads/new?product=HL-2" in logger.get("/products/HL-2").text

    def test_the_last_revision_and_an_older_one(self, logger):
        assert "Revision 2: 6 lines, 9 placements fitted." in plain(logger.get("/products/HL-2"))
        older = plain(logger.get("/products/HL-2?revision=1"))
        assert "Revision 1 of 2, not the last: 6 lines, 8 placements fitted." in older
        assert "both 1 top, 1 bottom" in older

    @pytest.mark.parametrize("path", ["HL-9", "HL-2?revision=7", "HL-2/x", "HL-2?format=placement"])
    def test_what_is_not_there(self, logger, path):
        assert logger.get(f"/products/{path}").status_code == 404

    def test_a_code_in_another_case_is_the_same(self, logger):
        assert logger.get("/products/hl-2").status_code == 200

    @pytest.mark.parametrize(
        ("query", "sentence"),
        [
            ("show=odd", "is no selection of lines; there are: all, fitted,"),
            ("sort=price", "is no order; there are: refdes, mpn,"),
            ("sort=--mpn", "is no order"),
            ("format=pdf", "is no format; there are: page, csv,"),
        ],
    )
    def test_unknown_views_are_refused_with_a_sentence(self, logger, query, sentence):
        answer = logger.get(f"/products/HL-2?{query}")
        assert answer.status_code == 400
        assert sentence in plain(answer)

    def test_filter_and_order_are_in_the_address_and_said(self, logger):
        page = logger.get("/products/HL-2?revision=1&show=fitted&q=kelvarn&sort=-refdes")
        text = plain(page)
        assert "Fitted with “kelvarn”: 2 of 6 lines." in text
        assert text.index("R3, R4, R5") < text.index("R1, R2")
        assert 'aria-sort="descending"' in page.text
        assert "?show=fitted&amp;q=kelvarn&amp;revision=1&amp;sort=mpn" in page.text

    def test_a_filter_that_finds_nothing(self, logger):
        assert "No line is like that. Clear the filter to see all 6." in plain(logger.get("/products/HL-2?q=zzz"))

    def test_pages_of_a_hundred(self, engineer):
        wizard = Wizard(engineer)
        wizard.start(table(250), "large.csv")
        wizard.commit("A/B 7", "With a slash")
        first = engineer.get("/products/A/B%207")
        assert "1–100 of 250" in plain(first)
        assert "/products/A/B%207?page=2" in first.text
        assert "201–250 of 250" in plain(engineer.get("/products/A/B%207?page=99"))


class TestTakingAway:
    def test_csv_is_what_is_filtered(self, logger):
        answer = logger.get("/products/HL-2?revision=1&show=dnp&format=csv")
        assert answer.headers["content-disposition"].startswith('attachment; filename="HL-2_r1.csv"')
        (row,) = csv_rows(answer)
        assert (row["Designators"], row["Not fitted"], row["Part number"]) == ("J1", "J1", "CN-4")

    def test_csv_holds_all_lines_in_the_order_asked(self, logger):
        rows = csv_rows(logger.get("/products/HL-2?revision=1&sort=-refdes&format=csv"))
        assert [row["Designators"] for row in rows] == ["U1", "R3, R4, R5", "R1, R2", "J1", "FD1", "C1, C10"]
        assert [row["Part number"] for row in rows][-1] == "00471"
        assert [row["Side"] for row in rows] == ["", "top", "both", "", "", "bottom"]

    def test_xlsx_reads_back(self, logger):
        answer = logger.get("/products/HL-2?revision=1&format=xlsx")
        sheet = CalamineWorkbook.from_filelike(io.BytesIO(answer.content)).get_sheet_by_index(0).to_python()
        assert len(sheet) == 7
        assert sheet[3][sheet[0].index("Part number")] == "00471"

    def test_formulas_are_harmless(self, engineer):
        wizard = Wizard(engineer)
        wizard.start(b"Designator,Qty,MPN\nR1,1,=1+1\nR2,1,@x\nR3,1,AB-3\n", "f.csv")
        wizard.commit()
        rows = csv_rows(engineer.get("/products/HL-2?format=csv"))
        assert [row["Part number"] for row in rows] == ["'=1+1", "'@x", "AB-3"]

    def test_originals_come_back_byte_for_byte_and_are_never_shown(self, logger):
        answer = logger.get("/products/HL-2?revision=1&format=original")
        assert answer.content == HARBOUR
        assert answer.headers["content-type"] == "application/octet-stream"
        assert answer.headers["content-disposition"].startswith('attachment; filename="harbour.csv"')
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert logger.get("/products/HL-2?revision=1&format=placement").content == PLACEMENT

    def test_a_name_with_anything_in_it_is_safe_in_the_header(self, engineer):
        wizard = Wizard(engineer)
        wizard.start(filename="Stückliste r2; 100%.csv")
        wizard.commit()
        header = engineer.get("/products/HL-2?format=original").headers["content-disposition"]
        assert header.startswith("attachment; filename=\"St_ckliste r2; 100_.csv\"; filename*=UTF-8''St%C3%BCck")
