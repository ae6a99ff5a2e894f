import csv
import io

import pytest
from python_calamine import CalamineWorkbook

from tests.web.pages.made import make_product
from tests.web.pages.wizard import plain
from webapp.trade.people import Role


def main_of(answer):
    return plain(answer).split("Filter ", 1)[-1]


def csv_rows(answer):
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))


def numbers(answer):
    return [row["Part number"] for row in csv_rows(answer)]


def test_an_empty_library_says_how_parts_come(engineer, sign_in):
    page = engineer.get("/parts")
    assert "No parts yet" in plain(page)
    assert 'href="/uploads/new"' in page.text.split("<main")[1]
    assert 'href="/uploads/new"' not in sign_in(Role.REVIEWER).get("/parts").text.split("<main")[1]


class TestList:
    def test_shows_what_is_known_and_what_is_not_sure(self, engineer, product):
        text = plain(engineer.get("/parts"))
        assert "6 parts." in text
        # 260 °C: classification temperature of a body thinner than 1.6 mm, J-STD-020 Table 4-2.
        assert "MX-800 QFN-32 5x5 Norrlund integrated circuit without leads 260 e0, e3, e4 1 0 of" in text
        assert "ZZ-99 Kelvarn not sure:" in text

    @pytest.mark.parametrize(
        ("query", "found"),
        [
            ("q=471", ["00471"]),
            ("q=relay", ["RL-5"]),
            ("maker=OSTRAVA", ["00471", "AE-470"]),
            ("kind=chip_resistor", ["GR-104-X7"]),
            ("kind=relay", ["RL-5"]),
            ("lacks=kind&maker=Kelvarn", ["ZZ-99"]),
            ("lacks=balls", []),
            ("product=hl-2&sort=-part", ["ZZ-99", "RL-5", "MX-800", "GR-104-X7", "AE-470", "00471"]),
        ],
    )
    def test_filters(self, engineer, product, query, found):
        assert numbers(engineer.get(f"/parts?{query}&format=csv")) == found
        text = plain(engineer.get(f"/parts?{query}"))
        assert all(number in text for number in found)

    def test_what_is_stated_is_no_longer_lacking(self, engineer, product, part_id):
        lacking = numbers(engineer.get("/parts?lacks=limit_c&format=csv"))
        assert "MX-800" in lacking
        engineer.post(
            f"/parts/{part_id('MX-800')}",
            data={"version": "1", "v_limit_c": "245", "kind": "datasheet", "reference": "Sheet 4"},
        )
        assert numbers(engineer.get("/parts?lacks=limit_c&format=csv")) == [n for n in lacking if n != "MX-800"]
        assert "MX-800" not in numbers(engineer.get("/parts?lacks=everything&format=csv"))

    def test_a_product_that_does_not_use_it(self, engineer, product, database, settings, add_person):
        other = b"Designator,Qty,MPN,Manufacturer\nR1,1,OTHER-1,Kelvarn\n"
        make_product(database, settings, add_person(Role.ENGINEER, login="second"), "BD-7", other)
        assert numbers(engineer.get("/parts?product=BD-7&format=csv")) == ["OTHER-1"]

    @pytest.mark.parametrize(
        ("query", "sentence"),
        [
            ("sort=price", "is no order; there are: part, maker,"),
            ("kind=relays", "is no kind of part"),
            ("lacks=luck", "is no filter; there are: all, everything,"),
            ("product=XX", "There is no product"),
            ("format=pdf", "is no format"),
        ],
    )
    def test_unknown_views_are_refused_with_a_sentence(self, engineer, product, query, sentence):
        answer = engineer.get(f"/parts?{query}")
        assert answer.status_code == 400
        assert sentence in plain(answer)

    def test_the_filter_is_said_and_kept(self, engineer, product):
        page = engineer.get("/parts?maker=Kelvarn&lacks=kind")
        assert "Kind not sure, of “Kelvarn”: 1 part." in plain(page)
        assert "/parts?maker=Kelvarn&amp;lacks=kind&amp;sort=maker" in page.text
        assert "No part is like that" in plain(engineer.get("/parts?q=zzzz"))

    def test_xlsx_keeps_zeros_and_formulas_are_harmless(self, engineer, database, settings, add_person):
        content = b"Designator,Qty,MPN,Manufacturer\nR1,1,00471,=1+1\n"
        make_product(database, settings, add_person(Role.ENGINEER, login="maker"), "F-1", content)
        answer = engineer.get("/parts?format=xlsx")
        sheet = CalamineWorkbook.from_filelike(io.BytesIO(answer.content)).get_sheet_by_index(0).to_python()
        assert sheet[1][:2] == ["00471", "'=1+1"]

    def test_pages_of_a_hundred(self, engineer, database, settings, add_person):
        rows = "".join(f"R{i},1,GR-{i:03},Kelvarn\n" for i in range(1, 131))
        content = f"Designator,Qty,MPN,Manufacturer\n{rows}".encode()
        make_product(database, settings, add_person(Role.ENGINEER, login="maker"), "L-1", content)
        assert "1–100 of 130" in plain(engineer.get("/parts"))
        assert "101–130 of 130" in plain(engineer.get("/parts?page=9"))


def test_files_say_what_matters_to_the_kind_and_leave_the_rest_out(engineer, product):
    rows = {row["Part number"]: row for row in csv_rows(engineer.get("/parts?format=csv"))}
    asked = ("Time at the highest body temperature s", "Current per joint A", "Suits a wash", "Stand-off mm")
    # The class table: a chip resistor stands its limit for 10 s. The can may be a leaded one, of which it says nothing.
    assert [rows["GR-104-X7"][name] for name in asked] == ["10", "", "", ""]
    assert [rows["AE-470"][name] for name in asked] == ["not known", "", "", ""]
    assert [rows["RL-5"][name] for name in asked] == ["", "not known", "not known", ""]
    assert [rows["MX-800"][name] for name in asked] == ["30", "", "", "not known"]
    assert rows["RL-5"]["Mating force N"] == rows["RL-5"]["Suits a vacuum"] == ""
