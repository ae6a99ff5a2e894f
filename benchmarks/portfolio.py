"""Pages at 1,000 products of 250 lines each: the server's time beside the bare queries, and its memory.

One product is made and assessed like any other (250 parts, 8 of which are too weak for the oven), signed in part, and
copied row by row 999 times: each with its own lines, routes, cases, findings and 90 days of snapshots. The server is a
process of its own; a page's time is that of a request over the loopback, best of five, and beside it the processor
time that the server spent on one, which other work on the machine does not change.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import httpx
import sqlalchemy as sa

from benchmarks.assess import product
from webapp.desk import accounts, actions, assessing, cases, deciding, decisions, parts, reauth, review, sessions
from webapp.desk.actions import ActionView
from webapp.desk.decisions import NewDecision, Shown
from webapp.desk.parts import ValueSource
from webapp.desk.passwords import Passwords
from webapp.desk.review import QueueView
from webapp.settings import Settings
from webapp.store import blockers, migrate, portfolio
from webapp.store.engine import Database, open_database
from webapp.store.portfolio import PortfolioView
from webapp.store.tables import metadata
from webapp.trade.decisions import DecisionKind, today
from webapp.trade.facts import PartField
from webapp.trade.people import Person, Role
from webapp.trade.sources import Kind

PRODUCTS, LINES, WEAK, DAYS = 1_000, 250, 8, 90
RUNS = 5
LOGIN, PASSWORD = "vera", "seven copper kettles"
# What belongs to one product, parents first: table -> the columns that hold ids of its own kind.
COPIED = {
    "product": ("id",),
    "upload": ("id", "product_id"),
    "bom_revision": ("id", "product_id", "upload_id"),
    "bom_line": ("id", "revision_id"),
    "line_part": ("line_id",),
    "product_setup": ("product_id",),
    "route": ("id", "product_id"),
    "route_step": ("id", "route_id"),
    "assessment_case": ("id", "product_id", "revision_id", "route_id"),
    "finding": ("id", "case_id"),
}
STEP = 10_000
"""Between the ids of one copy and the next; more than any table of one product has rows."""


def first_product(database: Database) -> tuple[int, Person]:
    """The product that is copied, with a person who may see and sign everything."""
    product_id = product(database, LINES)
    new = accounts.new_person(Passwords(), login=LOGIN, name="Vera Solm", password=PASSWORD, roles=frozenset(Role))
    with database.command() as session:
        person = accounts.add_person(session, new)
        stated = Person(1, "bench", "Bench", frozenset())
        for part_id in range(1, WEAK + 1):
            sheet = ValueSource(Kind.DATASHEET, "data sheet")
            parts.state_value(session, stated, part_id, PartField.LIMIT_C, str(150 + part_id), sheet)
    assessing.reassess(database, product_id)
    return product_id, person


def sign_some(database: Database, person: Person, product_id: int) -> None:
    """Sign what must be proved in the first product, so that other products have offers to show."""
    settings = Settings(authors_may_sign=True)
    with database.command() as session:
        token = sessions.open_session(session, settings, person.id)
    signed_in = sessions.SignedIn(person, sessions.session_id_of(token))
    reauth.reauthenticate(database, Passwords(), signed_in, PASSWORD)
    with database.command() as session:
        case_id = cases.find_case(session, product_id).id
        rows = [row for row in cases.findings_of(session, case_id) if row.verdict == "prove"]
        shown = [Shown(row.id or 0, row.fingerprint) for row in rows]
        decisions.sign(session, signed_in, settings, NewDecision(DecisionKind.ACCEPT, "Shown by test."), shown)


def copy(database: Database) -> None:
    """The other products."""
    with database.command() as session:
        connection = session.connection()
        rows = {name: _rows(connection, name) for name in COPIED}
        for n in range(1, PRODUCTS):
            for name, own in COPIED.items():
                values = [_moved(name, row, own, n) for row in rows[name]]
                if values:
                    connection.execute(metadata.tables[name].insert(), values)
        for day in range(DAYS):
            values = [
                {"day": today() - timedelta(days=day + 1), "product_id": 1 + n * STEP, "gate": "screened",
                 "readiness": 0.5, "open_blocks": WEAK, "open_change": 0, "open_prove": 9}
                for n in range(PRODUCTS)
            ]  # fmt: skip
            connection.execute(metadata.tables["portfolio_day"].insert(), values)


def _rows(connection: sa.Connection, name: str) -> list[dict[str, Any]]:
    return [dict(row) for row in connection.execute(sa.select(metadata.tables[name])).mappings()]


def _moved(name: str, row: dict[str, Any], own: tuple[str, ...], n: int) -> dict[str, Any]:
    moved = row | {column: row[column] + n * STEP for column in own if row[column] is not None}
    if name == "product":
        more = {"code": f"BENCH-{n:04}", "code_key": f"bench-{n:04}", "name": f"Bench {n}"}
        moved |= more | {"label": f"family {n % 12}", "customer": f"Customer {n % 40}"}
    if name == "upload":
        moved |= {"token": f"{n:024}", "form_key": f"f{n}"}
    return moved


def queries(database: Database, finding_id: int, person: Person) -> dict[str, Callable[[Any], object]]:
    """Page -> the queries it is made of, without rendering."""
    view, queue = PortfolioView(), QueueView(as_today=True)
    group = f"part {_part_key(database)}"
    return {
        "/portfolio": lambda s: (
            portfolio.find_products(s, view, 0, 100),
            portfolio.totals(s, view),
            blockers.frequent_blockers(s, view),
            blockers.blocking_parts(s, view),
            portfolio.choices(s),
            portfolio.trend(s, today() - timedelta(days=DAYS)),
            actions.counts(s, person),
        ),
        "/portfolio?label=family+3": lambda s: portfolio.find_products(s, PortfolioView(label="family 3"), 0, 100),
        "/products/BENCH-0500": lambda s: cases.cases_of(s, 1 + 500 * STEP),
        "/review?as_today=on": lambda s: (review.queue(s, queue, 0, 50), review.counts(s, queue)),
        f"/review/group?key={group}&as_today=on": lambda s: review.findings_of_group(s, group, queue),
        f"/review/finding/{finding_id}": lambda s: deciding.finding_page(s, person, Settings(), finding_id),
        "/actions": lambda s: actions.list_actions(s, person, ActionView(), 0, 100),
    }


def _part_key(database: Database) -> str:
    with database.read() as session:
        (found, *_) = blockers.blocking_parts(session, PortfolioView())
    return found.part_key


def best_ms(run: Callable[[], object]) -> float:
    """Milliseconds of the quickest of five runs."""
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return 1000 * min(times)


def processor_ms(pid: int) -> float:
    """Processor time that a process has used so far, in milliseconds."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return 1000 * (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def settle(pid: int) -> None:
    """Wait until the server's own work (the first snapshot, cases assessed anew) is done."""
    before = -1000.0
    while (now := processor_ms(pid)) - before > 50:
        before = now
        time.sleep(1)


def resident_mb(pid: int) -> float:
    """Resident memory of a process in MB."""
    status = Path(f"/proc/{pid}/status").read_text()
    (line,) = [line for line in status.splitlines() if line.startswith("VmRSS")]
    return int(line.split()[1]) / 1024


def measure(database: Database, url: str, asked: dict[str, Callable[[Any], object]]) -> None:
    """Print a line a page, then the server's memory."""
    command = [sys.executable, "-m", "webapp", "serve", "--port", "0", "--db", url]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL, "text": True}
    with subprocess.Popen(command, env={**os.environ, "PYTHONUNBUFFERED": "1"}, **pipes) as server:
        try:
            address = server.stdout.readline().split()[4] if server.stdout else ""
            with httpx.Client(base_url=address, headers={"Sec-Fetch-Site": "same-origin"}, timeout=60) as client:
                client.post("/sign-in", data={"login": LOGIN, "password": PASSWORD})
                settle(server.pid)
                print(f"resident memory after signing in: {resident_mb(server.pid):.0f} MB")
                for path, query in asked.items():
                    with database.read() as session:
                        bare = best_ms(lambda query=query, session=session: query(session))
                    answer = client.get(path)
                    before = processor_ms(server.pid)
                    page = best_ms(lambda path=path: client.get(path))
                    spent = (processor_ms(server.pid) - before) / RUNS
                    print(f"{path[:44]:<46} {answer.status_code:>6} {bare:>10.1f} {page:>10.1f} {spent:>10.0f}")
                print(f"resident memory at the end: {resident_mb(server.pid):.0f} MB")
        finally:
            server.terminate()


def main() -> None:
    """Print the table."""
    print(f"Pages at {PRODUCTS:,} products of {LINES} lines (milliseconds, best of five; goal below 100)")
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{Path(folder) / 'bench.sqlite3'}"
        database = open_database(url)
        migrate.upgrade(database)
        product_id, person = first_product(database)
        copy(database)
        sign_some(database, person, product_id)
        with database.read() as session:
            case_id = cases.find_case(session, product_id).id + 500 * STEP
            finding_id = cases.findings_of(session, case_id)[0].id or 0
            lines, findings = (
                session.connection().execute(sa.select(sa.func.count()).select_from(metadata.tables[name])).scalar_one()
                for name in ("bom_line", "finding")
            )
        size = (Path(folder) / "bench.sqlite3").stat().st_size / 1e6
        print(f"{lines:,} lines, {findings:,} findings, {size:.0f} MB of SQLite")
        print(f"{'page':<46} {'status':>6} {'bare SQL':>10} {'page':>10} {'processor':>10}")
        measure(database, url, queries(database, finding_id, person))
        database.close()


if __name__ == "__main__":
    main()
