"""The checks themselves: each notices what it is there for. And what the macros promise of htmx."""

import pytest

from tests.browser.checks import (
    assert_accessible,
    assert_focus_is_kept,
    assert_no_sideways_scroll,
    assert_prints,
)
from webapp.web.rendering import make_environment

pytestmark = pytest.mark.browser


def add(page, html):
    page.evaluate("html => document.querySelector('main').insertAdjacentHTML('beforeend', html)", html)


def test_a_breach_of_the_security_policy_is_a_complaint(pages):
    page = pages.open("/help")
    assert pages.complaints == []
    add(page, '<p style="color: red">inline</p>')
    page.wait_for_timeout(50)
    assert any("style" in complaint for complaint in pages.complaints)
    pages.complaints.clear()


def test_a_missing_file_and_a_script_error_are_complaints(pages):
    page = pages.open("/help")
    with page.expect_response("**/no-such.png"):
        add(page, '<img src="/static/no-such.png" alt="">')
    page.evaluate("setTimeout(() => { throw new Error('boom') }, 0)")
    page.wait_for_timeout(50)
    assert any("no-such.png" in complaint for complaint in pages.complaints)
    assert any("boom" in complaint for complaint in pages.complaints)
    pages.complaints.clear()


def test_an_inaccessible_field_is_noticed(pages):
    page = pages.open("/help")
    add(page, "<input name='x'>")
    with pytest.raises(AssertionError, match="label"):
        assert_accessible(page)


def test_a_page_that_scrolls_sideways_is_noticed(pages):
    page = pages.open("/help")
    add(page, "<p class='nowrap'>" + "wide " * 100 + "</p>")
    with pytest.raises(AssertionError, match="needs"):
        assert_no_sideways_scroll(page)


def test_navigation_on_paper_is_noticed(pages):
    page = pages.open("/help")
    assert_prints(page)
    add(page, "<nav><a href='/'>back</a></nav>")
    with pytest.raises(AssertionError):
        assert_prints(page)


def test_lost_focus_is_noticed(pages):
    page = pages.open("/help")
    with pytest.raises(AssertionError, match="BODY"):
        assert_focus_is_kept(page)


def swap_in(page, fragment, status):
    """Let htmx exchange a form for what the server answers to it."""
    page.route("**/answer", lambda route: route.fulfill(status=status, content_type="text/html", body=fragment))
    add(page, '<form id="probe" hx-post="/answer" hx-swap="outerHTML"><button>Send</button></form>')
    page.evaluate("htmx.process(document.querySelector('#probe'))")
    page.get_by_role("button", name="Send").click()


def test_errors_swapped_in_take_the_focus(pages):
    source = (
        '{% from "_forms.html" import error_summary, text %}<form id="probe">'
        '{{ error_summary({"code": "Say a code."}) }}'
        '{{ text("code", "Code", error="Say a code.") }}</form>'
    )
    page = pages.open("/help")
    swap_in(page, make_environment().from_string(source).render(), 422)
    page.locator(".summary:focus").wait_for()
    assert_focus_is_kept(page)
    assert_accessible(page)


def test_an_announcement_goes_to_the_live_region_and_nowhere_else(pages):
    source = '{% from "_messages.html" import announce %}<p id="probe">Saved</p>{{ announce("Line 4 is saved.") }}'
    page = pages.open("/help")
    swap_in(page, make_environment().from_string(source).render(), 200)
    page.locator("#status", has_text="Line 4 is saved.").wait_for()
    assert page.locator("#status[role=status]").count() == 1
    assert page.get_by_text("Line 4 is saved.").count() == 1
