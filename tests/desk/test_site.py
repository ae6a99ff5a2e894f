"""What a site solders with: the tables, and its own beside them."""

from tests.desk.site_data import EUTECTIC, HOUSE, add_alloy, add_paste, the_site
from webapp.desk import site_figures
from webapp.trade.figures import default_figures
from webapp.trade.people import Role
from webapp.trade.ranges import Span
from webapp.trade.site import Site
from webapp.trade.sources import Status


def test_without_anything_of_its_own_it_has_the_tables(database):
    assert the_site(database) == Site()


def test_its_own_stand_beside_them(database, person, add_person):
    add_alloy(database, person)
    add_paste(database, person)
    with database.command() as session:
        site_figures.set_figure(session, add_person(Role.REVIEWER), "superheat_k", "12 K", "trials", version=0)
    site = the_site(database)
    alloy, paste, figure = site.materials.alloy("Sn43Bi57"), site.materials.paste("House paste"), site.figures
    assert alloy.composition_wt_pct == {"Sn": 43.0, "Bi": 57.0}
    assert (alloy.own, alloy.name, alloy.solidus_source.status) == (True, EUTECTIC.name, Status.DERIVED)
    assert (paste.own, paste.alloy, paste.peak_c, paste.above_liquidus_s) == (
        True, "Sn43Bi57", Span(165, 190), Span(30, 90),
    )  # fmt: skip
    assert paste.source.reference == HOUSE.reference
    assert (figure["superheat_k"].value, figure["superheat_k"].own) == (12.0, True)
    assert figure["near_limit_k"] == default_figures()["near_limit_k"]
