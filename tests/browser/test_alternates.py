"""Parts of a line are taken out and approved again on the tab *BOM*, in a browser."""

import pytest
from playwright.sync_api import expect

from tests.browser.checks import assert_accessible, assert_no_sideways_scroll, assert_prints, screenshots
from tests.web.pages.made import make_product
from webapp.store.people import person_from, row_by_login
from webapp.trade.people import Role

pytestmark = pytest.mark.browser

LIST = (
    b"Designator,Qty,MPN,Manufacturer,Value,Package,Description\n"
    b'"C1,C2,C3",3,KX-104-X7 or OC-1047 or TQ-104B,Kelvarn,100 nF,0402,Capacitor X7R\n'
    b"R1,1,GR-103-F,Kelvarn,10k,0603,Resistor\n"
    b"Q1,1,TT-60N or TT-61N,Kelvarn,60 V,SOT-23,Transistor\n"
)


@pytest.fixture(scope="module")
def product(server):
    """A board of which two lines have alternates."""
    with server.database.read() as session:
        person = person_from(session, row_by_login(session, Role.ENGINEER))
    return make_product(server.database, server.settings, person, "AL-3", LIST)


def look(page, name: str) -> None:
    """Whatever holds for every page, on this one; and its pictures."""
    assert page.locator("h1").count() == 1
    assert_accessible(page)
    assert_no_sideways_scroll(page)
    assert_prints(page)
    screenshots(page, f"alternates-{name}")


def test_an_alternate_is_taken_out_by_keyboard_and_the_edit_undone(pages, product):
    page = pages.open("/products/AL-3?show=alternates")
    expect(page.get_by_text("With alternates: 2 of 3 lines.")).to_be_visible()
    look(page, "lines")
    page.get_by_role("button", name="Do not use TT-61N on Q1").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("TT-61N is no longer to be used on Q1. The product is assessed again.")).to_be_visible()
    expect(page.get_by_text("the only one approved")).to_be_visible()
    expect(page.get_by_role("button", name="Do not use TT-60N on Q1")).to_have_count(0)
    look(page, "taken-out")
    page.get_by_role("button", name="Undo TT-61N on Q1").click()
    expect(page.get_by_text("TT-61N may be fitted on Q1 again.")).to_be_visible()
    expect(page.get_by_text("With alternates: 2 of 3 lines.")).to_be_visible()


def test_two_pages_open_at_once(pages, product):
    one = pages.open("/products/AL-3")
    other = pages.open("/products/AL-3")
    one.get_by_role("button", name="Do not use OC-1047").click()
    other.get_by_role("button", name="Do not use OC-1047").click()
    expect(other.get_by_text("Somebody else changed this part of the line meanwhile.")).to_have_count(2)
    look(other, "conflict")
    other.get_by_role("button", name="Approve OC-1047").click()
    expect(other.get_by_text("OC-1047 may be fitted on C1, C2, C3 again.")).to_be_visible()
