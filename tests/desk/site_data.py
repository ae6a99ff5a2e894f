"""What tests of the site's own data share: an alloy, a paste, and the ways to store them."""

from dataclasses import replace

from webapp.desk import assessing, routes, site_alloys, site_pastes
from webapp.desk.site import site_of
from webapp.desk.site_alloys import AlloyForm
from webapp.desk.site_pastes import PasteForm

EUTECTIC = AlloyForm("Sn43Bi57", "43Sn-57Bi", "near the eutectic")
HOUSE = PasteForm(
    name="House paste",
    alloy="Sn43Bi57",
    powder="4",
    metal_wt_pct="90",
    flux="ROL0",
    peak_c="165…190",
    above_liquidus_s="30…90",
    reference="data sheet HP-1, rev. 2",
)


def the_site(database):
    """The site as it is now."""
    with database.read() as session:
        return site_of(session)


def add_alloy(database, person, form=EUTECTIC, *, version=0, **changes):
    """Save an alloy; whether anything changed."""
    new = site_alloys.read_alloy(replace(form, **changes))
    with database.command() as session:
        return site_alloys.save_alloy(session, person, new, version=version)


def add_paste(database, person, form=HOUSE, *, paste_id=None, version=0, **changes):
    """Save a paste; its id."""
    with database.command() as session:
        new = site_pastes.read_paste(replace(form, **changes), site_of(session).materials)
        return site_pastes.save_paste(session, person, new, paste_id=paste_id, version=version)


def solder_with(database, person, product_id, **changes):
    """Change every reflow step of the product's candidate (``alloy``, ``paste``, ...) and assess it; the route."""
    with database.command() as session:
        candidate = next(route for route in routes.routes_of(session, product_id) if not route.is_today)
        steps = tuple(replace(step, **changes) for step in candidate.route.steps)
        routes.save_route(
            session,
            person,
            product_id,
            replace(candidate.route, steps=steps),
            route_id=candidate.id,
            version=candidate.version,
        )
    assessing.reassess(database, product_id)
    with database.read() as session:
        return routes.route_by_id(session, candidate.id).route
