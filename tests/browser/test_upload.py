"""From the first account to the lines of a product, in a real browser."""

import re

import pytest
from playwright.sync_api import expect

from tests.boms import HARBOUR, HARBOUR_LATER, NO_DESIGNATORS
from tests.browser.checks import assert_accessible, assert_no_sideways_scroll, assert_prints, screenshots
from tests.browser.conftest import PASSWORD, SETUP_TOKEN

pytestmark = pytest.mark.browser

NAME = "street-lamp-controller.csv"


def invented_bom() -> bytes:
    """A semicolon-separated list as it comes from a layout tool: title, heads in two languages, one of them unclear,
    long rows of designators, places not fitted, alternates, a designator listed twice, a wrong quantity, a total."""
    rows = [
        "Street-lamp controller SL-40;;;;;;",
        "exported for quotation;;;;;;",
        "Bezeichner;Menge;Article;Firm house;Wert;Bauform;Beschreibung",
        f"{', '.join(f'C{n}' for n in range(1, 32))};31;KX-104-X7;Kelvarn;100 nF;0402;Capacitor, X7R, 16 V",
        "C40-C43;4;KX-226-X5;Kelvarn;22 µF;1206;Capacitor, X5R, 25 V",
        "R1, R2, R3;3;GR-103-F;Ostrava Caps;10k;0402;Resistor, 1 %",
        "R4;1;GR-000;Ostrava Caps;0R;0402;Jumper, DNP",
        "R5, R6;3;GR-220-F;Ostrava Caps;22R;0603;Resistor, 1 %",
        "R2;1;GR-472-F;Ostrava Caps;4k7;0402;Resistor, 1 %",
        "L1;1;LQ-22-S;Norrlund;22 µH;5 x 5 mm;Inductor, shielded",
        "D1-D8;8;LW-3528;Lumnia;white;3528;LED, 4000 K",
        "U1;1;MX-800-QF;Norrlund;;QFN-32;Controller",
        "U2;1;00471;Norrlund;;SOT-23-5;Regulator, 3.3 V",
        "Q1, Q2;2;TT-60N;Kelvarn;60 V;SO-8;Transistor",
        "J1;1;CN-4-V;Portal;;4 pin, 3.5 mm;Connector",
        "FD1, FD2;2;;;Fiducial;;",
        ";1;PCB-SL40-R3;Portal;;;Bare board",
        "Nicht bestückt:;;;;;;",
        "J2;1;CN-2-V;Portal;;2 pin, 3.5 mm;Connector",
        *(f"TP{n};1;TP-{n:02};Portal;;1 mm;Test pin, gold" for n in range(1, 6)),
        "Total;65;;;;;",
    ]
    return "\r\n".join(rows).encode("cp1252")


def look(page, name: str) -> None:
    """Whatever holds for every page, on this one; and its pictures."""
    assert page.locator("h1").count() == 1
    assert_accessible(page)
    assert_no_sideways_scroll(page)
    assert_prints(page)
    screenshots(page, f"upload-{name}")


def upload(page, content: bytes, name: str = NAME) -> None:
    page.goto("/uploads/new")
    page.get_by_label("Bill of materials").set_input_files({"name": name, "mimeType": "text/csv", "buffer": content})
    page.get_by_role("button", name="Upload and read").click()


def test_from_the_first_account_to_the_lines_of_a_product(fresh_pages):
    page = fresh_pages.open("/", role=None)
    expect(page).to_have_url(re.compile("/setup$"))
    look(page, "setup")
    page.get_by_label("Set-up token").fill(SETUP_TOKEN)
    page.get_by_label("Login").fill("ines")
    page.get_by_label("Name", exact=True).fill("Ines Varga")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Make the account").click()

    expect(page.get_by_role("heading", level=1)).to_have_text("People")
    page.get_by_label("Login").fill("marek")
    page.get_by_label("Name", exact=True).fill("Marek Holm")
    page.get_by_label("engineer").check()
    page.get_by_label("First password").fill(PASSWORD)
    page.get_by_role("button", name="Add the person").click()
    expect(page.get_by_text("The person is added.")).to_be_visible()
    look(page, "people")
    page.locator("details.account > summary").click()
    page.get_by_role("button", name="Sign out").click()

    page.get_by_label("Login").fill("marek")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.goto("/products")
    expect(page.get_by_role("heading", name="No products yet")).to_be_visible()
    look(page, "0-no-products")
    page.goto("/uploads")
    look(page, "0-no-uploads")

    page.get_by_role("link", name="Upload a BOM", exact=True).first.click()
    look(page, "1-file")
    upload(page, invented_bom())
    expect(page.get_by_role("heading", level=1)).to_have_text("What was found")
    expect(page.get_by_label("Separator")).to_have_value("semicolon")
    expect(page.get_by_label("Row with the column heads")).to_have_value("3")
    expect(page.get_by_label("Encoding")).to_have_value("cp1252")
    look(page, "2-found")
    page.get_by_role("button", name="Continue to columns").click()

    expect(page.get_by_text("No column for part number")).to_be_visible()
    look(page, "3-columns")
    page.get_by_label("Column C Article holds").select_option("part number")
    page.get_by_label("Column D Firm house holds").select_option("manufacturer")
    page.get_by_role("button", name="Continue to rows").first.click()

    expect(page.get_by_role("cell", name="KX-104-X7")).to_be_visible()
    expect(page.get_by_text("R2 already on row 6")).to_be_visible()
    look(page, "4-rows")
    page.get_by_label("State of row 15").select_option("not fitted")
    page.get_by_role("button", name="Save the states").click()
    expect(page.get_by_text("The rows are saved.")).to_be_visible()
    expect(page.get_by_label("State of row 15")).to_have_value("dnp")
    page.get_by_role("navigation", name="Rows by what they are").get_by_role("link", name="Passed over").click()
    expect(page.get_by_role("cell", name="Total 65")).to_be_visible()
    look(page, "4-rows-passed-over")
    page.get_by_role("button", name="Continue to commit").first.click()

    look(page, "5-commit")
    page.get_by_role("button", name="Commit as revision 1").click()
    # The browser itself asks for what is required, before anything is sent.
    expect(page.get_by_label("Product code")).to_be_focused()
    page.get_by_label("Product code").fill("SL-40")
    page.get_by_label("Name", exact=True).fill("Street-lamp controller")
    page.get_by_role("button", name="Commit as revision 1").click()

    expect(page.get_by_role("heading", level=1)).to_have_text("SL-40 Street-lamp controller")
    expect(page.get_by_text("Revision 1 is committed")).to_be_visible()
    expect(page.get_by_role("cell", name="KX-104-X7")).to_be_visible()
    look(page, "6-product")
    page.get_by_label("Designator, part, maker or value").fill("J1")
    page.get_by_role("button", name="Filter").click()
    expect(page.get_by_text("All lines with “J1”: 1 of")).to_be_visible()
    expect(page.get_by_role("cell", name="CN-4-V")).to_be_visible()
    page.goto("/products")
    look(page, "7-products")

    # The next file with these heads: the columns are known, and what changes is shown before the commit.
    upload(page, invented_bom().replace(b"GR-103-F", b"GR-113-F"), "street-lamp-controller_r2.csv")
    page.get_by_role("link", name="Columns").click()
    expect(page.get_by_text("The columns are as you set them for street-lamp-controller.csv")).to_be_visible()
    look(page, "8-columns-remembered")
    page.get_by_role("link", name="Commit").click()
    page.get_by_role("link", name="Next revision of a product").click()
    page.get_by_label("Product code").fill("SL-40")
    page.get_by_role("button", name="Compare").click()
    expect(page.get_by_role("cell", name="GR-113-F")).to_be_visible()
    look(page, "9-commit-next")
    page.goto("/uploads")
    look(page, "9-uploads")
    page.goto("/")
    look(page, "9-start")


def test_back_in_the_browser_after_the_commit_changes_nothing(pages):
    page = pages.open("/uploads/new")
    upload(page, HARBOUR)
    draft = page.url.removesuffix("/found")
    page.goto(f"{draft}/commit")
    page.get_by_label("Product code").fill("BACK-1")
    page.get_by_label("Name", exact=True).fill("Back")
    page.get_by_role("button", name="Commit as revision 1").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("BACK-1 Back")
    page.go_back()
    expect(page.get_by_text("Committed as revision 1 of BACK-1")).to_be_visible()
    look(page, "committed")
    page.get_by_role("link", name="Open BACK-1").click()
    expect(page.get_by_role("row", name="shown above")).to_have_count(1)


def test_columns_by_keyboard_alone(pages):
    page = pages.open("/uploads/new")
    upload(page, HARBOUR)
    page.get_by_role("link", name="Columns").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Columns")
    value = page.get_by_label("Column E Value holds")
    for _ in range(60):
        page.keyboard.press("Tab")
        if value.evaluate("element => element === document.activeElement"):
            break
    expect(value).to_be_focused()
    page.keyboard.press("q")  # to "quantity", which column B holds already
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(page.locator(":focus")).to_have_text("Continue to rows")
    page.keyboard.press("Enter")
    # The summary takes the focus and leads to the field.
    expect(page.get_by_role("alert")).to_be_focused()
    expect(page.get_by_role("alert")).to_contain_text("Two columns are set to quantity: Qty and Value.")
    look(page, "3-columns-error")
    page.get_by_role("alert").focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(value).to_be_focused()
    page.keyboard.press("v")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Rows")


def test_without_script(pages):
    page = pages.open("/uploads/new", java_script_enabled=False)
    upload(page, HARBOUR_LATER)
    page.get_by_role("button", name="Continue to columns").click()
    page.get_by_role("button", name="Continue to rows").first.click()
    page.get_by_label("State of row 2").select_option("leave out")
    page.get_by_role("button", name="Continue to commit").first.click()
    page.get_by_label("Product code").fill("PLAIN-1")
    page.get_by_label("Name", exact=True).fill("Without script")
    page.get_by_role("button", name="Commit as revision 1").click()
    assert page.get_by_role("heading", level=1).inner_text() == "PLAIN-1 Without script"
    assert page.get_by_text("5 lines").count() > 0


@pytest.mark.parametrize(
    ("content", "name", "sentence"),
    [
        (bytes(range(256)) * 40, "photo.xlsx", "neither text nor a workbook"),
        (b"", "empty.csv", "empty.csv is empty"),
    ],
)
def test_a_file_that_cannot_be_read(pages, content, name, sentence):
    page = pages.open("/uploads/new")
    upload(page, content, name)
    expect(page.get_by_role("alert")).to_contain_text(sentence)
    look(page, f"1-file-error-{name.split('.')[0]}")


def test_a_list_that_is_no_bom_says_what_to_do(pages):
    page = pages.open("/uploads/new")
    upload(page, NO_DESIGNATORS, "prices.csv")
    expect(page.get_by_text("This does not read as the BOM of a board")).to_be_visible()
    look(page, "2-found-no-bom")


def test_throwing_away_can_be_undone(pages):
    page = pages.open("/uploads/new")
    upload(page, HARBOUR, "thrown.csv")
    page.get_by_role("button", name="Throw the draft away").click()
    look(page, "thrown-away")
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_text("The upload is open again.")).to_be_visible()
