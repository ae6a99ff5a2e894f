"""From a BOM without a route to findings and what one change does to them, in a real browser."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.checks import assert_accessible, assert_no_sideways_scroll, assert_prints, screenshots
from tests.browser.test_upload import upload
from webapp.trade.people import Role

pytestmark = pytest.mark.browser


def gateway_bom() -> bytes:
    """A field gateway of 60 lines and more: passives by the dozen, array packages, a coin cell, through-hole parts."""
    rows = ["Designator;Qty;MPN;Manufacturer;Value;Package;Description"]
    for n in range(24):
        first = 3 * n + 1
        names = ", ".join(f"C{i}" for i in range(first, first + 3))
        rows.append(f"{names};3;KX-{n:03}-X7;Kelvarn;{n + 1} nF;0402;Capacitor, ceramic")
    rows += [f"R{2 * n + 1}, R{2 * n + 2};2;GR-{n:03}-F;Ostrava Caps;{n + 1}k;0402;Resistor, 1 %" for n in range(26)]
    rows += [
        "C90, C91;2;PE-470-25A;Kelvarn;470 µF;radial 8 mm;Capacitor, aluminium electrolytic, SMD can",
        "L1;1;LQ-22-S;Norrlund;22 µH;5 x 5 mm;Inductor, shielded power",
        "D1-D8;8;LW-3528;Lumnia;white;3528;LED, 4000 K",
        "Q1-Q4;4;TT-60N;Kelvarn;60 V;SO-8;Transistor, N-channel MOSFET, power",
        "U1;1;MQ-6410-BG;Brindmoor;;BGA-324, 0.8 mm;Processor",
        "U2;1;MX-800-QF;Norrlund;;QFN-32;Controller",
        "U3;1;SH-40;Portal;;LGA-8 2.5x2.5;Humidity and pressure sensor",
        "Y1;1;XT-25;Ostrava Caps;25 MHz;3225;Crystal",
        "J1;1;CN-4-V;Portal;;THT, 4 pin;Connector, through hole",
        "J2;1;CN-FPC;Portal;;FPC 0.5 mm 24 pin;Connector, flat flexible",
        "K1;1;RL-12;Portal;12 V;THT;Relay, 12 V, through hole",
        "BT1;1;KX-2032-T;Tarnholt Cells;3 V;holder;Coin cell, lithium, with tabs",
    ]
    return "\r\n".join(rows).encode()


def look(page, name: str) -> None:
    """Whatever holds for every page, on this one; and its pictures."""
    assert page.locator("h1").count() == 1
    assert_accessible(page)
    assert_no_sideways_scroll(page)
    assert_prints(page)
    screenshots(page, f"findings-{name}")


def test_from_a_bom_to_findings_and_what_one_change_does(pages):
    page = pages.open("/uploads/new")
    upload(page, gateway_bom(), "gateway.csv")
    draft = page.url.removesuffix("/found")
    page.goto(f"{draft}/commit")
    page.get_by_label("Product code").fill("GW-7")
    page.get_by_label("Name", exact=True).fill("Field gateway")
    page.get_by_role("button", name="Commit as revision 1").click()

    tabs = page.get_by_role("navigation", name="Parts of GW-7")
    tabs.get_by_role("link", name="Findings").click()
    expect(page.get_by_text("Not assessed: no route yet.")).to_be_visible()
    look(page, "0-none")
    page.get_by_role("link", name="Set up the route").click()
    look(page, "1-start")
    page.get_by_label("Highest air temperature, °C").fill("230")
    page.get_by_label("Document").fill("Supplier letter 2024-03")
    page.get_by_role("button", name="Set up and assess").click()
    expect(page.get_by_role("alert")).to_be_focused()
    expect(page.get_by_role("alert")).to_contain_text("If you mean °F, write 230 °F (110 °C).")
    look(page, "1-start-error")
    page.get_by_label("Highest air temperature, °C").fill("131 °F")
    page.get_by_role("button", name="Set up and assess").click()

    expect(page.get_by_text("The product is set up and assessed.")).to_be_visible()
    expect(page.get_by_text("131 °F = 55 °C")).to_be_visible()
    expect(page.get_by_role("heading", name="What the conversion changes")).to_be_visible()
    look(page, "2-list")
    page.get_by_text("Sources", exact=True).first.click()
    page.get_by_role("link", name="by part", exact=True).click()
    expect(page.get_by_text("by part").first).to_be_visible()
    look(page, "2-list-by-part")
    page.get_by_label("Check", exact=True).select_option("Balls that do not melt through")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(page).to_have_url(re.compile("check=ball-mixing"))
    page.get_by_role("link", name="All it rests on").first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("MQ-6410-BG")
    look(page, "3-one")

    # The board's finish is asked for; giving it settles the finding.
    tabs.get_by_role("link", name="Findings").click()
    page.get_by_role("link", name="Enter it under Setup").click()
    expect(page).to_have_url(re.compile("/setup#f-finish$"))
    look(page, "4-setup")
    page.get_by_label("electroless nickel, immersion gold", exact=True).check()
    page.get_by_role("button", name="Save and assess").click()
    expect(page.get_by_text("The setup is saved.")).to_be_visible()
    expect(page.locator(".notice")).to_contain_text(re.compile(r"low temperature: *prove +\d+ → \d+"))
    look(page, "4-setup-saved")

    tabs.get_by_role("link", name="Route").click()
    look(page, "5-route")
    page.get_by_label("Start from").select_option("A copy of “low temperature”.")
    page.get_by_label("Name (optional)").fill("with coating")
    page.get_by_role("button", name="Make the candidate").click()
    expect(page.get_by_role("heading", name="with coating")).to_be_visible()
    look(page, "5-route-three")
    page.locator("section.beside", has_text="with coating").get_by_role("link", name="Edit the steps").last.click()
    page.get_by_label("Add as the last step").select_option("cure of adhesive or coating")
    page.get_by_role("button", name="Add the step").click()
    page.get_by_label("Peak, °C of step 3").fill("150")
    page.get_by_label("Time, h of step 3").fill("0.5")
    page.get_by_label("Name of step 3").fill("coating cure")
    look(page, "6-edit")
    page.get_by_role("button", name="Save and assess").click()
    expect(page.get_by_text("The route is saved.")).to_be_visible()
    page.locator("section.beside", has_text="with coating").get_by_role("link", name="Findings").click()
    expect(page.get_by_text("coating cure heats finished joints to 150 °C").first).to_be_visible()
    expect(page.get_by_role("link", name="Show what blocks")).to_be_visible()
    look(page, "7-blocks")

    # What clears it is worked out in place; the form of the route opens with the change in it.
    page.get_by_role("link", name="All it rests on", exact=False).first.click()
    page.get_by_role("link", name="Which single change clears it").click()
    way = page.get_by_role("row", name=re.compile("Coating cure: 126 °C instead of 150 °C"))
    expect(way).to_contain_text("cleared")
    expect(way).to_contain_text("nothing")
    expect(page.locator("#tried .ways")).to_be_focused()
    expect(page.get_by_role("status")).to_have_text(re.compile("would clear it alone"))
    look(page, "8-ways")
    page.goto(f"{page.url}/ways")
    look(page, "8-ways-alone")
    way.get_by_role("link", name="Change the route").click()
    expect(page.get_by_text("Not saved yet.")).to_be_visible()
    expect(page.get_by_label("Peak, °C of step 3")).to_have_value("126")
    page.get_by_role("button", name="Save and assess").click()
    expect(page.locator(".notice")).to_contain_text(re.compile(r"with coating: *blocks +\d+ → 0"))


def test_steps_are_moved_by_keyboard_alone(pages):
    page = pages.open("/uploads/new")
    upload(page, gateway_bom(), "gateway-2.csv")
    page.goto(f"{page.url.removesuffix('/found')}/commit")
    page.get_by_label("Product code").fill("GW-K")
    page.get_by_label("Name", exact=True).fill("Keyboard")
    page.get_by_role("button", name="Commit as revision 1").click()
    page.goto("/products/GW-K/route")
    page.get_by_role("button", name="Set up and assess").press("Enter")
    page.goto("/products/GW-K/route")
    page.get_by_role("link", name="Edit the steps").last.press("Enter")
    expect(page.get_by_label("Side of step 1")).to_have_value("bottom")
    page.get_by_role("button", name="Move down step 1").press("Enter")
    expect(page.get_by_label("Side of step 1")).to_have_value("top")
    expect(page.get_by_text("Not saved yet.")).to_be_visible()
    # Enter in a field saves; it does not move a step.
    page.get_by_label("Name of the route").press("Enter")
    expect(page.get_by_text("The route is saved.")).to_be_visible()
    expect(page.locator("section.beside").last.get_by_role("rowheader").first).to_contain_text("1 reflow, top side")


def test_without_script_and_as_a_reader(pages):
    page = pages.open("/products/GW-K/findings", java_script_enabled=False)
    page.get_by_label("Verdict").select_option("Prove")
    page.get_by_role("button", name="Show", exact=True).click()
    assert "verdict=prove" in page.url
    reader = pages.open("/products/GW-K/setup", Role.REVIEWER)
    assert reader.get_by_role("button", name="Save and assess").count() == 0
    look(reader, "8-setup-reader")
    reader.goto("/products/GW-K/route")
    look(reader, "8-route-reader")
