"""Forms of alloys of the site's own."""

import pytest

from tests.desk.site_data import EUTECTIC, add_alloy
from tests.web.pages.made import LIST, TEMPLATE
from tests.web.pages.wizard import fields, plain
from webapp.desk.new_product import ProductFromFiles, new_product
from webapp.desk.uploads import UploadedFile
from webapp.trade.people import Role

NEW = {"designation": "Sn43Bi57", "composition": "43Sn-57Bi", "name": "near the eutectic"}


@pytest.fixture
def alloy(database, add_person):
    """The address of an alloy of the site's own."""
    add_alloy(database, add_person(Role.ENGINEER, login="maker"), EUTECTIC)
    return "/alloys/Sn43Bi57"


@pytest.fixture
def printed(database, settings, add_person):
    """``printed("House paste")`` makes the product GW-7, whose candidate is printed with that paste or alloy."""

    def make(paste):
        files = ProductFromFiles("GW-7", UploadedFile("gw.csv", LIST), TEMPLATE, paste=paste)
        new_product(database, settings, add_person(Role.ENGINEER, login="printer"), files)

    return make


def test_a_new_one_is_stored_with_its_melting(engineer):
    assert 'name="designation"' in engineer.get("/alloys/new").text
    answer = engineer.post("/alloys/new", data=NEW)
    assert (answer.status_code, answer.headers["location"]) == (303, "/alloys/Sn43Bi57/history?done=saved")
    text = plain(engineer.get(answer.headers["location"]))
    assert "The alloy is saved" in text
    assert "Composition: Sn43Bi57" in text
    # The tin-bismuth eutectic, calculated: 138.8 °C.
    assert "Solidus: 138.8 °C, calculated" in text


def test_calculating_first_stores_nothing(engineer):
    page = engineer.get("/alloys/new", params=NEW | {"look": "yes"})
    assert "As it would be kept · Nothing is stored yet." in plain(page)
    assert "Solidus 138.8 °C, calculated" in plain(page)
    assert 'value="43Sn-57Bi"' in page.text
    assert engineer.get("/alloys/Sn43Bi57/edit").status_code == 404
    wrong = engineer.get("/alloys/new", params=NEW | {"look": "yes", "composition": "Sn43Bi50"})
    assert wrong.status_code == 422
    assert "sum to 93" in plain(wrong)


def test_a_composition_may_be_brought_along(engineer):
    page = engineer.get("/alloys/new", params={"composition": "Sn43Bi57"})
    assert page.status_code == 200
    assert 'value="Sn43Bi57"' in page.text


def test_what_cannot_be_calculated_has_to_be_stated(engineer):
    indium = {"designation": "Sn88In8", "composition": "Sn88In8Ag3.5Bi0.5"}
    answer = engineer.post("/alloys/new", data=indium)
    assert answer.status_code == 422
    assert "cannot be calculated" in plain(answer)
    assert 'aria-describedby="f-solidus_c-error"' in answer.text
    stated = indium | {"solidus_c": "197", "liquidus_c": "208", "reference": "mill sheet 7"}
    answer = engineer.post("/alloys/new", data=stated)
    text = plain(engineer.get(answer.headers["location"]))
    assert "99 % liquid: 208 °C, stated" in text
    assert "Stated in: mill sheet 7" in text


def test_an_edit_keeps_the_designation_and_opens_a_version(engineer, alloy):
    page = engineer.get(f"{alloy}/edit")
    assert 'name="designation"' not in page.text
    shown = fields(page.text)
    assert (shown["composition"], shown["solidus_c"]) == ("Sn43Bi57", "")
    looked = engineer.get(f"{alloy}/edit", params=shown | {"look": "yes", "solidus_c": "138", "reference": "sheet"})
    assert "Solidus 138 °C, as stated" in plain(looked)
    answer = engineer.post(f"{alloy}/edit", data=shown | {"solidus_c": "138", "reference": "sheet 3"})
    assert answer.status_code == 303
    text = plain(engineer.get(f"{alloy}/history"))
    assert "Version 2 holds." in text
    assert "Solidus: 138.8 °C, calculated → 138 °C, stated" in text
    refused = engineer.post(f"{alloy}/edit", data=shown | {"composition": "Sn43Bi50"})
    assert refused.status_code == 422


def test_an_edit_to_what_the_designation_denies_is_refused_beside_the_composition(engineer, alloy):
    shown = fields(engineer.get(f"{alloy}/edit").text)
    refused = engineer.post(f"{alloy}/edit", data=shown | {"composition": "Sn60Bi40"})
    assert refused.status_code == 422
    assert 'id="f-composition-error"' in refused.text
    assert "reads as Sn43Bi57, and the composition is Sn60Bi40" in plain(refused)


def test_a_conflict_shows_both_and_saving_again_replaces(engineer, alloy):
    shown = fields(engineer.get(f"{alloy}/edit").text)
    engineer.post(f"{alloy}/edit", data=shown | {"name": "theirs"})
    answer = engineer.post(f"{alloy}/edit", data=shown | {"name": "mine"})
    assert answer.status_code == 409
    assert "Somebody else changed this alloy meanwhile" in plain(answer)
    assert "Name theirs mine" in plain(answer)
    assert engineer.post(f"{alloy}/edit", data=fields(answer.text)).status_code == 303
    assert "Name: theirs → mine" in plain(engineer.get(f"{alloy}/history"))


def test_retiring(engineer, alloy, printed):
    printed("Sn43Bi57")
    answer = engineer.post(f"{alloy}/retire", data={"version": "1"})
    assert answer.status_code == 422
    assert "in use and cannot be retired: GW-7, route low temperature" in plain(answer)
    engineer.post("/alloys/new", data=NEW | {"designation": "Sn43Bi57-b"})
    answer = engineer.post("/alloys/Sn43Bi57-b/retire", data={"version": "1"})
    assert answer.headers["location"] == "/alloys/Sn43Bi57-b/history?done=retired"
    assert "Retired." in plain(engineer.get(answer.headers["location"]))
    assert engineer.get("/alloys/Sn43Bi57-b/edit").status_code == 404
    assert engineer.get("/alloys/Sn42Bi58/history").status_code == 404


def test_an_edit_assesses_the_products_again(engineer, alloy, printed):
    printed("Sn43Bi57")
    shown = fields(engineer.get(f"{alloy}/edit").text)
    engineer.post(f"{alloy}/edit", data=shown | {"solidus_c": "120", "reference": "sheet"})
    assert "Being re-assessed" not in plain(engineer.get("/products/GW-7/route"))


def test_only_engineers_change_them(alloy, sign_in):
    manager = sign_in(Role.MANAGER)
    assert manager.get(f"{alloy}/history").status_code == 200
    for address in ("/alloys/new", f"{alloy}/edit"):
        assert manager.get(address).status_code == 403
        assert manager.post(address, data=NEW).status_code == 403
    assert manager.post(f"{alloy}/retire", data={"version": "1"}).status_code == 403


def test_a_melting_far_from_the_calculated_is_saved_and_said(engineer):
    far = NEW | {"solidus_c": "180", "liquidus_c": "185", "reference": "mill sheet 7"}
    caution = "Stated and calculated melting differ"
    said = "Solidus: stated 180.0 °C, calculated 138.8 °C"
    looked = plain(engineer.get("/alloys/new", params=far | {"look": "yes"}))
    assert caution in looked
    assert said in looked
    answer = engineer.post("/alloys/new", data=far)
    assert answer.status_code == 303
    for address in (answer.headers["location"], "/alloys/Sn43Bi57"):
        text = plain(engineer.get(address))
        assert caution in text
        assert said in text
        assert "Liquidus: stated 185.0 °C, calculated 138.9 °C" in text
    stored = fields(engineer.get("/alloys/Sn43Bi57/edit").text)
    engineer.post("/alloys/Sn43Bi57/edit", data=stored | {"solidus_c": "138", "melted_c": "", "liquidus_c": "140"})
    assert caution not in plain(engineer.get("/alloys/Sn43Bi57"))
    assert caution not in plain(engineer.get("/alloys/Sn43Bi57/history"))
    version = fields(engineer.get("/alloys/Sn43Bi57/edit").text)["version"]
    engineer.post("/alloys/Sn43Bi57/retire", data={"version": version})
    assert engineer.get("/alloys/Sn43Bi57/history").status_code == 200
