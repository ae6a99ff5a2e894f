"""Pages of the pastes: the list, one, forms."""

import csv
import io

import pytest

from tests.desk.site_data import HOUSE, add_paste
from tests.web.pages.made import LIST, TEMPLATE
from tests.web.pages.wizard import fields, plain
from webapp.desk.new_product import ProductFromFiles, new_product
from webapp.desk.uploads import UploadedFile
from webapp.trade.people import Role

TYPED = {
    "name": "House paste", "alloy": "Sn42Bi58", "powder": "4", "metal_wt_pct": "90", "flux": "ROL0",
    "peak_c": "165…190", "above_liquidus_s": "30…90", "reference": "data sheet HP-1",
}  # fmt: skip


@pytest.fixture
def paste(database, add_person):
    """The address of a paste of the site's own."""
    return f"/pastes/{add_paste(database, add_person(Role.ENGINEER, login='maker'), HOUSE, alloy='Sn42Bi58')}"


@pytest.fixture
def printed(database, settings, add_person):
    """``printed("House paste")`` makes the product GW-7, whose candidate is printed with that paste or alloy."""

    def make(paste):
        files = ProductFromFiles("GW-7", UploadedFile("gw.csv", LIST), TEMPLATE, paste=paste)
        new_product(database, settings, add_person(Role.ENGINEER, login="printer"), files)

    return make


def test_without_any_the_list_says_how_to_get_one(engineer, sign_in):
    page = engineer.get("/pastes")
    text = plain(page)
    assert "0 pastes of the site." in text
    assert "The pastes that this site prints will stand here" in text
    assert 'href="/pastes/new?example=0"' in page.text
    others = sign_in(Role.MANAGER).get("/pastes")
    assert others.status_code == 200
    assert "/pastes/new" not in others.text


def test_from_an_example_to_the_list(engineer):
    form = engineer.get("/pastes/new", params={"example": 3})
    assert 'value="185…200"' in form.text
    answer = engineer.post("/pastes/new", data=TYPED)
    assert answer.status_code == 303
    text = plain(engineer.get(answer.headers["location"]))
    assert "The paste is saved" in text
    # Type 4 is 20 to 38 µm; five of the largest go through an opening of 190 µm.
    assert "type 4: 80 % of the particles 20 to 38 µm; stencil openings from 190 µm" in text
    assert "nowhere yet" in text
    assert "Name: House paste" in text
    assert "House paste Sn42Bi58 type 4 20 to 38 µm 90 ROL0" in plain(engineer.get("/pastes"))
    assert engineer.get("/pastes/new", params={"example": 99}).status_code == 404


def test_what_does_not_hold_stands_beside_its_field(engineer):
    answer = engineer.post("/pastes/new", data=TYPED | {"peak_c": "190…165", "name": "Mine"})
    assert answer.status_code == 422
    assert 'aria-describedby="f-peak_c-hint f-peak_c-error"' in answer.text
    assert 'value="Mine"' in answer.text
    assert "0 pastes of the site." in plain(engineer.get("/pastes"))


def test_an_edit_and_its_history(engineer, paste):
    shown = fields(engineer.get(f"{paste}/edit").text)
    answer = engineer.post(f"{paste}/edit", data=shown | {"powder": "5", "name": "House paste 5"})
    assert (answer.status_code, answer.headers["location"]) == (303, f"{paste}?done=saved")
    text = plain(engineer.get(paste))
    assert "Version 2" in text
    assert "Name: House paste → House paste 5 Powder type: 4 → 5" in text


def test_a_conflict_shows_both_and_saving_again_replaces(engineer, paste):
    shown = fields(engineer.get(f"{paste}/edit").text)
    engineer.post(f"{paste}/edit", data=shown | {"powder": "5"})
    answer = engineer.post(f"{paste}/edit", data=shown | {"powder": "3"})
    assert answer.status_code == 409
    text = plain(answer)
    assert "Somebody else changed this paste meanwhile" in text
    assert "Powder type 5 3" in text
    assert engineer.post(f"{paste}/edit", data=fields(answer.text)).status_code == 303
    assert "type 3" in plain(engineer.get(paste))


def test_in_use_it_stays_else_it_retires(engineer, paste, printed):
    printed("House paste")
    shown = fields(engineer.get(f"{paste}/edit").text)
    answer = engineer.post(f"{paste}/retire", data={"version": shown["version"]})
    assert answer.status_code == 422
    assert "in use and cannot be retired: GW-7, route low temperature" in plain(answer)
    assert "GW-7 , low temperature" in plain(engineer.get("/pastes"))
    other = engineer.post("/pastes/new", data=TYPED | {"name": "Other"}).headers["location"].split("?")[0]
    answer = engineer.post(f"{other}/retire", data={"version": "1"})
    assert answer.headers["location"] == f"{other}?done=retired"
    text = plain(engineer.get(answer.headers["location"]))
    assert "Retired." in text
    assert engineer.get(f"{other}/edit").status_code == 404
    assert engineer.get("/pastes/999").status_code == 404


def test_an_edit_assesses_the_products_again(engineer, paste, printed):
    printed("House paste")
    shown = fields(engineer.get(f"{paste}/edit").text)
    engineer.post(f"{paste}/edit", data=shown | {"alloy": "Sn60Bi40", "peak_c": "175…190"})
    text = plain(engineer.get("/products/GW-7/route"))
    assert "Sn60Bi40 · House paste" in text
    assert "Being re-assessed" not in text


def test_only_engineers_change_them(paste, sign_in):
    manager = sign_in(Role.MANAGER)
    assert manager.get(paste).status_code == 200
    assert "/edit" not in manager.get(paste).text
    for address in ("/pastes/new", f"{paste}/edit"):
        assert manager.get(address).status_code == 403
        assert manager.post(address, data=TYPED).status_code == 403
    assert manager.post(f"{paste}/retire", data={"version": "1"}).status_code == 403


def test_as_a_file(engineer, paste):
    answer = engineer.get("/pastes?format=csv")
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert (rows[0]["Paste"], rows[0]["Own"], rows[0]["Peak to °C"]) == ("House paste", "yes", "190.0")
    assert {row["Own"] for row in rows[1:]} == {"no"}
    assert engineer.get("/pastes?format=xlsx").content[:2] == b"PK"
    assert engineer.get("/pastes?format=odt").status_code == 400
