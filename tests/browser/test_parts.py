"""Parts, declarations, data wanted with a question sheet and its answers, quick look, help on a check: in a browser."""

import csv
import io
import re

import pytest
from playwright.sync_api import expect
from sqlmodel import select

from tests.browser.checks import assert_accessible, assert_no_sideways_scroll, assert_prints, screenshots
from tests.web.pages.made import make_product
from webapp.store.people import person_from, row_by_login
from webapp.store.products import ProductRow
from webapp.trade.people import Role

pytestmark = pytest.mark.browser

KINDS = (
    ("C{0}, C1{0}, C2{0}", 3, "KX-1{0}-X7", "Ostrava Caps", "100 nF", "0402", "Capacitor X7R"),
    ("R{0}, R1{0}", 2, "GR-1{0}-F", "Kelvarn", "10k", "0603", "Resistor"),
    ("U{0}", 1, "MX-8{0}-QF", "Norrlund", "", "QFN-32 5x5", "Controller"),
    ("Q{0}", 1, "TN-7{0}", "Kelvarn", "", "SOT-23", "Transistor"),
    ("D{0}", 1, "LW-3{0}", "Lumnia", "white", "3528", "LED"),
    ("K{0}", 1, "RL-5{0}", "Portal", "5 V", "", "Relay through hole"),
    ("M{0}", 1, "MQ-6{0}-BG", "Brindmoor", "", "BGA-324", "Processor"),
    ("E{0}", 1, "AE-4{0}", "Ostrava Caps", "470 uF", "8x10", "Electrolytic capacitor"),
)


def large_list() -> bytes:
    """72 lines of invented parts of eight kinds."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(["Designator", "Qty", "MPN", "Manufacturer", "Value", "Package", "Description"])
    writer.writerows([str(cell).format(n) for cell in kind] for kind in KINDS for n in range(1, 10))
    return text.getvalue().encode()


@pytest.fixture(scope="module")
def product(server):
    """The harbour logger with 72 lines, assessed."""
    with server.database.read() as session:
        person = person_from(session, row_by_login(session, Role.ENGINEER))
    return make_product(server.database, server.settings, person, "HL-72", large_list())


def look(page, name: str) -> None:
    """Whatever holds for every page, on this one; and its pictures."""
    assert page.locator("h1").count() == 1
    assert_accessible(page)
    assert_no_sideways_scroll(page)
    assert_prints(page)
    screenshots(page, f"parts-{name}")


def test_a_part_from_the_list_to_its_stated_limit(pages, product):
    page = pages.open("/parts?product=HL-72")
    expect(page.get_by_text("used in HL-72: 72 parts.")).to_be_visible()
    look(page, "list")
    page.get_by_label("Number, value, package or words").fill("MX-83")
    page.keyboard.press("Enter")
    page.get_by_role("link", name="MX-83-QF").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("MX-83-QF")
    look(page, "one")

    # By keyboard: the first field that is typed, the document, and Enter stores.
    page.get_by_label("New value: Highest body temperature, °C").fill("473")
    page.get_by_label("Document: title, revision or date").fill("Data sheet MX-8, revision 4")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_be_focused()
    expect(page.get_by_role("alert")).to_contain_text("If you mean °F, write 473 °F")
    look(page, "one-error")
    page.get_by_label("New value: Highest body temperature, °C").fill("473 °F")
    page.keyboard.press("Enter")
    expect(page.get_by_text("“473 °F” is read as 245 °C")).to_be_visible()
    expect(page.get_by_role("row", name=re.compile("nothing stated 245 °C"))).to_be_visible()
    look(page, "one-stated")
    page.get_by_role("button", name="Take back Highest body temperature").click()
    expect(page.get_by_text("Highest body temperature is taken back")).to_be_visible()


def test_a_declaration_is_looked_at_and_recorded(pages, product):
    page = pages.open("/products/HL-72/wanted")
    look(page, "wanted")
    page.get_by_role("link", name=re.compile("Declare it Terminal finish")).click()
    expect(page.get_by_label("Product code")).to_have_value("HL-72")
    page.get_by_role("button", name="See what it changes").click()
    expect(page.get_by_text("It would narrow 63 parts of the 72 it covers.")).to_be_visible()
    look(page, "declaration")
    page.get_by_label("Document", exact=True).fill("Letter LF-2008 of the supplier")
    page.get_by_role("button", name="Record the declaration").click()
    expect(page.get_by_text("The declaration is recorded.")).to_be_visible()
    look(page, "declarations")
    page.get_by_role("button", name="Take back").first.click()
    expect(page.get_by_text("it stays on record")).to_be_visible()


def test_a_question_sheet_goes_out_and_comes_back(pages, product):
    page = pages.open("/products/HL-72/wanted")
    page.get_by_role("link", name="Look and print Norrlund").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Questions to Norrlund")
    look(page, "sheet")
    with page.expect_download() as download:
        page.get_by_role("link", name="CSV to send").click()
    rows = list(csv.DictReader(download.value.path().read_text(encoding="utf-8-sig").splitlines()))
    good, wrong = (row for row in rows if row["Field"] == "finish" and row["Part number"] in ("MX-81-QF", "MX-82-QF"))
    good["Answer"], wrong["Answer"] = "e4", "shiny"
    page.goto("/wanted#answers")
    for content in (b"\n", sheet_of(rows)):
        page.get_by_label("Answered sheet").set_input_files(
            {"name": "answers.csv", "mimeType": "text/csv", "buffer": content}
        )
        page.get_by_label("Document", exact=True).fill("Mail of 2026-11-02")
        page.get_by_role("button", name="Read the answers").click()
        if content == b"\n":
            expect(page.get_by_role("alert")).to_contain_text("The file is empty.")
            expect(page.get_by_role("alert")).to_be_in_viewport()
            look(page, "answers-error")
    expect(page.get_by_role("row", name=re.compile("shiny.*names no finish"))).to_be_visible()
    look(page, "answers")
    page.get_by_role("button", name="Store the 1 answer").click()
    expect(page.get_by_text("Stored: 1 answer.")).to_be_visible()
    with page.expect_download() as download:
        page.get_by_role("link", name="These rows to send back, CSV").click()
    (back,) = csv.DictReader(download.value.path().read_text(encoding="utf-8-sig").splitlines())
    assert back["Answer"] == "shiny"
    assert back["What was expected"]
    page.goto("/wanted")
    look(page, "wanted-all")


def sheet_of(rows: list[dict[str, str]]) -> bytes:
    text = io.StringIO()
    writer = csv.DictWriter(text, rows[0])
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue().encode()


def test_a_quick_look_needs_no_script(pages):
    page = pages.open("/quick-look", java_script_enabled=False)
    page.get_by_label("Parts, one a line").fill("QFN-32 5x5\nBGA-324\nsupercapacitor\nrelay, through hole\n0402\nZZ-1")
    page.get_by_role("button", name="Look").click()
    assert page.get_by_text("of each ball").count() == 1
    assert "parts=QFN-32" in page.url


def test_a_quick_look_leads_to_the_check(pages):
    page = pages.open("/quick-look?parts=QFN-32+5x5%0ABGA-324%0Asupercapacitor%0Acoin+cell%0A0402%0AZZ-1&lead_free=yes")
    look(page, "quick-look")
    page.get_by_role("link", name="The check ball-mixing").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Balls that do not melt through")
    look(page, "check")
    page.goto("/help/checks")
    look(page, "checks")


def test_a_name_without_blanks_does_not_widen_the_page(pages, server, product):
    name = "W" * 200
    with server.database.command() as session:
        session.exec(select(ProductRow).where(ProductRow.code == product)).one().name = name
    for tab in ("", "/setup", "/route", "/findings", "/joints"):
        page = pages.open(f"/products/{product}{tab}", width=390)
        assert name in page.content()
        assert_no_sideways_scroll(page)
    for path in ("/", "/products", "/review", "/actions"):
        assert_no_sideways_scroll(pages.open(path, width=390))


def test_the_header_of_a_phone_leads_to_the_parts(pages, product):
    page = pages.open("/", width=390)
    page.locator("summary", has_text="Menu").click()
    page.get_by_role("link", name="Parts", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Parts")
