"""The look, on the style page, the help pages and the error page, in a real browser."""

import pytest

from tests.browser.checks import assert_accessible, assert_no_sideways_scroll, assert_prints, screenshots
from webapp.trade.people import Role

pytestmark = pytest.mark.browser

HELP = ("/help", "/help/words", "/help/upload", "/help/keyboard", "/help/style")
MISSING = "/help/no-such-page"


@pytest.mark.parametrize("path", [*HELP, MISSING])
def test_page_is_accessible_and_reflows(pages, path):
    page = pages.open(path)
    assert page.locator("h1").count() == 1
    for width in (1440, 390, 320):
        page.set_viewport_size({"width": width, "height": 900})
        assert_accessible(page)
    assert_no_sideways_scroll(page)
    assert_prints(page)
    screenshots(page, path.strip("/").replace("/", "-"))


def test_help_is_open_to_everybody_and_the_style_page_is_not(pages):
    page = pages.open("/help", role=None)
    assert_accessible(page)
    assert page.get_by_role("link", name="Style").count() == 0
    page.goto("/help/style")
    assert page.url.endswith("/sign-in?next=/help/style")
    assert_accessible(page)
    assert_no_sideways_scroll(page)


def test_error_page_says_what_happened_and_where_to_go(pages):
    page = pages.open(MISSING)
    assert page.get_by_role("heading", level=1).inner_text() == "Not found"
    assert page.get_by_text("There is no page at this address.").is_visible()
    page.get_by_role("link", name="Go to the start page").click()
    assert page.url == f"{pages.server.url}/"


def test_first_stop_of_the_keyboard_skips_to_the_content(pages):
    page = pages.open("/help/style")
    page.keyboard.press("Tab")
    assert page.locator(":focus").inner_text() == "Skip to the content"
    assert page.locator(":focus").is_visible()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"


def test_focus_is_visible_on_every_stop(pages):
    page = pages.open("/help/style")
    stops = page.locator("a[href], button:enabled, input:enabled, select, textarea, summary, [tabindex='0']").count()
    seen = 0
    for _ in range(stops):
        page.keyboard.press("Tab")
        style = page.evaluate(
            "(e => e === document.body ? null : [getComputedStyle(e).outlineStyle, e.outerHTML.slice(0, 120)])"
            "(document.activeElement)"
        )
        if style is None:
            break
        seen += 1
        assert style[0] != "none", style[1]
    assert seen > 40


def test_menu_of_a_phone_opens_by_keyboard(pages):
    page = pages.open("/help", width=390)
    products = page.get_by_role("link", name="Products", exact=True)
    assert not products.is_visible()
    page.locator("details.nav > summary").focus()
    page.keyboard.press("Enter")
    assert products.is_visible()
    assert page.get_by_role("link", name="Help").and_(page.locator("[aria-current=page]")).is_visible()
    assert_accessible(page)
    assert_no_sideways_scroll(page)


def test_menu_of_a_wide_screen_is_always_open_and_fits_the_roles(pages):
    engineer = pages.open("/help")
    assert engineer.get_by_role("link", name="Products", exact=True).is_visible()
    assert engineer.get_by_role("link", name="People").count() == 0
    administrator = pages.open("/help", Role.ADMINISTRATOR)
    administrator.locator("details.account > summary").click()
    assert administrator.get_by_role("link", name="People").is_visible()


def test_signing_out_works_without_script(pages):
    # A session of its own: signing out ends it on the server.
    page = pages.open("/sign-in", role=None, java_script_enabled=False)
    page.get_by_label("Login").fill(Role.MANAGER)
    page.get_by_label("Password").fill("seven copper kettles")
    page.get_by_role("button", name="Sign in").click()
    page.locator("details.account > summary").click()
    page.get_by_role("button", name="Sign out").click()
    assert page.url.endswith("/sign-in?done=signed-out")


def test_wide_table_scrolls_in_its_own_box_by_keyboard(pages):
    page = pages.open("/help/style", width=390)
    box = page.get_by_role("region", name="Findings of the harbour logger")
    box.focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_function("box => box.scrollLeft > 0", arg=box.element_handle())
    # What the row is about stays at the left edge of the box.
    first = box.locator("tbody th").first.bounding_box()
    assert first["x"] == pytest.approx(box.bounding_box()["x"], abs=1)


def test_narrow_table_becomes_stacked_rows_with_labels(pages):
    page = pages.open("/help/style", width=390)
    cell = page.locator("td[data-label='Placements']").first
    label = page.evaluate("e => getComputedStyle(e, '::before').content", cell.element_handle())
    assert label == '"Placements"'
    wide = pages.open("/help/style")
    cell = wide.locator("td[data-label='Placements']").first
    assert wide.evaluate("e => getComputedStyle(e, '::before').content", cell.element_handle()) == "none"


def test_error_summary_leads_to_the_field(pages):
    page = pages.open("/help/style")
    page.get_by_role("link", name="A peak lies between 100 and 300 °C.").click()
    field = page.locator(":focus")
    assert field.get_attribute("name") == "wrong_peak"
    assert field.get_attribute("aria-invalid") == "true"
    described = page.locator(f"#{field.get_attribute('aria-describedby')}")
    assert "2450 °C was typed" in described.inner_text()


def test_shortened_list_is_printed_in_full(pages):
    page = pages.open("/help/style")
    last = page.get_by_text("C1, C2, C3, C4, C5,").first
    assert not last.is_visible()
    page.emulate_media(media="print")
    assert last.is_visible()


def test_forced_colours_keep_signs_and_edges(pages):
    page = pages.open("/help/style", forced_colors="active")
    text = page.evaluate("getComputedStyle(document.querySelector('.verdict.blocks')).color")
    fill = page.evaluate("getComputedStyle(document.querySelector('.verdict.blocks rect')).fill")
    assert fill == text
    width = page.evaluate("getComputedStyle(document.querySelector('.button.primary')).borderTopWidth")
    assert width == "2px"


def test_nothing_moves_for_those_who_asked_for_that(pages):
    page = pages.open("/help/style", reduced_motion="reduce")
    moving = page.evaluate(
        "[...document.querySelectorAll('*')].filter(e => parseFloat(getComputedStyle(e).transitionDuration) > 0).length"
    )
    assert moving == 0


def test_live_region_is_there_for_messages(pages):
    page = pages.open("/help")
    assert page.locator("#status[role=status]").count() == 1
