"""A large site: 1,000 products of 250 lines, one of 10,000 lines and 5,000 parts, a draft of 10,000 lines with sides.

One product is made and assessed like any other (250 parts, 8 of which are too weak for the oven), signed in part, and
copied row by row 999 times: each with its own lines, routes, cases, findings and 90 days of snapshots. 100 of its parts
are the same in all products, the other 150 are those of a family of five: 30,000 parts and more in the library.
"""

from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from benchmarks.assess import maker, product
from benchmarks.bom import placements, workbook
from webapp.desk import accounts, assessing, cases, decisions, parts, reauth, sessions, uploads
from webapp.desk.decisions import NewDecision, Shown
from webapp.desk.parts import ValueSource
from webapp.desk.passwords import Passwords
from webapp.desk.uploads import NewUpload, UploadedFile
from webapp.settings import Settings
from webapp.store import migrate
from webapp.store.engine import Database, open_database
from webapp.store.tables import metadata
from webapp.trade.decisions import DecisionKind, today
from webapp.trade.facts import PartField
from webapp.trade.people import Person, Role
from webapp.trade.sources import Kind

PRODUCTS, LINES, WEAK, DAYS = 1_000, 250, 8, 90
SHARED, FAMILY = 100, 5
LARGE, LARGE_LINES, LARGE_PARTS = "LARGE", 10_000, 5_000
LOGIN, PASSWORD = "vera", "seven copper kettles"
# What belongs to one product, parents first: table -> the columns that hold ids of its own kind.
COPIED = {
    "product": ("id",),
    "upload": ("id", "product_id"),
    "bom_revision": ("id", "product_id", "upload_id"),
    "bom_line": ("id", "revision_id"),
    "line_part": ("line_id",),
    "part_use": ("product_id",),
    "product_setup": ("product_id",),
    "route": ("id", "product_id"),
    "route_step": ("id", "route_id"),
    "assessment_case": ("id", "product_id", "revision_id", "route_id"),
    "finding": ("id", "case_id"),
}
STEP = 10_000
"""Between the ids of one copy and the next; more than any table of one product has rows."""
_NAMES = {"part": ("key", "label", "mpn"), "bom_line": ("mpn",), "finding": ("key", "subject", "title", "sentence")}
"""Where the number of a part stands."""


@dataclass(frozen=True)
class Site:
    """The site in a folder; ``token`` names the draft."""

    database: Database
    url: str
    token: str

    def case_of(self, code: str, name: str = "") -> int:
        """The case of that name of a product, by default the leading one."""
        table = metadata.tables["product"]
        with self.database.read() as session:
            found = session.connection().execute(sa.select(table.c.id).where(table.c.code == code)).scalar_one()
            return cases.find_case(session, found, name).id


def make_site(folder: Path) -> Site:
    """Make it; about two minutes."""
    url = f"sqlite:///{folder / 'bench.sqlite3'}"
    database, settings = open_database(url), Settings(data_dir=folder, authors_may_sign=True)
    migrate.upgrade(database)
    person = _person(database)
    stated = maker(database)
    first = product(database, stated, LINES)
    with database.command() as session:
        for part_id in range(1, WEAK + 1):
            sheet = ValueSource(Kind.DATASHEET, "data sheet")
            parts.state_value(session, stated, part_id, PartField.LIMIT_C, str(150 + part_id), sheet)
    assessing.reassess(database, first)
    _copy(database)
    _sign_some(database, settings, person, first)
    assessing.reassess(database, product(database, stated, LARGE_LINES, parts=LARGE_PARTS, code=LARGE))
    file, places = (
        UploadedFile("bench.xlsx", workbook(LARGE_LINES)),
        UploadedFile("places.csv", placements(LARGE_LINES)),
    )
    return Site(database, url, uploads.start_upload(database, settings, person, NewUpload(file, "bench" * 4, places)))


def _person(database: Database) -> Person:
    """Who may see and sign everything."""
    new = accounts.new_person(Passwords(), login=LOGIN, name="Vera Solm", password=PASSWORD, roles=frozenset(Role))
    with database.command() as session:
        return accounts.add_person(session, new)


def _sign_some(database: Database, settings: Settings, person: Person, product_id: int) -> None:
    """Sign what must be proved in the first product, so that other products have offers to show."""
    with database.command() as session:
        token = sessions.open_session(session, settings, person.id)
    signed_in = sessions.SignedIn(person, sessions.session_id_of(token))
    reauth.reauthenticate(database, Passwords(), signed_in, PASSWORD)
    with database.command() as session:
        case_id = cases.find_case(session, product_id).id
        rows = [row for row in cases.findings_of(session, case_id) if row.verdict == "prove"]
        shown = [Shown(row.id or 0, row.fingerprint) for row in rows]
        decisions.sign(session, signed_in, settings, NewDecision(DecisionKind.ACCEPT, "Shown by test."), shown)


def _copy(database: Database) -> None:
    """The other products and their parts."""
    with database.command() as session:
        connection = session.connection()
        rows = {name: _rows(connection, name) for name in COPIED}
        own_parts = [row for row in _rows(connection, "part") if row["id"] > SHARED]
        for n in range(1, PRODUCTS):
            family = n // FAMILY
            if family and n % FAMILY == 0:
                values = [_renamed("part", row | {"id": _part(row["id"], family)}, family) for row in own_parts]
                connection.execute(metadata.tables["part"].insert(), values)
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
    family = n // FAMILY
    moved = row | {column: row[column] + n * STEP for column in own if row[column] is not None}
    if name == "product":
        more = {"code": f"BENCH-{n:04}", "code_key": f"bench-{n:04}", "name": f"Bench {n}"}
        moved |= more | {"label": f"family {n % 12}", "customer": f"Customer {n % 40}"}
    if name == "upload":
        moved |= {"token": f"{n:024}", "form_key": f"f{n}"}
    if name in ("line_part", "part_use"):
        moved["part_id"] = _part(row["part_id"], family)
    if name == "finding":
        moved["parts"] = [[_part(part_id, family), some, free] for part_id, some, free in row["parts"]]
    is_own = (name == "bom_line" and row["position"] > SHARED) or (name == "finding" and _is_of_one(row))
    return _renamed(name, moved, family) if is_own else moved


def _part(part_id: int, family: int) -> int:
    return part_id + family * STEP if part_id > SHARED else part_id


def _is_of_one(finding: dict[str, Any]) -> bool:
    return len(finding["parts"]) == 1 and finding["parts"][0][0] > SHARED


def _renamed(name: str, row: dict[str, Any], family: int) -> dict[str, Any]:
    """The row with the part number of the family in place of the first product's."""
    return row | {
        column: row[column].replace("ab000", f"ab{family:03}").replace("AB000", f"AB{family:03}")
        for column in _NAMES[name]
    }
