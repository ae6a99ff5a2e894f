"""What the tables themselves refuse, whoever writes to them."""

import pytest
from sqlalchemy import insert
from sqlalchemy.exc import IntegrityError

from tests.desk.conftest import OnPostgres
from webapp.store.base import utc_now
from webapp.store.parts import DeclarationRow, PartRow, PartValueRow
from webapp.store.products import ProductRow
from webapp.store.setups import ProductSetupRow, RouteRow, RouteStepRow
from webapp.trade.people import Role

VALUE = {
    "field": "limit_c", "low": 240.0, "high": 250.0, "mask": None, "typed": "240…250", "source_kind": "datasheet",
    "source_status": "opened", "reference": "sheet", "note": "",
}  # fmt: skip
DECLARATION = {
    "claim": "lead-free", "scope": "site", "scope_key": "", "product_id": None, "number": None, "reference": "letter",
    "stated_on": "",
}  # fmt: skip
STEP = {
    "position": 0,
    "kind": "reflow",
    "name": "",
    "side": "top",
    "alloy": "Sn42Bi58",
    "peak_c": 180.0,
    "spread_k": 8.0,
}


@pytest.fixture
def rows(database, add_person):
    """Ids of a person, a part, a product and a route."""
    person = add_person(Role.ENGINEER)
    with database.command() as session:
        part = PartRow(key="k|1", label="1", created_at=utc_now())
        product = ProductRow(code="A", code_key="a", name="A", created_by=person.id, created_at=utc_now())
        session.add_all([part, product])
        session.flush()
        route = RouteRow(
            product_id=product.id, name="x", name_key="x", is_today=True, changed_by=person.id, changed_at=utc_now()
        )
        session.add(route)
        session.flush()
        return {"person": person.id, "part": part.id, "product": product.id, "route": route.id}


def put(database, table, values):
    with database.command() as session:
        session.connection().execute(insert(table), [values])


def refused(database, table, values):
    with pytest.raises(IntegrityError):
        put(database, table, values)


class TestTables:
    def test_one_current_value_a_field_any_number_of_past_ones(self, database, rows):
        current = VALUE | {"part_id": rows["part"], "stated_by": rows["person"], "stated_at": utc_now()}
        past = current | {"ended_by": rows["person"], "ended_at": utc_now()}
        for values in (past, past, current):
            put(database, PartValueRow, values)
        refused(database, PartValueRow, current)
        put(database, PartValueRow, current | {"field": "passes"})

    @pytest.mark.parametrize(
        "change",
        [
            {"field": "colour"},
            {"low": 260.0},
            {"low": None, "high": None},
            {"mask": 3},
            {"mask": 0, "low": None, "high": None},
            {"source_kind": "hearsay"},
            {"source_status": "sure"},
        ],
    )
    def test_values_that_are_none(self, database, rows, change):
        values = VALUE | {"part_id": rows["part"], "stated_by": rows["person"], "stated_at": utc_now()}
        refused(database, PartValueRow, values | change)

    @pytest.mark.parametrize(
        "change",
        [
            {"claim": "cheap"},
            {"scope": "world"},
            {"scope": "maker"},
            {"scope": "bom"},
            {"scope_key": "kelvarn"},
            {"number": 3.0},
            {"claim": "passes-at-least"},
            {"reference": ""},
        ],
    )
    def test_declarations_that_are_none(self, database, rows, change):
        values = DECLARATION | {"declared_by": rows["person"], "declared_at": utc_now()}
        refused(database, DeclarationRow, values | change)
        put(database, DeclarationRow, values)

    @pytest.mark.parametrize("change", [{"kind": "frying"}, {"side": "left"}, {"peak_c": 900.0}, {"spread_k": -1.0}])
    def test_steps_that_are_none(self, database, rows, change):
        values = STEP | {"route_id": rows["route"]}
        refused(database, RouteStepRow, values | change)
        put(database, RouteStepRow, values)
        refused(database, RouteStepRow, values)

    def test_one_route_is_todays_and_names_are_one_of_a_kind(self, database, rows):
        values = {
            "product_id": rows["product"], "name": "y", "name_key": "y", "is_today": False, "position": 1,
            "changed_by": rows["person"], "changed_at": utc_now(), "version": 1,
        }  # fmt: skip
        refused(database, RouteRow, values | {"is_today": True})
        refused(database, RouteRow, values | {"name_key": "x"})
        put(database, RouteRow, values | {"name_key": "x", "is_today": True, "archived_at": utc_now()})

    @pytest.mark.parametrize(
        "change", [{"t_min_c": 70.0, "t_max_c": 60.0}, {"finish": 0}, {"layers": 0}, {"drop_class": "often"}]
    )
    def test_setups_that_are_none(self, database, rows, change):
        values = {
            "product_id": rows["product"], "finish": 511, "version": 1, "changed_by": rows["person"],
            "changed_at": utc_now(),
        }  # fmt: skip
        refused(database, ProductSetupRow, values | change)
        put(database, ProductSetupRow, values)


class TestTablesOnPostgres(OnPostgres, TestTables):
    pass
