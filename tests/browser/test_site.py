"""Alloys, pastes and figures of the site, and a route that names them: in a browser."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.checks import assert_accessible, assert_no_sideways_scroll, assert_prints, screenshots
from tests.web.pages.made import make_product
from webapp.store.people import person_from, row_by_login
from webapp.trade.people import Role

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def product(server):
    """The harbour logger, assessed."""
    with server.database.read() as session:
        person = person_from(session, row_by_login(session, Role.ENGINEER))
    return make_product(server.database, server.settings, person, "HL-80")


def look(page, name: str) -> None:
    """Whatever holds for every page, on this one; and its pictures."""
    assert page.locator("h1").count() == 1
    assert_accessible(page)
    assert_no_sideways_scroll(page)
    assert_prints(page)
    screenshots(page, f"site-{name}")


def test_from_an_alloy_over_its_paste_to_the_route(pages, product):
    page = pages.open("/alloys/new")
    page.get_by_label("Designation").fill("Sn43Bi57")
    page.get_by_label("Composition, wt%").fill("43Sn-57Bi")
    page.get_by_role("button", name="Calculate first").click()
    expect(page.get_by_text("138.8 °C, calculated").first).to_be_visible()
    look(page, "alloy-new")
    # Enter in a field saves.
    page.get_by_label("Name").fill("near the eutectic")
    page.keyboard.press("Enter")
    expect(page.get_by_text("The alloy is saved")).to_be_visible()
    look(page, "alloy-history")

    page.goto("/pastes")
    look(page, "pastes")
    page.get_by_role("link", name=re.compile("^Start from it.*Example eutectic")).click()
    page.get_by_label("Alloy").select_option("Sn43Bi57")
    page.get_by_label("Name").fill("House paste")
    page.get_by_role("button", name="Save the paste").click()
    page.get_by_label("Data sheet").fill("House paste, data sheet rev. 1")
    page.get_by_label("Peak at the joints, °C").fill("190…165")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_be_focused()
    look(page, "paste-error")
    page.get_by_label("Peak at the joints, °C").fill("165…190")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("House paste")
    look(page, "paste")

    page.goto("/products/HL-80/route")
    page.get_by_role("link", name="Edit the steps").last.click()
    page.get_by_label("Paste or alloy of step 1").select_option(label="House paste, Sn43Bi57")
    page.get_by_label("Foil of step 1, mm").fill("0.12")
    page.get_by_label("Peak, °C of step 1").fill("195")
    page.get_by_role("button", name="Save and assess").click()
    expect(page.get_by_text("The route is saved.")).to_be_visible()
    expect(page.get_by_text("The peak, 195 °C, is above the paste's 165 to 190 °C.")).to_be_visible()
    look(page, "route")
    page.get_by_role("link", name="Edit the steps").last.click()
    expect(page.get_by_text("Sn43Bi57; window 165 to 190 °C, 30 to 90 s")).to_be_visible()
    look(page, "route-edit")

    page.goto("/alloys/Sn43Bi57/edit")
    page.get_by_role("button", name="Retire Sn43Bi57").click()
    expect(page.get_by_role("alert")).to_contain_text("in use and cannot be retired")
    look(page, "alloy-in-use")


def test_a_reviewer_sets_a_figure(pages):
    page = pages.open("/figures", Role.REVIEWER)
    look(page, "figures")
    page.get_by_role("link", name="Set of Superheat above 99 % liquid").click()
    look(page, "figure")
    page.get_by_label("Value, K").fill("12")
    page.get_by_label("Where it is from, or why it is right here").fill("wetting trials of May")
    page.keyboard.press("Enter")
    expect(page.get_by_text("all products are assessed again")).to_be_visible()
    page.get_by_role("link", name="Set of Superheat above 99 % liquid").click()
    page.get_by_role("button", name="Back to the default, 10 K").click()
    expect(page.get_by_text("the default holds again")).to_be_visible()
