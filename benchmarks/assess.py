"""Assessing a product: 100, 1,000 and 10,000 lines through all checks, hashed and stored, every line another part.

Reading the rows and working out the parts is shown beside it: parts are worked out once and kept. Each figure is the
best of three runs.
"""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import insert

from benchmarks.bom import best_of_three
from webapp.checks.assess import assess
from webapp.desk import assessing, cases, declarations, matching, part_facts, routes
from webapp.desk.declarations import NewDeclaration
from webapp.store import migrate
from webapp.store.base import utc_now
from webapp.store.engine import Database, open_database
from webapp.store.files import StoredFileRow
from webapp.store.people import PersonRow
from webapp.store.products import BomLineRow, BomRevisionRow, ProductRow
from webapp.store.uploads import UploadRow
from webapp.trade.facts import Claim, Scope
from webapp.trade.people import Person

PACKAGES = ("0402", "0603", "SOT-23", "LQFP-64", "BGA256", "QFN-32", "CP_Elec_6.3x5.4", "SMA", "SOIC-8", "1206")
PREFIXES = ("R", "C", "Q", "U", "U", "U", "C", "D", "U", "L")
SHA = "0" * 64


def line(revision_id: int, i: int, parts: int) -> dict[str, object]:
    """Line ``i`` (from 1) of a list of so many parts (a multiple of 10): three places."""
    prefix, number = PREFIXES[i % 10], (i - 1) % parts + 1
    names = [f"{prefix}{3 * i + k}" for k in range(3)]
    texts = {"mpn": f"AB{number:06d}", "manufacturer": f"Maker {number % 37}", "package": PACKAGES[i % 10]}
    # Words of its own, so that what each part is has to be found out for each.
    texts["description"] = f"Item {number} of the list"
    lists = {"dnp_refdes": [], "excluded_refdes": [], "bottom_refdes": [], "alternates": [], "doubts": []}
    counts = {"fitted_count": 3, "dnp_count": 0, "excluded_count": 0, "doubt_count": 0}
    return {
        "revision_id": revision_id, "position": i, "row": i, "refdes": names, **lists, **counts, **texts, "qty": 3.0,
        "loose": False, "refdes_key": names[0], "search_text": "", "side": ("top", "bottom")[i % 2],
    }  # fmt: skip


def maker(database: Database) -> Person:
    """Who makes the products, with the file they come from."""
    with database.command() as session:
        now = utc_now()
        row = PersonRow(login="bench", name="Bench", password_hash="-", created_at=now)
        session.add_all([row, StoredFileRow(sha256=SHA, size=1, created_at=now)])
        session.flush()
        return Person(row.id or 0, "bench", "Bench", frozenset())


def product(database: Database, person: Person, lines: int, *, parts: int | None = None, code: str = "BENCH") -> int:
    """A product of so many lines and ``parts`` (None: a part a line) with two routes and a lead-free declaration; its
    id."""
    with database.command() as session:
        now = utc_now()
        made = ProductRow(code=code, code_key=code.casefold(), name="Bench", created_by=person.id, created_at=now)
        upload = UploadRow(
            token=f"{code:-<24}", owner_id=person.id, form_key=code, filename="b.csv", file_sha256=SHA, choices={},
            tally={}, status="committed", created_at=now, updated_at=now,
        )  # fmt: skip
        session.add_all([made, upload])
        session.flush()
        counts = {"dnp_count": 0, "excluded_count": 0, "loose_count": 0, "problem_count": 0}
        revision = BomRevisionRow(
            product_id=made.id, number=1, upload_id=upload.id, filename="b.csv", file_sha256=SHA,
            uploaded_by=person.id, committed_at=now, line_count=lines, fitted_count=3 * lines, doubts=[], **counts,
        )  # fmt: skip
        session.add(revision)
        session.flush()
        values = [line(revision.id or 0, i, parts or lines) for i in range(1, lines + 1)]
        session.connection().execute(insert(BomLineRow), values)
        matching.match_parts(session, revision.id or 0)
        routes.new_route_from_template(session, person, made.id or 0, "two-sided-low-temperature")
        blanket = NewDeclaration(Claim.LEAD_FREE, Scope.BOM, "supplier declaration", product_id=made.id)
        declarations.declare(session, person, blanket)
        return made.id or 0


@contextmanager
def scratch() -> Iterator[Database]:
    """An empty database."""
    with tempfile.TemporaryDirectory() as folder:
        database = open_database(f"sqlite:///{Path(folder) / 'bench.sqlite3'}")
        migrate.upgrade(database)
        yield database
        database.close()


def main() -> None:
    """Print the table."""
    print("Assessing a product (seconds, best of three; every line another part)")
    heads = ("lines", "first read", "read again", "checks", "and stored", "findings")
    print(" ".join(f"{head:>11}" for head in heads))
    for lines in (100, 1_000, 10_000):
        with scratch() as database:
            product_id = product(database, maker(database), lines)
            with database.read() as session:
                case_id = cases.find_case(session, product_id).id

            def load(database: Database = database, case_id: int = case_id) -> assessing.LoadedCase | None:
                with database.read() as session:
                    return assessing.load_case(session, case_id)

            def first(load=load) -> None:
                part_facts.forget()
                load()

            cold, warm = best_of_three(first), best_of_three(load)
            loaded = load()
            if loaded is None:
                raise RuntimeError("the case is gone")
            checks = best_of_three(lambda loaded=loaded: assess(loaded.case))
            stored = best_of_three(lambda d=database, c=case_id, x=loaded: assessing.assess_loaded(d, c, x))
            with database.read() as session:
                found = len(cases.findings_of(session, case_id))
            print(f"{lines:>11} {cold:>11.4f} {warm:>11.4f} {checks:>11.4f} {stored:>11.4f} {found:>11}")


if __name__ == "__main__":
    main()
