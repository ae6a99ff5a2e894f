"""The whole main job in three roles: an engineer brings in products and completes them, a reviewer clears a part in two
of them by keyboard, a manager sees where it stands and prints it."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.checks import assert_accessible, assert_no_sideways_scroll, assert_prints, screenshots
from tests.browser.conftest import PASSWORD, Pages, serving
from tests.browser.test_findings import gateway_bom
from tests.browser.test_upload import upload
from webapp.desk.new_product import ProductFromFiles, new_product
from webapp.desk.uploads import UploadedFile
from webapp.store import people
from webapp.trade.people import Role

pytestmark = pytest.mark.browser

PART = "MQ-6410-BG"


@pytest.fixture
def own_pages(browser, tmp_path, migrated_file, passwords):
    """Pages on a server of its own, with one person for each role and a first product, HG-1, made by the engineer."""
    with serving(tmp_path, migrated_file, passwords, *Role) as running:
        with running.database.read() as session:
            engineer = people.person_from(session, people.row_by_login(session, Role.ENGINEER))
        new = ProductFromFiles(
            "HG-1", UploadedFile("hg-1.csv", gateway_bom()), "two-sided-low-temperature", name="Home gateway"
        )
        new_product(running.database, running.settings, engineer, new)
        opened = Pages(browser, running, {})
        yield opened
        for context in opened.contexts:
            context.close()
        assert not opened.complaints, "\n".join(opened.complaints)


def look(page, name):
    """Whatever holds for every page, on this one; and its pictures."""
    assert page.locator("h1").count() == 1
    assert_accessible(page)
    assert_no_sideways_scroll(page)
    assert_prints(page)
    screenshots(page, f"job-{name}")


def prepare(page):
    """The engineer: from the start page over the upload to findings, one datum given, an action made."""
    look(page, "1-start")
    page.get_by_role("link", name="Upload a BOM", exact=True).first.click()
    upload(page, gateway_bom(), "gateway.csv")
    page.goto(f"{page.url.removesuffix('/found')}/commit")
    page.get_by_label("Product code").fill("GW-7")
    page.get_by_label("Name", exact=True).fill("Field gateway")
    page.get_by_role("button", name="Commit as revision 1").click()
    page.goto("/products/GW-7/route")
    page.get_by_role("button", name="Set up and assess").click()
    page.goto("/products/GW-7/setup")
    page.get_by_label("electroless nickel, immersion gold", exact=True).check()
    page.get_by_role("button", name="Save and assess").click()
    page.goto("/products/GW-7/describe")
    page.get_by_label("Label").fill("Outdoor")
    page.get_by_label("Owner").select_option("The engineer")
    look(page, "2-describe")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("It is saved.")).to_be_visible()


def add_action(page):
    """An action from a finding of the product."""
    page.goto("/products/GW-7/findings?check=ball-mixing")
    look(page, "3-findings")
    number = page.get_by_role("link", name="All it rests on").first.get_attribute("href").rpartition("/")[2]
    page.goto(f"/actions/new?finding={number}")
    page.get_by_label("What is to be done").fill("Order sections of the processor's joints")
    page.get_by_label("Due").fill("2026-01-31")
    look(page, "4-action")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("The action is added.")).to_be_visible()
    look(page, "4-actions")


def review(page):
    """The reviewer, by keyboard alone: one part, two products, a preview, the password, the signature."""
    look(page, "5-start")
    page.get_by_role("link", name="Review", exact=True).first.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Review")
    look(page, "5-queue")
    page.get_by_role("link", name=PART, exact=True).press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text(PART)
    look(page, "6-part")
    ticks = page.get_by_role("checkbox")
    expect(ticks).to_have_count(2)
    for at in range(2):
        ticks.nth(at).press("Space")
    page.get_by_role("radio", name=re.compile("^Accept")).press("Space")
    page.get_by_role("textbox", name="Reason").press_sequentially("Sections of 12 parts, report 31.")
    page.get_by_role("button", name="Sign").press("Enter")
    expect(page.get_by_text("2 of 2 can be signed. Nothing is signed yet.")).to_be_visible()
    expect(page.get_by_role("textbox", name="Reason")).to_have_value("Sections of 12 parts, report 31.")
    look(page, "7-preview")
    page.get_by_role("button", name="Sign 2 findings").press("Enter")
    expect(page.get_by_label(re.compile("^Password of"))).to_be_focused()
    look(page, "8-password")
    page.keyboard.type(PASSWORD)
    page.keyboard.press("Enter")
    expect(page.get_by_text("Signed: 2 findings accepted.")).to_be_visible()
    look(page, "9-signed")


def decide_on_one(page):
    """A finding's own page for deciding; without a reason nothing is signed and nothing lost."""
    page.goto("/review")
    page.locator("tbody").get_by_role("link").first.click()
    page.get_by_role("link", name="Decide on this one").first.click()
    look(page, "10-one")
    page.get_by_role("radio", name=re.compile("^Resolved")).check()
    page.get_by_role("textbox", name="Reason").fill("Layout review of May.")
    page.get_by_role("button", name="Sign").click()
    expect(page.get_by_text("Name the change that settles it").first).to_be_visible()
    expect(page.get_by_role("textbox", name="Reason")).to_have_value("Layout review of May.")
    look(page, "10-one-error")


def drill_down(page):
    """The manager: the portfolio, one product's findings with what was decided, and a sheet of paper."""
    page.goto("/")
    expect(page).to_have_url(re.compile("/portfolio$"))
    look(page, "11-portfolio")
    page.get_by_label("Label").select_option("Outdoor")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(page).to_have_url(re.compile("label=Outdoor"))
    expect(page.get_by_role("link", name="HG-1")).to_have_count(0)
    page.emulate_media(media="print")
    paper = page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page[^s]", paper)) == 1
    page.emulate_media(media="screen")
    row = page.get_by_role("row", name=re.compile("GW-7"))
    row.get_by_role("link", name=re.compile("prove")).click()
    expect(page).to_have_url(re.compile("/products/GW-7/findings"))
    expect(page.get_by_text("accepted", exact=True).first).to_be_visible()
    look(page, "12-findings")


def test_engineer_reviewer_and_manager(own_pages):
    engineer = own_pages.open("/")
    prepare(engineer)
    add_action(engineer)
    reviewer = own_pages.open("/", Role.REVIEWER)
    review(reviewer)
    decide_on_one(reviewer)
    drill_down(own_pages.open("/", Role.MANAGER))
    look(own_pages.open("/help/tour", Role.MANAGER), "13-tour")
    look(own_pages.open("/", Role.ADMINISTRATOR), "14-administrator")
