"""Joints of array packages: the list, one of them to scale, and what it would be if, in a real browser."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.checks import assert_accessible, assert_no_sideways_scroll, assert_prints, screenshots
from tests.browser.test_findings import gateway_bom
from webapp.desk import accounts
from webapp.desk.new_product import ProductFromFiles, new_product
from webapp.desk.uploads import UploadedFile
from webapp.trade.people import Role

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def gateway(server, passwords):
    """The gateway GW-J on today's route and one candidate, assessed; the address of its joints."""
    person = accounts.command_line_person(server.database, passwords, Role.ENGINEER)
    files = ProductFromFiles(
        code="GW-J",
        bom=UploadedFile("gateway.csv", gateway_bom()),
        template="two-sided-low-temperature",
        name="Field gateway",
        lead_free="Supplier letter 2024-03",
    )
    new_product(server.database, server.settings, person, files)
    return "/products/GW-J/joints"


def look(page, name: str) -> None:
    assert_accessible(page)
    assert_no_sideways_scroll(page)
    assert_prints(page)
    screenshots(page, f"joints-{name}")


def test_the_joint_changes_with_what_is_typed(pages, gateway):
    page = pages.open(gateway)
    expect(page.get_by_text("1 array package: 1 stays a hybrid joint.")).to_be_visible()
    look(page, "0-list")
    page.get_by_role("link", name="MQ-6410-BG").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("MQ-6410-BG")
    expect(page.get_by_role("img", name=re.compile("^The ball stays whole and stands on the board"))).to_be_visible()
    expect(page.get_by_role("img", name="How much of the joint is liquid over temperature")).to_be_visible()
    look(page, "1-one")

    # One value: that part of the page alone changes, the address holds it, and the focus stays.
    peak = page.get_by_label("Coldest joint, °C")
    peak.fill("230")
    peak.press("Tab")
    expect(page.get_by_text("With the values below, not as it is now.")).to_be_visible()
    expect(page).to_have_url(re.compile("peak_c=230"))
    expect(page.get_by_role("columnheader", name="Difference")).to_be_visible()
    expect(page.locator("#status")).to_contain_text("ball and paste become one")
    expect(page.locator("#later")).to_contain_text("peak 230")
    assert page.evaluate("document.activeElement.id") == "f-ball_mm"
    # Without silver in ball and paste the first melting is that of tin and bismuth alone.
    page.get_by_label("Alloy of the ball").fill("Sn99.3Cu0.7")
    page.get_by_label("Alloy of the ball").press("Tab")
    page.get_by_label("Alloy of the paste").fill("Sn42Bi58")
    page.get_by_label("Alloy of the paste").press("Tab")
    expect(page.locator("#later")).to_contain_text("first melts 138")
    look(page, "2-tried")

    page.get_by_label("Ball diameter, mm").fill("9")
    page.get_by_label("Ball diameter, mm").press("Enter")
    expect(page.locator("#f-ball_mm-error")).to_contain_text("9 mm is outside 0.05 to 2 mm.")
    expect(page.get_by_label("Ball diameter, mm")).to_be_focused()
    expect(page.get_by_label("Coldest joint, °C")).to_have_value("230")
    look(page, "3-wrong")

    page.get_by_role("link", name="Back to how it is now").first.click()
    expect(page.get_by_text("With the values below, not as it is now.")).to_have_count(0)
    page.get_by_role("link", name=re.compile("^Try it.*A coldest joint")).first.click()
    expect(page.get_by_text("With the values below, not as it is now.")).to_be_visible()


def test_without_script(pages, gateway):
    page = pages.open(gateway, java_script_enabled=False)
    page.get_by_role("link", name="MQ-6410-BG").click()
    page.get_by_label("Alloy of the ball").fill("Sn42Bi58")
    page.get_by_role("button", name="Show").click()
    expect(page.get_by_text("With the values below, not as it is now.")).to_be_visible()
    assert "ball=Sn42Bi58" in page.url
