"""Alloys of the site's own. What is calculated is science.melting's, tested there against published values."""

from dataclasses import replace

import pytest

from tests.boms import HARBOUR
from tests.desk.conftest import OnPostgres
from tests.desk.site_data import EUTECTIC, add_alloy, add_paste, solder_with, the_site
from webapp.desk import assessing, routes, site_alloys
from webapp.desk.site_alloys import AlloyForm, read_alloy
from webapp.desk.site_versions import Change
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.science.melting import melting_range
from webapp.science.parameters import data_version
from webapp.store import ledger
from webapp.store.ledger import LedgerView
from webapp.trade.composition import read_composition

INDIUM = AlloyForm(
    "Sn88In8", "Sn88In8Ag3.5Bi0.5", "tin-indium", solidus_c="197", liquidus_c="208", reference="mill sheet 7"
)


def retire(database, person, designation, version):
    with database.command() as session:
        site_alloys.retire_alloy(session, person, designation, version=version)


def stored(database, designation="Sn43Bi57"):
    with database.read() as session:
        return site_alloys.stored_alloy(session, designation)


class TestReading:
    def test_melting_and_density_are_calculated(self):
        values = read_alloy(EUTECTIC).values
        composition = read_composition("Sn43Bi57")
        found = melting_range(composition)
        assert (values["solidus_c"], values["melted_c"], values["liquidus_c"]) == (
            found.solidus_c, found.mostly_liquid_c, found.liquidus_c,
        )  # fmt: skip
        # 1 / (0.43 / 7.31 + 0.57 / 9.78), densities of tin and bismuth at room temperature.
        assert values["density_g_cm3"] == pytest.approx(8.54, abs=0.03)
        assert (values["typed_solidus"], values["typed_density"], values["data_version"]) == (
            False, False, data_version(),
        )  # fmt: skip
        assert values["reference"] == ""

    def test_stated_values_take_the_place_of_calculated_ones(self):
        values = read_alloy(
            replace(EUTECTIC, solidus_c="280.4 °F", density_g_cm3="8,55 g/cm³", reference="sheet 3")
        ).values
        # 280.4 °F is 138 °C.
        assert (values["solidus_c"], values["density_g_cm3"]) == (pytest.approx(138.0), 8.55)
        assert (values["typed_solidus"], values["typed_liquid"], values["typed_density"]) == (True, False, True)
        assert (values["liquidus_c"], values["data_version"]) == (
            melting_range(read_composition("Sn43Bi57")).liquidus_c, data_version(),
        )  # fmt: skip

    def test_what_the_data_do_not_cover_has_to_be_stated(self):
        values = read_alloy(INDIUM).values
        assert (values["solidus_c"], values["melted_c"], values["liquidus_c"]) == (197.0, 208.0, 208.0)
        assert values["data_version"] is None
        assert read_alloy(replace(INDIUM, melted_c="206")).values["melted_c"] == 206.0

    def test_small_shares_stay_as_they_were_typed(self, database, person):
        add_alloy(database, person, composition="Sn99.244Cu0.7Ni0.05Ge0.006", designation="Sn99Cu",
                  solidus_c="227", liquidus_c="228", reference="sheet")  # fmt: skip
        again = stored(database, "Sn99Cu").form
        assert again.composition == "Sn99.244Cu0.7Ni0.05Ge0.006"
        assert add_alloy(database, person, again, version=1) is False

    @pytest.mark.parametrize(
        ("designation", "composition"), [("Sn43Bi57", "Sn42.95Bi57.05"), ("SnBi57", "Sn43Bi57"), ("Kel-40", "Sn43Bi57")]
    )
    def test_a_designation_that_says_nothing_false_is_taken(self, designation, composition):
        form = replace(EUTECTIC, designation=designation, composition=composition)
        assert read_alloy(form).designation == designation

    def test_an_alloy_of_the_tables_may_give_the_composition(self):
        found = read_alloy(replace(EUTECTIC, designation="Kel-1", composition="SAC305")).values["composition_wt_pct"]
        assert found == {"Sn": 96.5, "Ag": 3.0, "Cu": 0.5}

    @pytest.mark.parametrize(
        ("form", "field", "said"),
        [
            (replace(EUTECTIC, designation="sn42bi58"), "designation", "first a capital"),
            (replace(EUTECTIC, designation="Sn42bi58"), "designation", "of the tables"),
            (replace(EUTECTIC, designation="SAC305"), "designation", "of the tables"),
            (replace(EUTECTIC, designation="Sn63Bi37"), "designation", "reads as Sn63Bi37, and the composition is"),
            (replace(EUTECTIC, composition="Sn42.9Bi57.1"), "designation", "must agree"),
            (replace(EUTECTIC, designation="Sn/43"), "designation", "letters"),
            (replace(EUTECTIC, composition="Sn43Bi50"), "composition", "sum to 93"),
            (replace(EUTECTIC, composition="Sn43Xx57"), "composition", "not an element"),
            (replace(EUTECTIC, name="n" * 81), "name", "80"),
            (replace(EUTECTIC, solidus_c="536"), "solidus_c", "°F"),
            (replace(EUTECTIC, solidus_c="130…140"), "solidus_c", "not a range"),
            (replace(EUTECTIC, solidus_c="150", reference="x"), "solidus_c", "above the 99 % point"),
            (replace(EUTECTIC, melted_c="139"), "liquidus_c", "State the liquidus too"),
            (replace(EUTECTIC, density_g_cm3="85"), "density_g_cm3", "outside"),
            (replace(EUTECTIC, density_g_cm3="8.5"), "reference", "Name the document"),
            (replace(EUTECTIC, reference="r" * 301), "reference", "300"),
            (replace(INDIUM, solidus_c=""), "solidus_c", "cannot be calculated"),
            (replace(INDIUM, liquidus_c=""), "liquidus_c", "cannot be calculated"),
            (replace(INDIUM, reference=""), "reference", "Name the document"),
        ],
    )
    def test_what_does_not_hold_names_the_field(self, form, field, said):
        with pytest.raises(InvalidInputError, match=said) as caught:
            read_alloy(form)
        assert caught.value.field == field


class TestSaving:
    def test_an_edit_is_the_next_version(self, database, person):
        assert add_alloy(database, person) is True
        assert add_alloy(database, person, version=1, name="another name") is True
        kept = stored(database)
        assert (kept.version, kept.alloy.name, kept.form.designation) == (2, "another name", "Sn43Bi57")
        with database.read() as session:
            history = site_alloys.history_of_alloy(session, "sn43bi57")
            entries, _ = ledger.find_entries(session, LedgerView(search="alloy"))
        assert [(event.version, event.by) for event in history] == [(2, person.name), (1, person.name)]
        assert history[0].changes == (Change("Name", EUTECTIC.name, "another name"),)
        assert Change("Composition", "", "Sn43Bi57") in history[1].changes
        assert [(entry.kind, entry.subject) for entry in entries] == [("alloy saved", "alloy Sn43Bi57")] * 2

    def test_what_changes_nothing_is_no_version(self, database, person):
        add_alloy(database, person)
        assert add_alloy(database, person, stored(database).form, version=1) is False
        assert stored(database).version == 1

    def test_a_designation_is_taken_once_whatever_its_case(self, database, person):
        add_alloy(database, person)
        with pytest.raises(InvalidInputError, match="already") as caught:
            add_alloy(database, person, designation="SN43BI57")
        assert caught.value.field == "designation"

    def test_somebody_elses_edit_in_between_is_refused(self, database, person):
        add_alloy(database, person)
        add_alloy(database, person, version=1, name="theirs")
        with pytest.raises(ConflictError):
            add_alloy(database, person, version=1, name="mine")
        with pytest.raises(ConflictError):
            retire(database, person, "Sn43Bi57", 1)

    def test_retired_it_is_gone_and_may_come_again(self, database, person):
        add_alloy(database, person)
        retire(database, person, "Sn43Bi57", 1)
        assert the_site(database).materials.alloy("Sn43Bi57") is None
        with pytest.raises(NotFoundError):
            stored(database)
        with pytest.raises(ConflictError):
            add_alloy(database, person, version=1)
        add_alloy(database, person)
        assert stored(database).version == 2
        with database.read() as session:
            history = site_alloys.history_of_alloy(session, "Sn43Bi57")
        assert [(event.version, event.ended) for event in history] == [(2, False), (1, True), (1, False)]
        assert history[0].changes == history[2].changes
        with database.read() as session, pytest.raises(NotFoundError):
            site_alloys.history_of_alloy(session, "Sn42Bi58")

    def test_in_use_it_is_not_retired(self, database, person, routed):
        product_id = routed(HARBOUR)
        add_alloy(database, person)
        solder_with(database, person, product_id, alloy="Sn43Bi57")
        add_paste(database, person)
        with pytest.raises(InvalidInputError, match="paste House paste; HL-2, route low temperature"):
            retire(database, person, "Sn43Bi57", 1)
        assert stored(database).version == 1


class TestSavingOnPostgres(OnPostgres, TestSaving):
    pass


def test_an_edit_makes_stale_what_is_soldered_with_it(database, person, routed, product, stale):
    product_id, other = routed(HARBOUR), routed(HARBOUR, "HL-3")
    add_alloy(database, person)
    assert stale(product_id) == {"today": False, "low temperature": False}
    solder_with(database, person, product_id, alloy="Sn43Bi57")
    add_alloy(database, person, version=1, solidus_c="138", reference="sheet 3")
    assert stale(product_id) == {"today": False, "low temperature": True}
    assert stale(other) == {"today": False, "low temperature": False}


def test_used_today_it_makes_all_of_the_product_stale(database, person, routed, stale):
    """Candidates are compared with today's route."""
    product_id = routed(HARBOUR)
    add_alloy(database, person)
    with database.command() as session:
        today = next(route for route in routes.routes_of(session, product_id) if route.is_today)
        steps = tuple(replace(step, alloy="Sn43Bi57") for step in today.route.steps)
        changed = replace(today.route, steps=steps)
        routes.save_route(session, person, product_id, changed, route_id=today.id, version=today.version)
    assessing.reassess(database, product_id)
    assert stale(product_id) == {"today": False, "low temperature": False}
    add_alloy(database, person, version=1, solidus_c="138", reference="sheet 3")
    assert stale(product_id) == {"today": True, "low temperature": True}
