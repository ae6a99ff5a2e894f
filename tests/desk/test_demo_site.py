"""The demo's pastes."""

from tests.desk.site_data import the_site
from webapp.desk.demo_products import demo_products
from webapp.desk.demo_site import demo_pastes, load_demo_pastes
from webapp.trade.paste_windows import outside_window
from webapp.trade.people import Role


def test_they_are_stored_once(database, add_person):
    engineer = add_person(Role.ENGINEER)
    load_demo_pastes(database, engineer)
    load_demo_pastes(database, engineer)
    own = [paste.name for paste in the_site(database).materials.pastes.values() if paste.own]
    assert sorted(own) == sorted(form.name for form in demo_pastes())


def test_todays_routes_are_within_the_windows_of_their_pastes(database, add_person):
    """What the demo's floor prints today works; only candidates may be flagged."""
    load_demo_pastes(database, add_person(Role.ENGINEER))
    materials = the_site(database).materials
    named = [
        (step, route.today)
        for product in demo_products()
        for route in product.routes
        for step in route.steps
        if step.paste
    ]
    assert named
    for step, is_today in named:
        paste = materials.paste(step.paste)
        assert paste is not None
        assert not (is_today and outside_window(step, paste))
