import re

import anyio
import pytest
from fastapi import Form
from fastapi.testclient import TestClient
from structlog.testing import capture_logs

from webapp.settings import Settings
from webapp.trade.people import Role
from webapp.web.app import create_app
from webapp.web.middleware import CONTENT_SECURITY_POLICY, BodyLimit

FORM = {"Content-Type": "application/x-www-form-urlencoded"}
PART = b'--b\r\nContent-Disposition: form-data; name="text"; filename="x"\r\n\r\n'
LIMIT = 1024 + BodyLimit.SLACK_BYTES


@pytest.fixture
def settings(tmp_path):
    return Settings(data_dir=tmp_path / "var", max_upload_bytes=1024)


@pytest.fixture
def app(app):
    """The app with a page that fails and one that takes a form."""

    @app.get("/help/fails")
    def fails():
        raise RuntimeError("the vault's number is 4711")

    @app.post("/help/form")
    def form(text: str = Form()):
        return {"length": len(text)}

    return app


REQUESTS = [
    ("GET", "/healthz", {}, 200),
    ("GET", "/help", {}, 200),
    ("GET", "/static/css/tokens.css", {}, 200),
    ("GET", "/static/none.css", {}, 404),
    ("GET", "/help/none", {}, 404),
    ("GET", "/people", {}, 303),
    ("DELETE", "/healthz", {}, 405),
    ("POST", "/help/form", {}, 422),
    ("POST", "/help/form", {"content": b"text=" + LIMIT * b"x", "headers": FORM}, 413),
    ("GET", "/help/fails", {}, 500),
    ("POST", "/help/form", {"headers": {"Sec-Fetch-Site": "cross-site"}}, 403),
    ("GET", "/help", {"headers": {"Host": "evil.example"}}, 403),
]


@pytest.mark.parametrize(("method", "path", "extra", "status"), REQUESTS)
def test_every_answer_has_its_number_and_the_security_headers(client, method, path, extra, status):
    response = client.request(method, path, **extra)
    assert response.status_code == status
    assert re.fullmatch(r"[0-9a-f]{16}", response.headers["X-Request-ID"])
    assert response.headers["Content-Security-Policy"] == CONTENT_SECURITY_POLICY
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert response.headers["Referrer-Policy"] == "same-origin"
    assert response.headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert "camera=()" in response.headers["Permissions-Policy"]
    assert "Strict-Transport-Security" not in response.headers


def test_the_policy_allows_nothing_inline_and_nothing_from_elsewhere():
    assert "unsafe" not in CONTENT_SECURITY_POLICY
    assert "http" not in CONTENT_SECURITY_POLICY
    assert CONTENT_SECURITY_POLICY.startswith("default-src 'none'")


def test_over_https_the_browser_is_told_to_stay_there(settings, database):
    client = TestClient(create_app(settings.model_copy(update={"secure_cookies": True}), database))
    assert client.get("/healthz").headers["Strict-Transport-Security"] == "max-age=31536000"


def test_pages_are_kept_by_no_cache_and_versioned_files_for_good(client, sign_in):
    assert sign_in(Role.ENGINEER).get("/").headers["Cache-Control"] == "no-store"
    assert client.get("/sign-in").headers["Cache-Control"] == "no-store"
    assert "immutable" in client.get("/static/css/tokens.css?v=1").headers["Cache-Control"]
    assert client.get("/static/css/tokens.css").headers["Cache-Control"] == "no-cache"


def test_one_line_is_logged_for_a_request_without_what_was_searched_for(sign_in):
    client = sign_in(Role.ENGINEER)
    with capture_logs() as logs:
        response = client.get("/account?done=private", headers={"X-Request-ID": "forged"})
    (line,) = logs
    assert response.headers["X-Request-ID"] != "forged"
    assert (line["event"], line["method"], line["path"], line["status"], line["person"]) == (
        "request",
        "GET",
        "/account",
        200,
        "engineer",
    )
    assert line["ms"] >= 0
    assert "private" not in str(logs)


def test_an_unexpected_error_is_logged_whole_and_shown_by_its_number_only(client):
    with capture_logs() as logs:
        response = client.get("/help/fails")
    assert response.status_code == 500
    assert response.headers["X-Request-ID"] in response.text
    assert "4711" not in response.text
    assert "RuntimeError" not in response.text
    (failure,) = [line for line in logs if line["log_level"] == "error"]
    assert failure["exc_info"] is True


def test_a_body_within_the_limit_is_taken(client):
    text = (LIMIT - len("text=")) * "x"
    assert client.post("/help/form", content=f"text={text}", headers=FORM).json() == {"length": len(text)}


def drive(app, chunks, *, headers):
    """Send a body in chunks past any client that would correct its length; (messages sent back, chunks left unread)."""
    names = {"host": "127.0.0.1:8000", "sec-fetch-site": "same-origin", "accept": "text/html", **headers}
    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "POST",
        "scheme": "http",
        "path": "/help/form",
        "raw_path": b"/help/form",
        "query_string": b"",
        "root_path": "",
        "headers": [(name.lower().encode(), value.encode()) for name, value in names.items()],
        "client": ("127.0.0.1", 50000),
        "server": ("127.0.0.1", 8000),
    }
    waiting = list(chunks)
    sent = []

    async def receive():
        if not waiting:
            return {"type": "http.disconnect"}
        return {"type": "http.request", "body": waiting.pop(0), "more_body": bool(waiting)}

    async def send(message):
        sent.append(message)

    async def run():
        with anyio.fail_after(30):
            await app(scope, receive, send)

    anyio.run(run)
    return sent, waiting


CHUNK = 64 * 1024 * b"x"


@pytest.mark.parametrize(
    "headers",
    [
        {**FORM, "content-length": "10"},
        {**FORM},
        {**FORM, "content-length": "-5"},
        {**FORM, "content-length": "many"},
        {**FORM, "content-length": str(10**12)},
        {"content-type": "multipart/form-data; boundary=b"},
    ],
    ids=["too short", "none", "negative", "no number", "far too long", "multipart"],
)
def test_the_bytes_that_come_are_counted_whatever_the_length_says(app, headers):
    begin = b"text=" if headers.items() >= FORM.items() else PART
    sent, unread = drive(app, [begin, *(LIMIT // len(CHUNK) + 5) * [CHUNK]], headers=headers)
    assert sent[0]["status"] == 413
    assert (b"connection", b"close") in sent[0]["headers"]
    assert b"Too large" in sent[1]["body"]
    assert unread == [], "the rest is read, so that the browser comes to see the answer"


def test_what_never_ends_is_cut_off(app, monkeypatch):
    monkeypatch.setattr(BodyLimit, "DRAIN_BYTES", 10 * len(CHUNK))
    sent, unread = drive(app, 1000 * [CHUNK], headers=FORM)
    assert sent[0]["status"] == 413
    assert 900 < len(unread) < 1000


def test_who_stops_sending_is_not_waited_for_long(app, monkeypatch):
    monkeypatch.setattr(BodyLimit, "DRAIN_SECONDS", 0.01)

    asked = []

    async def stuck():
        asked.append(1)
        await anyio.sleep_forever()

    async def drain():
        with anyio.fail_after(1):
            await BodyLimit(app, app.state.settings)._drain(stuck)

    anyio.run(drain)
    assert asked == [1]


def test_who_asks_before_sending_is_told_at_once(app):
    headers = {**FORM, "content-length": str(10**9), "expect": "100-continue"}
    sent, unread = drive(app, [CHUNK, CHUNK], headers=headers)
    assert sent[0]["status"] == 413
    assert len(unread) == 2
