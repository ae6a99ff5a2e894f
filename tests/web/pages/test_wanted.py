import csv
import io
import re

import pytest

from tests.intake.files import xlsx
from tests.web.pages.made import make_product
from tests.web.pages.wizard import plain
from webapp.trade.people import Role

DOCUMENT = "Mail of 2026-11-02"


@pytest.fixture
def two(product, database, settings, add_person):
    """Two products with the same parts."""
    make_product(database, settings, add_person(Role.ENGINEER, login="second"), "BD-7")


@pytest.fixture
def send_back(engineer, product):
    """``send_back({"GR-104-X7": "e3"}, maker="Kelvarn")`` fills in a sheet and uploads it; the answer."""

    def send(answers, *, maker="Kelvarn", reference=DOCUMENT, field="finish", as_workbook=False, **more):
        content = engineer.get("/wanted/sheet", params={"maker": maker, "format": "csv"}).content
        rows = list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"), newline="")))
        for row in rows:
            if row["Field"] == field:
                row["Answer"] = answers.get(row["Part number"], "")
        text = io.StringIO()
        writer = csv.DictWriter(text, rows[0])
        writer.writeheader()
        writer.writerows(rows)
        file = {"file": ("answers.csv", text.getvalue().encode())}
        if as_workbook:
            file = {"file": ("answers.xlsx", xlsx({"Answers": [list(rows[0]), *(list(row.values()) for row in rows)]}))}
        return engineer.post("/wanted/answers", files=file, data={"reference": reference, **more})

    return send


class TestList:
    def test_nothing_missing(self, engineer):
        assert "Nothing is missing" in plain(engineer.get("/wanted"))

    def test_one_declaration_stands_once_and_first(self, engineer, two):
        rows = plain(engineer.get("/wanted")).split("Open on placements Products")[1]
        assert rows.split("Declare it")[0].startswith(
            " Enter it Terminal finish (a lead-free declaration) 5 parts of 2"
        )
        assert "GR-104-X7" not in rows.split("Settles: placements")[0]

    def test_part_by_part_leads_to_where_it_is_entered(self, engineer, product, part_id):
        page = engineer.get("/wanted?show=parts")
        back = "back=%2Fwanted%3Fshow%3Dparts"
        assert f"/parts/{part_id('GR-104-X7')}?field=finish&amp;{back}#known" in page.text

    def test_a_declaration_is_filled_in_beforehand(self, engineer, product, two):
        one = engineer.get("/products/HL-2/wanted").text
        assert "/declarations/new?claim=lead-free&amp;scope=bom&amp;product=HL-2&amp;back=" in one
        assert "/declarations/new?claim=lead-free&amp;scope=site&amp;back=" in engineer.get("/wanted").text

    def test_of_the_product_itself(self, engineer, product):
        assert "/products/HL-2/setup" in engineer.get("/products/HL-2/wanted?show=products").text

    def test_others_see_it_without_the_ways_to_enter(self, sign_in, product):
        page = sign_in(Role.MANAGER).get("/wanted")
        assert "Terminal finish" in page.text
        assert "Declare it" not in page.text
        assert "A sheet came back" not in page.text

    def test_as_a_file(self, engineer, two):
        content = engineer.get("/wanted?format=csv").content.decode("utf-8-sig")
        first = next(iter(csv.DictReader(io.StringIO(content))))
        assert first["Datum"] == "terminal finish (a lead-free declaration)"
        assert first["Products"] == "BD-7, HL-2"

    @pytest.mark.parametrize("path", ["/wanted?show=odd", "/wanted?format=odd", "/products/HL-2/wanted?show=odd"])
    def test_unknown_views(self, engineer, product, path):
        assert engineer.get(path).status_code == 400

    def test_a_product_that_is_none(self, engineer):
        assert engineer.get("/products/HL-9/wanted").status_code == 404


class TestSheet:
    def test_it_asks_one_maker_only(self, engineer, product):
        page = engineer.get("/wanted/sheet?maker=kelvarn")
        text = plain(page)
        assert "Questions to Kelvarn" in text
        assert "GR-104-X7" in text
        assert "MX-800" not in text

    def test_of_one_product(self, engineer, two):
        content = engineer.get("/wanted/sheet?maker=Kelvarn&product=BD-7&format=csv").content.decode("utf-8-sig")
        assert "BD-7" not in content

    def test_a_maker_with_nothing_to_ask(self, engineer, product):
        assert engineer.get("/wanted/sheet?maker=Nobody").status_code == 404


class TestAnswers:
    def test_a_workbook_comes_back_as_well(self, engineer, send_back):
        answer = send_back({"GR-104-X7": "e3"}, as_workbook=True)
        assert answer.status_code == 303
        assert "GR-104-X7" in plain(engineer.get(answer.headers["location"]))

    def test_a_damaged_workbook_says_so_beside_the_field(self, engineer, product):
        file = {"file": ("answers.xlsx", b"PK\x03\x04 nothing more")}
        answer = engineer.post("/wanted/answers", files=file, data={"reference": DOCUMENT})
        assert answer.status_code == 422
        assert DOCUMENT in answer.text

    def test_looked_at_then_stored(self, engineer, send_back, part_id):
        answer = send_back({"GR-104-X7": "e3"})
        assert answer.status_code == 303
        address = answer.headers["location"].split("?")[0]
        text = plain(engineer.get(answer.headers["location"]))
        assert "1 answer can be taken over. Nothing is stored yet." in text
        assert f"GR-104-X7 Terminal finish nothing tin (e3) {DOCUMENT}" in text
        assert "nothing stated yet" in plain(engineer.get(f"/parts/{part_id('GR-104-X7')}"))
        done = engineer.post(address, data={"reference": DOCUMENT})
        assert done.status_code == 303
        assert "Stored: 1 answer." in plain(engineer.get(done.headers["location"]))
        assert f"tin (e3) {DOCUMENT} declared by the maker" in plain(engineer.get(f"/parts/{part_id('GR-104-X7')}"))

    def test_a_row_that_cannot_be_taken_stops_no_other(self, engineer, send_back, part_id):
        answer = send_back({"GR-104-X7": "matte tin", "ZZ-99": "blue"})
        page = engineer.get(answer.headers["location"])
        text = plain(page)
        assert "1 answer can be taken over, 1 row cannot. Nothing is stored yet." in text
        assert "ZZ-99 Terminal finish Answer blue “blue” names no finish that is known here" in text
        assert "tin (e3) written: matte tin" in text
        assert "Store the 1 answer" in text
        (refused,) = set(re.findall(r'"(/wanted/answers/\w+/refused\?reference=[^"&]+)&amp;format=csv"', page.text))
        rows = list(csv.DictReader(io.StringIO(engineer.get(refused).content.decode("utf-8-sig"))))
        assert [(row["Part number"], row["Answer"]) for row in rows] == [("ZZ-99", "blue")]
        assert rows[0]["What was expected"].startswith("Answer: “blue” names no finish")
        assert engineer.get(refused + "&format=xlsx").content.startswith(b"PK")
        assert engineer.get(refused + "&format=page").status_code == 400
        address = answer.headers["location"].split("?")[0]
        done = engineer.post(address, data={"reference": DOCUMENT})
        assert done.status_code == 303
        after = plain(engineer.get(done.headers["location"]))
        assert "Stored: 1 answer." in after
        assert "Nothing new can be taken over, 1 row cannot." in after
        assert f"tin (e3) {DOCUMENT} declared by the maker" in plain(engineer.get(f"/parts/{part_id('GR-104-X7')}"))

    def test_where_no_row_can_be_taken_nothing_can_be_stored(self, engineer, send_back):
        answer = send_back({"GR-104-X7": "blue"})
        assert "Store the" not in plain(engineer.get(answer.headers["location"]))
        address = answer.headers["location"].split("?")[0]
        assert engineer.post(address, data={"reference": DOCUMENT}).status_code == 422

    def test_stored_twice_is_stored_once(self, engineer, send_back, part_id):
        address = send_back({"GR-104-X7": "e3"}).headers["location"].split("?")[0]
        engineer.post(address, data={"reference": DOCUMENT})
        assert "the same, from the same document" in plain(engineer.get(f"{address}?reference={DOCUMENT}"))
        again = engineer.post(address, data={"reference": DOCUMENT})
        assert "1 answer said what is stated already" in plain(engineer.get(again.headers["location"]))
        assert plain(engineer.get(f"/parts/{part_id('GR-104-X7')}")).count("nothing stated tin (e3)") == 1

    def test_a_sheet_of_which_every_row_can_be_taken_has_none_to_send_back(self, engineer, send_back):
        address = send_back({"GR-104-X7": "e3"}).headers["location"].split("?")[0]
        assert engineer.get(f"{address}/refused?reference={DOCUMENT}").status_code == 404
        assert engineer.get(f"/wanted/answers/{'a' * 64}/refused?reference=x").status_code == 404

    def test_errors_of_the_form(self, engineer, send_back):
        nothing = engineer.post("/wanted/answers", data={"reference": DOCUMENT})
        assert (nothing.status_code, 'id="f-file-error"' in nothing.text) == (422, True)
        assert f'value="{DOCUMENT}"' in nothing.text
        unnamed = send_back({"GR-104-X7": "e3"}, reference=" ")
        assert (unnamed.status_code, 'id="f-reference-error"' in unnamed.text) == (422, True)
        assert "No row of the sheet has an answer." in plain(send_back({}))
        other = engineer.post("/wanted/answers", files={"file": ("a.csv", b"a,b\n1,2\n")}, data={"reference": "x"})
        assert "This is no question sheet" in plain(other)
        empty = engineer.post("/wanted/answers", files={"file": ("a.csv", b" \n")}, data={"reference": "x"})
        assert "The file is empty." in plain(empty)
        # Beside the form, to which the answer scrolls.
        assert 'action="/wanted/answers#answers"' in empty.text
        assert empty.text.index('id="answers"') < empty.text.index('class="summary"')

    def test_from_a_products_list_one_stays_with_the_product(self, engineer, two, send_back):
        here = "/products/BD-7/wanted"
        hidden = ('name="product" value="BD-7"', 'name="show" value="parts"')
        assert all(field in engineer.get(here, params={"show": "parts"}).text for field in hidden)
        wrong = engineer.post("/wanted/answers", data={"reference": DOCUMENT, "product": "BD-7", "show": "parts"})
        assert (wrong.status_code, 'id="f-file-error"' in wrong.text) == (422, True)
        assert "Data wanted for BD-7" in wrong.text
        assert 'href="/products/BD-7"' in wrong.text
        assert "All products" not in plain(wrong)
        assert all(field in wrong.text for field in hidden)
        looked = send_back({"GR-104-X7": "e77"}, product="BD-7")
        page = engineer.get(looked.headers["location"])
        assert "1 row cannot be taken" in plain(page)
        assert f'href="{here}#answers"' in page.text
        assert f'href="{here}"' in page.text
        good = engineer.get(send_back({"GR-104-X7": "e3"}, product="BD-7").headers["location"])
        assert hidden[0] in good.text
        store = re.search(r'action="(/wanted/answers/\w+)"', good.text)[1]
        done = engineer.post(store, data={"reference": DOCUMENT, "product": "BD-7"})
        assert done.headers["location"] == f"{here}?done=answers&count=1"
        assert "Stored: 1 answer." in plain(engineer.get(done.headers["location"]))

    def test_only_engineers(self, sign_in, product):
        reviewer = sign_in(Role.REVIEWER)
        assert reviewer.post("/wanted/answers", data={"reference": "x"}).status_code == 403
        assert reviewer.get(f"/wanted/answers/{'a' * 64}").status_code == 403

    @pytest.mark.parametrize("name", ["a" * 64, "..%2F..%2Fetc", "A" * 64])
    def test_a_sheet_that_is_not_kept(self, engineer, name):
        assert engineer.get(f"/wanted/answers/{name}?reference=x").status_code == 404
