"""The screens about alloys in a browser: list and comparison, what-if by keyboard, the diagram at the pointer."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.checks import (
    assert_accessible,
    assert_focus_is_kept,
    assert_no_sideways_scroll,
    assert_prints,
    screenshots,
)

pytestmark = pytest.mark.browser


def look(page, name: str) -> None:
    """Whatever holds for every page, on this one; and its pictures."""
    assert page.locator("h1").count() == 1
    assert_accessible(page)
    assert_no_sideways_scroll(page)
    assert_prints(page)
    screenshots(page, f"alloys-{name}")


def test_from_the_list_to_alloys_side_by_side(pages):
    page = pages.open("/portfolio")
    page.get_by_role("navigation", name="Main").get_by_role("link", name="Alloys").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Alloys")
    look(page, "list")
    page.get_by_label("Compare Sn42Bi57Ag1").check()
    page.get_by_label("Compare Sn96.5Ag3.0Cu0.5").check()
    page.get_by_role("button", name="Compare those ticked").click()
    expect(page.get_by_role("img", name="Liquid share of Sn42Bi57Ag1, Sn96.5Ag3.0Cu0.5")).to_be_visible()
    look(page, "compare")
    page.get_by_role("table", name="Where the alloys melt").get_by_role("link", name="Sn42Bi57Ag1", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Sn42Bi57Ag1")
    page.get_by_text("Values of the chart").click()
    expect(page.get_by_role("columnheader", name="Liquid as soldered, %")).to_be_visible()
    look(page, "one")
    page.get_by_role("link", name="published thermodynamic data").click()
    look(page, "method")


def test_a_composition_is_changed_by_keyboard(pages):
    page = pages.open("/alloys/try?composition=Sn41.5Bi57Ag1Cu0.5")
    look(page, "try")
    page.get_by_role("button", name="More bismuth").focus()
    # Faster than the answers come: no step is lost.
    for _ in range(4):
        page.keyboard.press("Enter")
    expect(page.get_by_label("Bi bismuth")).to_have_value("59")
    expect(page.get_by_role("heading", level=2, name="Sn39.5Bi59Ag1Cu0.5")).to_be_visible()
    expect(page).to_have_url(re.compile(r"composition=Sn39\.5Bi59Ag1Cu0\.5$"))
    assert_focus_is_kept(page)
    expect(page.get_by_role("button", name="More bismuth")).to_be_focused()
    # What takes longer follows: the second curve.
    expect(page.locator(".line-2")).to_have_count(1)

    copper = page.get_by_label("Cu copper")
    copper.focus()
    page.keyboard.press("ArrowDown")
    expect(copper).to_have_value("0")
    expect(page.get_by_role("heading", level=2, name="Sn40Bi59Ag1")).to_be_visible()
    expect(copper).to_be_focused()

    copper.fill("x")
    expect(page.get_by_text("“x” is no number.")).to_be_visible()
    expect(copper).to_have_value("x")
    expect(copper).to_be_focused()
    look(page, "try-error")
    copper.fill("99")
    expect(page.get_by_text("nothing is left for Sn")).to_be_visible()
    copper.fill("0,7")
    expect(page.get_by_role("heading", level=2, name="Sn39.3Bi59Ag1Cu0.7")).to_be_visible()
    page.reload()
    expect(page.get_by_label("Cu copper")).to_have_value("0.7")
    page.get_by_role("link", name="Save as own alloy").click()
    expect(page.get_by_label("Composition, wt%")).to_have_value("Sn39.3Bi59Ag1Cu0.7")


def test_a_composition_is_changed_without_a_script(pages):
    page = pages.open("/alloys/try", java_script_enabled=False)
    page.get_by_role("button", name="Less silver").click()
    expect(page).to_have_url(re.compile(r"/alloys/try\?composition=Sn42\.5Bi57Ag0\.5$"))
    page.get_by_label("Bi bismuth").fill("50")
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile(r"composition=Sn49\.5Bi50Ag0\.5$"))


@pytest.mark.parametrize("query", ["bi=30&t=160", "bi=80&t=200", "bi=50&t=60", "bi=5&t=100", "bi=70&t=280"])
def test_the_script_reads_the_diagram_off_as_the_server_does(pages, query):
    bi, t = re.findall(r"\d+", query)
    plain = pages.open(f"/alloys/diagram?{query}", java_script_enabled=False)
    live = pages.open("/alloys/diagram")
    live.get_by_label("Bismuth wt%").fill(bi)
    live.get_by_label("Temperature °C").fill(t)
    for place in ("#read-liquidus", "#read-solidus", "#read-parts"):
        expected, found = (re.split(r"\s+", page.locator(place).inner_text()) for page in (plain, live))
        assert len(expected) == len(found)
        for one, other in zip(expected, found, strict=True):
            if re.fullmatch(r"[\d.]+", one):
                # Between its points, 1 wt% apart, the script takes straight lines.
                assert float(other) == pytest.approx(float(one), abs=0.3)
            else:
                assert other == one


def test_the_diagram_follows_the_pointer_and_keeps_a_click(pages):
    page = pages.open("/alloys/diagram")
    look(page, "diagram")
    box = page.locator("#surface").bounding_box()

    def at(bi, t_c):
        """Where a composition and a temperature stand on the screen: 0 to 100 wt%, 285 to 25 °C."""
        return box["x"] + box["width"] * bi / 100, box["y"] + box["height"] * (285 - t_c) / 260

    page.mouse.move(*at(80, 160))
    expect(page.locator("#read-parts")).to_contain_text("(Bi)")
    page.mouse.move(box["x"] - 20, box["y"] - 20)
    # Not clicked: what the fields say holds again.
    expect(page.locator("#read-parts")).to_contain_text("(Sn)")
    page.mouse.click(*at(80, 160))
    expect(page.get_by_label("Bismuth wt%")).to_have_value("80")
    expect(page.get_by_label("Temperature °C")).to_have_value("160")
    page.get_by_label("Temperature °C").press("ArrowDown")
    expect(page.get_by_label("Temperature °C")).to_have_value("159")


def test_a_phone_has_all_of_it(pages):
    page = pages.open("/alloys", width=390)
    page.locator("summary", has_text="Menu").click()
    expect(page.get_by_role("navigation", name="Main").get_by_role("link", name="Alloys")).to_be_visible()
    page.get_by_role("navigation", name="Materials").get_by_role("link", name="Sn-Bi diagram").click()
    box = page.get_by_role("img", name="Phase diagram of tin and bismuth").bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= 390
