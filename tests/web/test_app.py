import re

import pytest
from anyio import to_thread
from fastapi.testclient import TestClient

from tests.conftest import ADDRESS, SAME_ORIGIN
from webapp.store.engine import Database
from webapp.trade.people import Role
from webapp.web.app import THREADS, create_app
from webapp.web.guards import COOKIE

PAGES = ("/", "/account", "/people", "/people/1", "/help", "/healthz", "/readyz", "/sign-in")


class ReadingOnly(Database):
    """A database that takes no commands."""

    def command(self):
        raise AssertionError("a command")


def test_reading_a_page_never_opens_a_transaction_that_writes(sign_in, settings, database, passwords):
    token = sign_in(*Role).cookies[COOKIE]
    app = create_app(settings, ReadingOnly(database.engine, database.writer), passwords=passwords)
    client = TestClient(app, base_url=ADDRESS, headers=SAME_ORIGIN, follow_redirects=False, cookies={COOKIE: token})
    for path in PAGES:
        assert client.get(path).status_code == (303 if path == "/sign-in" else 200), path
    assert client.post("/sign-out").status_code == 500, "a command would have been noticed"


@pytest.mark.parametrize("path", ["/", "/account", "/people", "/people/1", "/sign-in", "/setup"])
def test_no_page_has_inline_scripts_or_styles(sign_in, client, path):
    page = client.get(path) if path == "/setup" else sign_in(*Role).get(path, follow_redirects=True)
    assert page.status_code == 200
    assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=|javascript:", page.text)


def test_the_description_of_the_routes_is_not_published(sign_in, settings, database, passwords):
    client = sign_in(Role.ENGINEER)
    for path in ("/openapi.json", "/docs", "/redoc"):
        assert client.get(path).status_code == 404
    app = create_app(settings, database, passwords=passwords, with_openapi=True)
    with_openapi = TestClient(app, base_url=ADDRESS, cookies=client.cookies)
    assert "/people" in with_openapi.get("/openapi.json").json()["paths"]


def test_no_more_threads_than_the_database_has_connections(client, database):
    pool = database.engine.pool
    assert pool.size() + pool._max_overflow >= THREADS
    assert client.portal.call(lambda: to_thread.current_default_thread_limiter().total_tokens) == THREADS


def test_two_apps_share_nothing(settings, database, passwords):
    one = create_app(settings, database, passwords=passwords, setup_token="a")
    two = create_app(settings, database, passwords=passwords, setup_token="b")
    assert (one.state.setup_token, two.state.setup_token) == ("a", "b")
    assert one.state.templates is not two.state.templates
