"""Figures of the site's own: who may set which, what is refused, what is assessed again."""

import pytest

from tests.boms import HARBOUR
from tests.desk.conftest import OnPostgres
from tests.desk.site_data import the_site
from webapp.desk import site_figures
from webapp.desk.site_versions import Change
from webapp.errors import ConflictError, InvalidInputError, NotAllowedError, NotFoundError
from webapp.store import ledger
from webapp.store.ledger import LedgerView
from webapp.trade.figures import default_figures
from webapp.trade.people import Role

FRESH = {"today": False, "low temperature": False}


@pytest.fixture
def reviewer(add_person):
    return add_person(Role.REVIEWER)


def put(database, person, key, text, reference="trials of May", *, version=0):
    with database.command() as session:
        return site_figures.set_figure(session, person, key, text, reference, version=version)


def reset(database, person, key, *, version):
    with database.command() as session:
        site_figures.reset_figure(session, person, key, version=version)


class TestSetting:
    def test_set_changed_and_reset(self, database, reviewer):
        assert put(database, reviewer, "superheat_k", "12 K") is True
        assert put(database, reviewer, "superheat_k", "12", version=1) is False
        assert put(database, reviewer, "superheat_k", "14,5", version=1) is True
        assert the_site(database).figures["superheat_k"].value == 14.5
        with database.read() as session:
            assert site_figures.figure_versions(session) == {"superheat_k": 2}
        reset(database, reviewer, "superheat_k", version=2)
        reset(database, reviewer, "superheat_k", version=0)
        assert the_site(database).figures == default_figures()
        with database.read() as session:
            history = site_figures.history_of_figure(session, "superheat_k")
            entries, _ = ledger.find_entries(session, LedgerView(search="figure"))
        assert [(event.version, event.ended) for event in history] == [(2, True), (2, False), (1, False)]
        assert history[1].changes == (Change("Value", "12 K", "14.5 K"),)
        assert history[2].changes == (Change("Value", "", "12 K"), Change("Source", "", "trials of May"))
        assert [entry.kind for entry in entries] == ["figure reset", "figure set", "figure set"]
        assert entries[1].fields["before"] == 12.0
        put(database, reviewer, "superheat_k", "11")
        with database.read() as session:
            assert site_figures.figure_versions(session) == {"superheat_k": 3}

    @pytest.mark.parametrize(
        ("key", "text", "value"),
        [
            ("foil_low_mm", "100 µm", 0.1),
            ("foil_high_mm", "5 mil", 0.127),
            ("fillet_low_um", "0.15 mm", 150),
            # A share typed in per cent, and per cent with and without "wt".
            ("service_fine_share", "85.8 %", 0.858),
            ("service_fine_share", "85 wt%", 0.85),
            ("lead_floor_wt_pct", "0.2 %", 0.2),
            ("lead_floor_wt_pct", "0.2 wt%", 0.2),
            ("thick_band_pct", "72 %", 72),
        ],
    )
    def test_other_ways_of_writing_a_value(self, database, reviewer, key, text, value):
        put(database, reviewer, key, text)
        assert the_site(database).figures[key].value == pytest.approx(value, rel=1e-12)

    @pytest.mark.parametrize("text", ["34", "34,0", "34 USD per kg", "34 USD/kg", "34 usd", "34 per kg", "34/kg"])
    def test_a_price_with_its_unit_or_without(self, database, add_person, text):
        put(database, add_person(Role.ENGINEER, login="buyer"), "price_sn", text)
        assert the_site(database).figures["price_sn"].value == 34

    def test_a_price_in_another_currency_is_refused(self, database, add_person):
        with pytest.raises(InvalidInputError, match="is no number"):
            put(database, add_person(Role.ENGINEER, login="buyer"), "price_sn", "30 EUR/kg")

    @pytest.mark.parametrize(
        ("key", "text", "reference", "field"),
        [
            ("superheat_k", "ten", "x", "value"),
            ("superheat_k", "inf", "x", "value"),
            ("superheat_k", "61", "x", "value"),
            ("foil_low_mm", "100", "x", "value"),
            ("lead_near_share", "120 %", "x", "value"),
            ("superheat_k", "12", " ", "reference"),
            # The share above which service is to be proved is 0.9 by default.
            ("service_fine_share", "0.95", "x", "value"),
        ],
    )
    def test_what_does_not_hold_names_the_field(self, database, reviewer, key, text, reference, field):
        with pytest.raises(InvalidInputError) as caught:
            put(database, reviewer, key, text, reference)
        assert caught.value.field == field
        assert the_site(database).figures == default_figures()

    def test_a_default_out_of_order_with_neighbours_does_not_come_back(self, database, reviewer):
        put(database, reviewer, "service_prove_share", "0.91")
        put(database, reviewer, "service_fine_share", "0.905")
        with pytest.raises(InvalidInputError, match="may not be above"):
            reset(database, reviewer, "service_prove_share", version=1)
        assert the_site(database).figures["service_prove_share"].value == 0.91

    def test_somebody_elses_change_in_between_is_refused(self, database, reviewer):
        put(database, reviewer, "superheat_k", "12")
        for again in (lambda: put(database, reviewer, "superheat_k", "13"),
                      lambda: reset(database, reviewer, "superheat_k", version=2)):  # fmt: skip
            with pytest.raises(ConflictError):
                again()

    def test_reviewers_set_what_checks_decide_by_and_engineers_prices(self, database, person, reviewer):
        put(database, person, "price_bi", "28")
        with pytest.raises(NotAllowedError, match="role engineer"):
            put(database, reviewer, "price_bi", "28", version=1)
        with pytest.raises(NotAllowedError, match="role reviewer"):
            put(database, person, "superheat_k", "12")
        with pytest.raises(NotAllowedError):
            reset(database, person, "superheat_k", version=0)

    def test_a_key_that_is_none(self, database, reviewer):
        with pytest.raises(NotFoundError):
            put(database, reviewer, "luck", "1")
        with database.read() as session, pytest.raises(NotFoundError):
            site_figures.history_of_figure(session, "luck")


class TestSettingOnPostgres(OnPostgres, TestSetting):
    pass


def test_a_figure_of_the_checks_makes_all_stale_and_a_price_nothing(database, person, reviewer, routed, stale):
    product_id = routed(HARBOUR)
    put(database, person, "price_bi", "28")
    assert stale(product_id) == FRESH
    put(database, reviewer, "superheat_k", "12")
    assert stale(product_id) == {"today": True, "low temperature": True}
