"""Rows of the site's own data: limits hold in the database, one current row a key, history."""

from datetime import timedelta

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from tests.desk.conftest import OnPostgres
from webapp.store import migrate
from webapp.store.base import utc_now
from webapp.store.engine import open_database
from webapp.store.people import PersonRow
from webapp.store.products import ProductRow
from webapp.store.setups import RouteRow
from webapp.store.site import (
    SiteAlloyRow,
    SiteFigureRow,
    SitePasteRow,
    alloy_history,
    current_paste,
    current_row,
    current_rows,
    figure_history,
    last_version,
    paste_history,
)
from webapp.trade.people import Role

ALLOY = {
    "key": "sn43bi57", "designation": "Sn43Bi57", "name": "near the eutectic",
    "composition_wt_pct": {"Bi": 57.0, "Sn": 43.0}, "solidus_c": 138.8, "melted_c": 139.5, "liquidus_c": 139.6,
    "density_g_cm3": 8.53, "typed_solidus": False, "typed_liquid": False, "typed_density": False,
    "data_version": "0123456789ab",
}  # fmt: skip
PASTE = {
    "key": "house paste", "name": "House paste", "alloy": "Sn42Bi58", "powder": 4, "metal_wt_pct": 90.0,
    "flux": "ROL0", "peak_low_c": 165.0, "peak_high_c": 190.0, "above_low_s": 30.0, "above_high_s": 90.0,
    "reference": "data sheet",
}  # fmt: skip
FIGURE = {"key": "superheat_k", "value": 12.0, "reference": "trials of May"}
TABLES = {SiteAlloyRow: ALLOY, SitePasteRow: PASTE, SiteFigureRow: FIGURE}


STEP = "INSERT INTO route_step (route_id, position, kind, name, spread_k, peak_c, alloy{more}) VALUES (1, {values})"


@pytest.fixture
def person(add_person):
    return add_person(Role.ENGINEER)


@pytest.fixture
def add(database, person):
    """``add(table, **changes)`` stores a row of that table; its id."""

    def store(table, **changes):
        values = {"saved_by": person.id, "saved_at": utc_now()} | TABLES[table] | changes
        with database.command() as session:
            row = table(**values)
            session.add(row)
            session.flush()
            return row.id

    return store


class TestRows:
    @pytest.mark.parametrize("table", TABLES)
    def test_a_good_row_is_taken_and_one_holds_a_key(self, database, person, add, table):
        add(table)
        with pytest.raises(IntegrityError):
            add(table)
        add(table, ended_at=utc_now(), ended_by=person.id)
        with database.read() as session:
            assert len(current_rows(session, table)) == 1

    @pytest.mark.parametrize(
        ("table", "changes"),
        [
            (SiteAlloyRow, {"solidus_c": 500.0}),
            (SiteAlloyRow, {"density_g_cm3": 1.0}),
            (SiteAlloyRow, {"solidus_c": 139.55}),
            (SiteAlloyRow, {"melted_c": 140.0}),
            (SiteAlloyRow, {"designation": ""}),
            (SiteAlloyRow, {"name": ""}),
            (SiteAlloyRow, {"data_version": None}),
            (SiteAlloyRow, {"typed_density": True}),
            (SiteAlloyRow, {"version": 0}),
            (SiteAlloyRow, {"ended_at": utc_now()}),
            (SitePasteRow, {"powder": 9}),
            (SitePasteRow, {"metal_wt_pct": 60.0}),
            (SitePasteRow, {"peak_low_c": 195.0}),
            (SitePasteRow, {"peak_high_c": 500.0}),
            (SitePasteRow, {"above_high_s": 20.0}),
            (SitePasteRow, {"flux": "RO"}),
            (SitePasteRow, {"reference": ""}),
            (SiteFigureRow, {"reference": ""}),
            (SiteFigureRow, {"key": ""}),
        ],
        ids=lambda value: next(iter(value)) if isinstance(value, dict) else None,
    )
    def test_what_makes_no_sense_is_refused(self, add, table, changes):
        with pytest.raises(IntegrityError):
            add(table, **changes)


class TestRowsOnPostgres(OnPostgres, TestRows):
    pass


def test_history_tells_what_was_replaced_from_what_was_retired(database, person, add):
    began, later = utc_now() - timedelta(days=3), utc_now() - timedelta(days=2)
    add(SiteAlloyRow, saved_at=began, ended_at=later, ended_by=person.id)
    add(SiteAlloyRow, version=2, saved_at=later, ended_at=later + timedelta(days=1), ended_by=person.id)
    with database.read() as session:
        history = alloy_history(session, "sn43bi57")
        assert current_row(session, SiteAlloyRow, "sn43bi57") is None
        assert last_version(session, SiteAlloyRow, "sn43bi57") == 2
        assert last_version(session, SiteAlloyRow, "none") == 0
    assert [(past.row.version, past.saved_by, past.ended_by) for past in history] == [
        (2, person.name, person.name),
        (1, person.name, None),
    ]


def test_a_paste_keeps_its_history_under_another_name(database, person, add):
    moment = utc_now()
    first = add(SitePasteRow, ended_at=moment, ended_by=person.id)
    add(SitePasteRow, first_id=first, version=2, name="Other", key="other", saved_at=moment)
    add(SitePasteRow)
    with database.read() as session:
        assert [past.row.name for past in paste_history(session, first)] == ["Other", "House paste"]
        current = current_paste(session, first)
        assert current is not None and current.name == "Other"


def test_figures_have_theirs_by_key(database, add):
    add(SiteFigureRow)
    with database.read() as session:
        assert [past.row.value for past in figure_history(session, "superheat_k")] == [12.0]
        assert figure_history(session, "near_limit_k") == []


class TestMigration:
    """Steps stay through 0006 and back, and the limits hold on either side of it."""

    @pytest.fixture
    def before(self, tmp_path):
        """The address of a database that is not there yet."""
        return f"sqlite:///{tmp_path / 'x.sqlite3'}"

    def test_steps_stay_and_limits_hold(self, before):
        database = open_database(before)
        migrate.upgrade(database, "0005")
        self.a_route(database)
        self.insert(database, "0, 'reflow', 'first', 8, 180, 'Sn42Bi58'")
        migrate.upgrade(database)
        self.insert(database, "1, 'reflow', 'second', 8, 180, 'Sn42Bi58', 'House paste', 0.12", ", paste, foil_mm")
        for wrong in (
            "2, 'reflow', '', 8, 180, 'Sn42Bi58', 'House paste', 1.2",
            "2, 'reflow', '', 8, 180, NULL, 'House paste', 0.12",
            f"2, 'reflow', '', 8, 180, 'Sn42Bi58', '{'p' * 81}', 0.12",
            "2, 'reflow', '', 8, 900, 'Sn42Bi58', NULL, NULL",
            "2, 'magic', '', 8, 180, 'Sn42Bi58', NULL, NULL",
            "1, 'reflow', '', 8, 180, 'Sn42Bi58', NULL, NULL",
        ):
            with pytest.raises(IntegrityError):
                self.insert(database, wrong, ", paste, foil_mm")
        assert self.steps(database, "name, paste, foil_mm") == [("first", None, None), ("second", "House paste", 0.12)]
        migrate.downgrade(database, "0005")
        assert self.steps(database, "name, alloy") == [("first", "Sn42Bi58"), ("second", "Sn42Bi58")]
        with pytest.raises(IntegrityError):
            self.insert(database, "2, 'reflow', '', 8, 900, 'Sn42Bi58'")
        database.close()

    def a_route(self, database):
        now = utc_now()
        with database.command() as session:
            session.add(PersonRow(id=1, login="ida", name="Ida", password_hash="x", created_at=now))
            session.flush()
            session.add(ProductRow(id=1, code="HL-2", code_key="hl-2", name="HL-2", created_by=1, created_at=now))
            session.flush()
            session.add(RouteRow(id=1, product_id=1, name="today", name_key="today", changed_by=1, changed_at=now))

    def insert(self, database, values, more=""):
        with database.command() as session:
            session.connection().execute(text(STEP.format(values=values, more=more)))

    def steps(self, database, columns):
        with database.read() as session:
            found = session.connection().execute(text(f"SELECT {columns} FROM route_step ORDER BY position"))
            return [tuple(row) for row in found]


class TestMigrationOnPostgres(TestMigration):
    @pytest.fixture
    def before(self, postgres_url):
        """The address of a PostgreSQL database without tables."""
        return postgres_url
