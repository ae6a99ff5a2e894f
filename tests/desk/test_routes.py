from dataclasses import replace

import pytest

from tests.boms import HARBOUR, HARBOUR_LATER
from tests.desk.conftest import OnPostgres
from tests.desk.site_data import HOUSE, add_alloy, add_paste
from tests.statements import statements
from webapp.desk import cases, routes
from webapp.desk.commits import NextRevision, commit_upload
from webapp.desk.routes import MOST_STEPS
from webapp.desk.setups import setup_of
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.trade.materials import materials
from webapp.trade.pastes import paste_examples
from webapp.trade.route import NAME_LENGTH, Route, Step, StepKind
from webapp.trade.route_templates import EVERYDAY, LOW, SAC, route_templates

REFLOW = Step(StepKind.REFLOW, "", None, LOW, 180.0, 8.0, 60.0)


def from_template(database, person, product_id, *args, **more):
    with database.command() as session:
        return routes.new_route_from_template(session, person, product_id, *args, **more)


def save(database, person, product_id, route, **more):
    with database.command() as session:
        return routes.save_route(session, person, product_id, route, **more)


def stored(database, product_id):
    with database.read() as session:
        return routes.routes_of(session, product_id)


def case_names(database, product_id):
    with database.read() as session:
        return [(entry.name, entry.is_today, entry.revision) for entry in cases.cases_of(session, product_id)]


class TestTemplates:
    @pytest.mark.parametrize("template", route_templates(), ids=lambda template: template.name)
    def test_each_makes_today_and_candidate_as_it_says(self, database, person, product, template):
        product_id = product(HARBOUR)
        from_template(database, person, product_id, template.name)
        today, candidate = stored(database, product_id)
        assert (today.route, today.is_today) == (template.today, True)
        assert (candidate.route, candidate.is_today) == (template.candidate(LOW), False)
        with database.read() as session:
            assert setup_of(session, product_id).environment == EVERYDAY

    def test_the_second_leaves_today_as_it_is_and_finds_a_name(self, database, person, product):
        product_id = product(HARBOUR)
        from_template(database, person, product_id, "two-sided-low-temperature")
        assert len(from_template(database, person, product_id, "two-sided-low-temperature", "42Sn-58Bi")) == 1
        names = [(route.route.name, route.route.steps[0].alloy) for route in stored(database, product_id)]
        assert names == [("today", SAC), ("low temperature", LOW), ("low temperature 2", "Sn42Bi58")]

    @pytest.mark.parametrize(
        ("template", "paste", "error", "field"),
        [
            ("none-such", "", NotFoundError, "route"),
            ("two-sided-low-temperature", "Sn10Bi90", InvalidInputError, "paste"),
            ("two-sided-low-temperature", "solder", InvalidInputError, "paste"),
            ("two-sided-low-temperature", "House paste", InvalidInputError, "paste"),
        ],
    )
    def test_unknown_ones_make_nothing(self, database, person, product, template, paste, error, field):
        product_id = product(HARBOUR)
        with pytest.raises(error) as caught:
            from_template(database, person, product_id, template, paste)
        assert caught.value.field == field
        assert stored(database, product_id) == []

    def test_a_paste_named_stands_at_the_steps_printed_with_it(self, database, person, product):
        product_id = product(HARBOUR)
        add_paste(database, person, HOUSE, alloy="Sn42Bi58")
        from_template(database, person, product_id, "two-sided-low-temperature-selective", "House paste")
        today, candidate = stored(database, product_id)
        assert {step.paste for step in today.route.steps} == {None}
        assert [(step.alloy, step.paste) for step in candidate.route.steps] == [
            ("Sn42Bi58", "House paste"), ("Sn42Bi58", "House paste"), (SAC, None),
        ]  # fmt: skip


class TestLowPaste:
    SITE = materials(
        own_pastes=[replace(paste_examples()[0], name=name, alloy="Sn60Bi40", own=True) for name in ("Sn42Bi58", "Kel")]
    )

    @pytest.mark.parametrize(
        ("text", "alloy", "paste"),
        [
            ("paste:Sn42Bi58", "Sn60Bi40", "Sn42Bi58"),
            ("alloy:Sn42Bi58", "Sn42Bi58", None),
            ("Sn42Bi58", "Sn42Bi58", None),
            ("kel", "Sn60Bi40", "Kel"),
            ("SAC305", SAC, None),
            ("42Sn-58Bi", "Sn42Bi58", None),
            ("", LOW, None),
        ],
    )
    def test_a_choice_is_taken_for_what_it_says(self, text, alloy, paste):
        assert routes.low_paste(self.SITE, text) == routes.LowPaste(alloy, paste)

    @pytest.mark.parametrize("text", ["paste:gone", "alloy:Kel"])
    def test_what_is_not_there_is_refused(self, text):
        with pytest.raises(InvalidInputError) as caught:
            routes.low_paste(self.SITE, text)
        assert caught.value.field == "paste"


class TestTemplatesOnPostgres(OnPostgres, TestTemplates):
    pass


class TestSaving:
    def test_every_value_of_a_step_comes_back(self, database, person, product):
        product_id = product(HARBOUR)
        steps = (
            Step(StepKind.SELECTIVE, "connectors", None, SAC, 290.0, 3.0, 4.0, None, 95.0),
            Step(StepKind.CURE, "coating", peak_c=80.0, spread_k=5.0, hours=2.0),
        )
        save(database, person, product_id, Route("slow", steps))
        assert stored(database, product_id)[0].route == Route("slow", steps)

    def test_the_alloy_is_that_of_the_paste_a_step_names(self, database, person, product):
        product_id = product(HARBOUR)
        add_alloy(database, person)
        add_paste(database, person)
        save(database, person, product_id, Route("x", (replace(REFLOW, paste="House paste", foil_mm=0.1),)))
        (step,) = stored(database, product_id)[0].route.steps
        assert (step.alloy, step.paste, step.foil_mm) == ("Sn43Bi57", "House paste", 0.1)
        alone = replace(REFLOW, alloy="Sn43Bi57")
        save(database, person, product_id, Route("y", (alone,)))
        assert stored(database, product_id)[1].route.steps == (alone,)

    def test_a_change_makes_stale_the_case_of_the_route_and_of_today_all(self, database, person, routed, stale):
        product_id = routed(HARBOUR)
        today, candidate = stored(database, product_id)
        hotter = replace(candidate.route, steps=(replace(REFLOW, peak_c=185.0),))
        save(database, person, product_id, hotter, route_id=candidate.id, version=candidate.version)
        assert stale(product_id) == {"today": False, "low temperature": True}
        save(database, person, product_id, today.route, route_id=today.id, version=today.version)
        assert stale(product_id) == {"today": True, "low temperature": True}

    def test_somebody_elses_change_in_between_is_refused(self, database, person, routed):
        product_id = routed(HARBOUR)
        candidate = stored(database, product_id)[1]
        save(database, person, product_id, candidate.route, route_id=candidate.id, version=1)
        with pytest.raises(ConflictError):
            save(database, person, product_id, candidate.route, route_id=candidate.id, version=1)

    @pytest.mark.parametrize(
        ("route", "field"),
        [
            (Route(" ", (REFLOW,)), "name"),
            (Route("TODAY", (REFLOW,)), "name"),
            (Route("low\u202e", (REFLOW,)), "name"),
            (Route("x", (replace(REFLOW, name="top\u200b"),)), "step_0_name"),
            (Route("x", (REFLOW, replace(REFLOW, alloy="Sn1"))), "step_1_alloy"),
            (Route("x", (replace(REFLOW, alloy=None),)), "step_0_alloy"),
            (Route("x", (replace(REFLOW, peak_c=900.0),)), "step_0_peak_c"),
            (Route("x", (replace(REFLOW, spread_k=float("nan")),)), "step_0_spread_k"),
            (Route("x", (replace(REFLOW, foil_mm=1.0),)), "step_0_foil_mm"),
            (Route("x", (REFLOW, replace(REFLOW, paste="no such paste"))), "step_1_paste"),
            (Route("x", (replace(REFLOW, name="n" * 81),)), "step_0_name"),
            (Route("x", (REFLOW,) * 61), "steps"),
        ],
    )
    def test_what_makes_no_sense_names_the_field(self, database, person, routed, route, field):
        product_id = routed(HARBOUR)
        with pytest.raises(InvalidInputError) as caught:
            save(database, person, product_id, route)
        assert caught.value.field == field
        assert len(stored(database, product_id)) == 2

    def test_another_products_route_is_not_found(self, database, person, routed):
        one, two = routed(HARBOUR, "A"), routed(HARBOUR, "B", filename="b.csv")
        with pytest.raises(NotFoundError):
            save(database, person, two, Route("x", (REFLOW,)), route_id=stored(database, one)[1].id)
        with pytest.raises(NotFoundError):
            save(database, person, 99, Route("x", (REFLOW,)))


class TestFreeNames:
    def test_there_is_one_however_many_are_taken_and_it_can_be_stored(self, database, person, product):
        product_id, name = product(HARBOUR), "n" * NAME_LENGTH
        for _ in range(MOST_STEPS + 1):
            with database.command() as session:
                free = routes.free_name(session, product_id, name)
                routes.save_route(session, person, product_id, Route(free, (REFLOW,)))
        names = [found.route.name for found in stored(database, product_id)]
        assert (names[0], names[1], names[-1]) == (name, "n" * 78 + " 2", "n" * 77 + " 61")
        with database.read() as session:
            assert routes.free_name(session, product_id, f"copy of {name}") == "copy of " + "n" * 72


def test_the_steps_of_all_routes_are_read_in_one_query(database, person, routed):
    product_id, counts = routed(HARBOUR), []
    for name in ("x", "y", "z"):
        with statements(database) as seen:
            found = stored(database, product_id)
        counts.append(len(seen))
        save(database, person, product_id, Route(name, (REFLOW, *found[-1].route.steps)))
    assert [len(route.route.steps) for route in stored(database, product_id)] == [2, 2, 3, 4, 5]
    assert len(set(counts)) == 1, counts


class TestCases:
    def test_one_a_route_of_the_newest_revision(self, database, person, routed, upload, draft):
        product_id = routed(HARBOUR)
        assert case_names(database, product_id) == [("today", True, 1), ("low temperature", False, 1)]
        token = upload(HARBOUR_LATER, "later.csv")
        commit_upload(database, person, token, draft(token).version, NextRevision("HL-2"))
        assert case_names(database, product_id) == [("today", True, 2), ("low temperature", False, 2)]

    def test_without_a_route_there_is_none(self, database, product):
        product_id = product(HARBOUR)
        assert case_names(database, product_id) == []
        with database.read() as session, pytest.raises(NotFoundError, match="no route yet"):
            cases.find_case(session, product_id)

    def test_a_route_taken_away_takes_its_case_along_and_frees_its_name(self, database, person, routed):
        product_id = routed(HARBOUR)
        candidate = stored(database, product_id)[1]
        with database.command() as session:
            routes.remove_route(session, person, candidate.id, version=candidate.version)
        assert case_names(database, product_id) == [("today", True, 1)]
        save(database, person, product_id, candidate.route)
        assert len(case_names(database, product_id)) == 2

    def test_today_stays(self, database, person, routed):
        today = stored(database, routed(HARBOUR))[0]
        with database.command() as session, pytest.raises(InvalidInputError, match="not removed"):
            routes.remove_route(session, person, today.id)

    def test_by_name(self, database, routed):
        product_id = routed(HARBOUR)
        with database.read() as session:
            assert cases.find_case(session, product_id).name == "low temperature"
            assert cases.find_case(session, product_id, " Today").is_today
            with pytest.raises(NotFoundError, match='"today", "low temperature"') as caught:
                cases.find_case(session, product_id, "none")
        assert caught.value.field == "case"
