"""Pages of a large site: the server's time beside that of the page's statements alone, and its memory.

The server is a process of its own. ``page`` is a request over the loopback, best of five; ``processor`` is what the
server spent on one, which other work on the machine does not change much; ``bare SQL`` is the time of the statements
that the page runs, run again on a bare connection, and ``ratio`` how many times that the page takes.
"""

import logging
import os
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http import HTTPStatus
from pathlib import Path
from typing import Any

import httpx
from sqlalchemy import event
from starlette.testclient import TestClient

from benchmarks.site import LARGE, LOGIN, PASSWORD, PRODUCTS, Site, make_site
from webapp.desk import assessing, cases
from webapp.logs import configure_logs
from webapp.settings import Settings
from webapp.store import blockers
from webapp.store.portfolio import PortfolioView
from webapp.web.app import create_app

RUNS = 5
HEADERS = {"Sec-Fetch-Site": "same-origin"}
Statement = tuple[str, Any]


@dataclass(frozen=True)
class Page:
    """An address, and what happens before it is asked for."""

    path: str
    words: str = ""
    before: Callable[[], object] = lambda: None


def pages(site: Site) -> list[Page]:
    """What is measured."""
    large, draft = f"/products/{LARGE}", f"/uploads/{site.token}/rows"
    one, today = site.case_of("BENCH-0500"), site.case_of(LARGE, "today")
    with site.database.read() as session:
        finding_id = cases.findings_of(session, one)[0].id
        key = blockers.blocking_parts(session, PortfolioView())[0].part_key
    return [
        Page("/portfolio"),
        Page("/portfolio?label=family+3"),
        Page("/products"),
        Page("/products/BENCH-0500"),
        Page("/review?today=too"),
        Page(f"/review/group?key=part {key}&today=too"),
        Page(f"/review/finding/{finding_id}"),
        Page("/actions"),
        Page("/parts"),
        Page("/parts?page=200"),
        Page("/parts?sort=-maker"),
        Page("/parts?q=AB100"),
        Page("/parts?maker=maker+7&kind=&lacks=limit_c"),
        Page(f"/parts?product={LARGE}"),
        Page("/parts/200"),
        Page("/wanted"),
        Page("/wanted", " after an assessment", lambda: assessing.assess_case(site.database, one)),
        Page("/wanted?show=parts&page=3"),
        Page(f"{large}/wanted"),
        Page(large),
        Page(f"{large}?page=100"),
        Page(f"{large}?q=AB004999&sort=-mpn"),
        Page(f"{large}/route"),
        Page(f"{large}/route", " after an assessment", lambda: assessing.assess_case(site.database, today)),
        Page(f"{large}/setup"),
        Page(f"{large}/findings"),
        Page(f"{large}/findings?same=show&by=part"),
        Page(f"{large}/findings?same=show&q=R29999"),
        Page(draft),
        Page(f"{draft}?page=100"),
        Page(f"{draft}?show=problems"),
    ]


def best_ms(run: Callable[[], object], before: Callable[[], object]) -> float:
    """Milliseconds of the quickest of five runs, each after ``before``."""
    times = []
    for _ in range(RUNS):
        before()
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return 1000 * min(times)


class Statements:
    """What the app asks the database for a page, in the order in which it does."""

    def __init__(self, site: Site) -> None:
        self._made: list[Statement] = []
        self._database = site.database
        self._client = TestClient(create_app(Settings(), site.database), base_url="http://127.0.0.1:8000")
        self._client.post("/sign-in", data={"login": LOGIN, "password": PASSWORD}, headers=HEADERS)
        event.listen(site.database.engine, "before_cursor_execute", self._note)

    def _note(self, _connection: object, _cursor: object, text: str, values: Any, *_rest: object) -> None:
        self._made.append((text, values))

    def of(self, page: Page) -> list[Statement]:
        """The statements of one page."""
        page.before()
        self._made.clear()
        self._client.get(page.path)
        return [(text, values) for text, values in self._made if text.lstrip()[:6] in ("SELECT", "WITH c")]


def run_all(connection: sqlite3.Connection, statements: list[Statement]) -> None:
    """The statements and all their rows."""
    for text, values in statements:
        connection.execute(text, values).fetchall()


class Server:
    """The server's process."""

    def __init__(self, pid: int) -> None:
        self._proc = Path(f"/proc/{pid}")

    def processor_ms(self) -> float:
        """Processor time used so far, in milliseconds."""
        fields = (self._proc / "stat").read_text().rpartition(")")[2].split()
        return 1000 * (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def resident_mb(self) -> float:
        """Resident memory in MB."""
        (line,) = [line for line in (self._proc / "status").read_text().splitlines() if line.startswith("VmRSS")]
        return int(line.split()[1]) / 1024

    def settle(self) -> None:
        """Wait until its own work (the first snapshot, cases assessed anew) is done."""
        before = -1000.0
        while (now := self.processor_ms()) - before > 50:
            before = now
            time.sleep(1)


@contextmanager
def served(site: Site) -> Iterator[tuple[Server, httpx.Client]]:
    """The site served, and a browser that is signed in."""
    command = [sys.executable, "-m", "webapp", "serve", "--port", "0", "--db", site.url]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL, "text": True}
    with subprocess.Popen(command, env={**os.environ, "PYTHONUNBUFFERED": "1"}, **pipes) as process:
        try:
            address = process.stdout.readline().split()[4] if process.stdout else ""
            server = Server(process.pid)
            with httpx.Client(base_url=address, headers=HEADERS, timeout=60) as client:
                client.post("/sign-in", data={"login": LOGIN, "password": PASSWORD})
                server.settle()
                yield server, client
        finally:
            process.terminate()


def measure(site: Site) -> None:
    """Print a line a page, then the server's memory."""
    configure_logs(level=logging.WARNING)
    noted = Statements(site)
    connection = sqlite3.connect(site.url.removeprefix("sqlite:///"))
    with served(site) as (server, client):
        print(f"resident memory after signing in: {server.resident_mb():.0f} MB")
        print(f"{'page':<46} {'status':>6} {'queries':>7} {'bare SQL':>8} {'page':>7} {'processor':>9} {'ratio':>6}")
        for page in pages(site):
            statements = noted.of(page)
            bare = best_ms(lambda s=statements: run_all(connection, s), lambda: None)
            page.before()
            status = client.get(page.path).status_code
            if status != HTTPStatus.OK:
                raise RuntimeError(f"{page.path} answers {status}: what it takes is no measure")
            before = server.processor_ms()
            took = best_ms(lambda page=page: client.get(page.path), page.before)
            spent = (server.processor_ms() - before) / RUNS
            name = f"{page.path}{page.words}".replace(site.token, "...")
            print(
                f"{name[:46]:<46} {status:>6} {len(statements):>7} {bare:>8.1f} {took:>7.1f} {spent:>9.0f}"
                f" {took / bare:>6.1f}"
            )
        print(f"resident memory at the end: {server.resident_mb():.0f} MB")
    connection.close()


def main() -> None:
    """Print the table."""
    print(f"Pages of a site of {PRODUCTS:,} products (milliseconds, best of five; goal below 100)")
    with tempfile.TemporaryDirectory() as folder:
        site = make_site(Path(folder))
        measure(site)
        site.database.close()


if __name__ == "__main__":
    main()
