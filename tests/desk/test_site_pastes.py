"""Pastes of the site's own: by their data sheet, steps follow them, history under any name."""

from dataclasses import replace

import pytest

from tests.boms import HARBOUR
from tests.desk.conftest import OnPostgres
from tests.desk.site_data import HOUSE, add_alloy, add_paste, solder_with, the_site
from webapp.desk import routes, site_pastes
from webapp.desk.site_pastes import form_from_example, read_paste
from webapp.desk.site_versions import Change
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.trade.materials import tabulated
from webapp.trade.pastes import paste_examples
from webapp.trade.ranges import Span

PLAIN = replace(HOUSE, alloy="Sn42Bi58")


def stored(database, paste_id):
    with database.read() as session:
        return site_pastes.stored_paste(session, paste_id)


def candidate(database, product_id):
    with database.read() as session:
        return next(route.route for route in routes.routes_of(session, product_id) if not route.is_today)


def retire(database, person, paste_id, version):
    with database.command() as session:
        site_pastes.retire_paste(session, person, paste_id, version=version)


class TestReading:
    def test_ranges_and_signs_are_read_as_people_write_them(self):
        typed = replace(
            PLAIN, name=" House  paste ", metal_wt_pct="89,5 %", flux="ro l0", peak_c="329 °F to 374 °F",
            above_liquidus_s="30 - 90 s",
        )  # fmt: skip
        values = read_paste(typed, tabulated()).values
        assert (values["name"], values["metal_wt_pct"], values["flux"]) == ("House paste", 89.5, "ROL0")
        # 329 °F is 165 °C, 374 °F is 190 °C.
        assert (values["peak_low_c"], values["peak_high_c"]) == (pytest.approx(165), pytest.approx(190))
        assert (values["above_low_s"], values["above_high_s"]) == (30.0, 90.0)

    @pytest.mark.parametrize(
        ("changes", "field"),
        [
            ({"name": " "}, "name"),
            ({"name": "n" * 81}, "name"),
            ({"name": "a\tb\x00"}, "name"),
            ({"name": paste_examples()[0].name.upper()}, "name"),
            ({"name": "sn42bi58"}, "name"),
            ({"name": "SAC305"}, "name"),
            ({"name": "Tin-bismuth eutectic"}, "name"),
            ({"alloy": "Sn1"}, "alloy"),
            ({"powder": "9"}, "powder"),
            ({"metal_wt_pct": ""}, "metal_wt_pct"),
            ({"metal_wt_pct": "60"}, "metal_wt_pct"),
            ({"metal_wt_pct": "nan"}, "metal_wt_pct"),
            ({"flux": "ROX0"}, "flux"),
            ({"peak_c": ""}, "peak_c"),
            ({"peak_c": "190…165"}, "peak_c"),
            ({"peak_c": "1800"}, "peak_c"),
            ({"above_liquidus_s": ""}, "above_liquidus_s"),
            ({"above_liquidus_s": "90…30"}, "above_liquidus_s"),
            ({"above_liquidus_s": "a while"}, "above_liquidus_s"),
            ({"reference": " "}, "reference"),
        ],
    )
    def test_what_does_not_hold_names_the_field(self, changes, field):
        with pytest.raises(InvalidInputError) as caught:
            read_paste(replace(PLAIN, **changes), tabulated())
        assert caught.value.field == field

    @pytest.mark.parametrize(
        ("alloy", "peak_c", "said"),
        [
            # Solidus 138.8 °C and 99 % liquid at 174.4 °C in the table.
            ("Sn60Bi40", "120…130", "Sn60Bi40 begins to melt at 138.8 °C: no joint forms at 120 °C."),
            ("Sn60Bi40", "165…190", "Sn60Bi40 is 99 % liquid at 174.4 °C only: no joint forms at 165 °C."),
        ],
    )
    def test_its_alloy_must_melt_in_the_window(self, alloy, peak_c, said):
        with pytest.raises(InvalidInputError, match=said) as caught:
            read_paste(replace(PLAIN, alloy=alloy, peak_c=peak_c), tabulated())
        assert caught.value.field == "peak_c"
        assert read_paste(replace(PLAIN, alloy=alloy, peak_c="174.4…190"), tabulated())

    @pytest.mark.parametrize("number", range(len(paste_examples())))
    def test_the_windows_of_the_examples_hold(self, number):
        typed = replace(form_from_example(number), name="House paste", reference="data sheet")
        assert read_paste(typed, tabulated()).values["peak_low_c"] == paste_examples()[number].peak_c.low

    def test_an_example_gives_all_but_name_and_data_sheet(self):
        form = form_from_example(0)
        assert (form.name, form.reference) == ("", "")
        given = replace(form, name="Ours", reference="data sheet")
        example, values = paste_examples()[0], read_paste(given, tabulated()).values
        assert (values["alloy"], values["powder"]) == (example.alloy, example.powder.number)
        assert Span(values["peak_low_c"], values["peak_high_c"]) == example.peak_c
        with pytest.raises(NotFoundError):
            form_from_example(len(paste_examples()))


class TestSaving:
    def test_steps_follow_its_name_and_its_alloy(self, database, person, routed, stale):
        product_id = routed(HARBOUR)
        paste_id = add_paste(database, person, PLAIN)
        assert stale(product_id) == {"today": False, "low temperature": False}
        route = solder_with(database, person, product_id, paste="House paste", foil_mm=0.12)
        assert {(step.alloy, step.paste, step.foil_mm) for step in route.steps} == {("Sn42Bi58", "House paste", 0.12)}
        add_paste(database, person, PLAIN, paste_id=paste_id, version=1, name="House paste 2", alloy="Sn42Bi57Ag1")
        assert {(step.alloy, step.paste) for step in candidate(database, product_id).steps} == {
            ("Sn42Bi57Ag1", "House paste 2")
        }
        assert stale(product_id) == {"today": False, "low temperature": True}
        kept = stored(database, paste_id)
        assert (kept.id, kept.version, kept.paste.name) == (paste_id, 2, "House paste 2")
        with database.read() as session:
            history = site_pastes.history_of_paste(session, paste_id)
            assert site_pastes.last_name(session, paste_id) == "House paste 2"
        assert history[0].changes == (
            Change("Name", "House paste", "House paste 2"),
            Change("Alloy", "Sn42Bi58", "Sn42Bi57Ag1"),
        )

    def test_what_changes_nothing_is_no_version(self, database, person):
        paste_id = add_paste(database, person, PLAIN)
        assert add_paste(database, person, stored(database, paste_id).form, paste_id=paste_id, version=1) == paste_id
        assert stored(database, paste_id).version == 1

    def test_a_name_is_taken_once_whatever_its_case(self, database, person):
        add_paste(database, person, PLAIN)
        other = add_paste(database, person, PLAIN, name="Other")
        for paste_id, version in ((None, 0), (other, 1)):
            with pytest.raises(InvalidInputError, match="already") as caught:
                add_paste(database, person, PLAIN, name="HOUSE PASTE", paste_id=paste_id, version=version)
            assert caught.value.field == "name"

    def test_somebody_elses_edit_in_between_is_refused(self, database, person):
        paste_id = add_paste(database, person, PLAIN)
        add_paste(database, person, PLAIN, paste_id=paste_id, version=1, powder="5")
        with pytest.raises(ConflictError):
            add_paste(database, person, PLAIN, paste_id=paste_id, version=1, powder="3")
        with pytest.raises(ConflictError):
            retire(database, person, paste_id, 1)

    def test_retired_it_is_gone_and_in_use_it_is_not_retired(self, database, person, routed):
        product_id = routed(HARBOUR)
        paste_id = add_paste(database, person, PLAIN)
        solder_with(database, person, product_id, paste="House paste")
        with pytest.raises(InvalidInputError, match="HL-2, route low temperature"):
            retire(database, person, paste_id, 1)
        solder_with(database, person, product_id, paste=None)
        retire(database, person, paste_id, 1)
        assert the_site(database).materials.paste("House paste") is None
        with pytest.raises(NotFoundError):
            stored(database, paste_id)
        with pytest.raises(NotFoundError):
            add_paste(database, person, PLAIN, paste_id=paste_id, version=1)
        with database.read() as session:
            assert [event.ended for event in site_pastes.history_of_paste(session, paste_id)] == [True, False]
            assert site_pastes.last_name(session, paste_id) == "House paste"
            for look in (site_pastes.history_of_paste, site_pastes.last_name):
                with pytest.raises(NotFoundError):
                    look(session, paste_id + 1)

    def test_it_may_be_of_an_alloy_of_the_sites_own(self, database, person):
        add_alloy(database, person)
        assert stored(database, add_paste(database, person)).paste.alloy == "Sn43Bi57"


class TestSavingOnPostgres(OnPostgres, TestSaving):
    pass
