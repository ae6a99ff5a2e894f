from hashlib import sha256

import pytest
from fastapi import Request
from jinja2 import UndefinedError
from markupsafe import Markup

from webapp.resources import resource_dir
from webapp.web.rendering import go_to, make_environment, render, static, wants_fragment


def request(app=None, **headers):
    raw = [(name.replace("_", "-").encode(), value.encode()) for name, value in headers.items()]
    return Request({"type": "http", "method": "GET", "path": "/x", "query_string": b"", "headers": raw, "app": app,
                    "scheme": "http", "server": ("127.0.0.1", 8000), "state": {}})  # fmt: skip


def shown(source, **context):
    return make_environment().from_string(source).render(context)


def test_static_address_changes_with_the_content():
    content = (resource_dir("static") / "css" / "tokens.css").read_bytes()
    assert static("css/tokens.css") == f"/static/css/tokens.css?v={sha256(content).hexdigest()[:12]}"


def test_static_file_that_is_not_there_is_an_error():
    with pytest.raises(FileNotFoundError):
        static("css/none.css")


def test_undefined_names_are_errors_and_text_is_escaped():
    with pytest.raises(UndefinedError):
        shown("{{ nothing }}")
    assert shown("{{ text }}", text="<b>") == "&lt;b&gt;"


@pytest.mark.parametrize(
    ("headers", "expected"),
    [
        ({}, False),
        ({"hx_request": "true", "hx_request_type": "partial"}, True),
        ({"hx_request": "true", "hx_request_type": "full"}, False),
        ({"hx_history_restore_request": "true", "hx_request_type": "full"}, False),
    ],
)
def test_fragment_only_for_a_part_of_the_page(headers, expected):
    assert wants_fragment(request(**headers)) is expected


def test_rendered_page_varies_by_what_htmx_asks_for(app):
    response = render(request(app), "help/keyboard.html", {}, status=200)
    assert response.headers["vary"] == "HX-Request, HX-Request-Type"
    assert b"<h1>Keyboard</h1>" in response.body


def test_going_on_after_a_post():
    plain = go_to(request(), "/products")
    assert (plain.status_code, plain.headers["location"]) == (303, "/products")
    by_htmx = go_to(request(hx_request="true"), "/products")
    assert (by_htmx.status_code, by_htmx.headers["hx-redirect"]) == (200, "/products")


def test_field_ties_hint_and_error_to_itself():
    html = shown('{% from "_forms.html" import text %}{{ text("code", "Code", "a\\"b", hint="H", error="E") }}')
    assert 'aria-describedby="f-code-hint f-code-error"' in html
    assert 'aria-invalid="true"' in html
    assert 'id="f-code-hint">H<' in html
    assert 'value="a&#34;b"' in html


def test_field_without_error_says_nothing_of_one():
    html = shown(
        '{% from "_forms.html" import text %}{{ text("code", "Code", required=False, attrs={"hx-get": "/x"}) }}'
    )
    assert "aria-" not in html
    assert "required" not in html
    assert "(optional)" in html
    assert 'hx-get="/x"' in html


@pytest.mark.parametrize("macro", ["radios", "checkboxes"])
def test_first_choice_carries_the_id_the_summary_leads_to(macro):
    html = shown(
        f'{{% from "_forms.html" import {macro} %}}{{{{ {macro}("sign", "Sign", [(".", "Point"), (",", "Comma")]) }}}}'
    )
    assert html.count('id="f-sign"') == 1
    assert html.index('id="f-sign"') < html.index('value="."')


def test_sortable_head_turns_round():
    source = '{% from "_tables.html" import th_sort %}{{ th_sort("Part", "mpn", sort, "?q=x&sort=") }}'
    assert 'href="?q=x&amp;sort=mpn"' in shown(source, sort="qty")
    assert "aria-sort" not in shown(source, sort="qty")
    up = shown(source, sort="mpn")
    assert 'aria-sort="ascending"' in up
    assert 'href="?q=x&amp;sort=-mpn"' in up
    down = shown(source, sort="-mpn")
    assert 'aria-sort="descending"' in down
    assert 'href="?q=x&amp;sort=mpn"' in down


def test_pager_always_says_how_many_there_are():
    source = (
        '{% from "_tables.html" import pager %}{{ pager(first, last, total, "line", previous, following)|striptags }}'
    )
    some = shown(source, first=51, last=100, total=412, previous="?page=1", following=None)
    assert some == "51–100 of 412 lines Previous"
    assert shown(source, first=1, last=3, total=3, previous=None, following=None) == "3 lines"
    assert shown(source, first=0, last=0, total=0, previous=None, following=None) == "No lines"


@pytest.mark.parametrize("name", ["blocks", "change", "prove", "fine", "gain"])
def test_verdict_is_word_and_shape(name):
    html = shown('{% from "_glyphs.html" import verdict %}{{ verdict(name, 3) }}', name=name)
    assert Markup(html).striptags() == f"3 {name}"
    others = {"blocks", "change", "prove", "fine", "gain"} - {name}
    glyphs = {shown('{% from "_glyphs.html" import glyph %}{{ glyph(name) }}', name=other) for other in others}
    assert shown('{% from "_glyphs.html" import glyph %}{{ glyph(name) }}', name=name) not in glyphs
    assert len(glyphs) == 4


def test_designators_keep_the_whole_list_within_reach():
    source = '{% from "_page.html" import designators %}{{ designators(names, 2) }}'
    html = shown(source, names=["C10", "C2", "C1", "C3"])
    assert "<summary>C1, C2, …\u00a0+2\u00a0more</summary><p>C1, C2, C3, C10</p>" in html
    assert shown(source, names=["C3", "C1", "C2"]) == "C1, C2, C3"


def test_facts_say_what_is_not_known():
    html = shown('{% from "_page.html" import facts %}{{ facts([("MSL", none), ("Balls", 0)]) }}')
    assert '<dt>MSL</dt><dd><span class="unknown">not known</span></dd>' in html
    assert "<dt>Balls</dt><dd>0</dd>" in html


def test_steps_mark_where_one_is():
    html = shown('{% from "_page.html" import steps %}{{ steps([("File", "/a", "done"), ("Rows", none, "current")]) }}')
    assert html.count('aria-current="step"') == 1
    assert 'href="/a"' in html
    assert "done," in html
