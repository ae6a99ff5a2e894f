from tests.web.pages.product_tabs.conftest import GATEWAY, PLACES, TEMPLATE
from webapp.desk import cases, routes
from webapp.desk.new_product import ProductFromFiles, new_product
from webapp.desk.route_joints import joints_made
from webapp.desk.uploads import UploadedFile
from webapp.store import product_reads
from webapp.trade.route import Route, Side, Step, StepKind

SAC = "Sn96.5Ag3.0Cu0.5"


def made(database, settings, person, *, places):
    """What today's route, and one with a wave after it, make of the gateway."""
    placement = UploadedFile("places.csv", PLACES) if places else None
    files = ProductFromFiles("GW-7", UploadedFile("gateway.csv", GATEWAY), TEMPLATE, placement=placement)
    new_product(database, settings, person, files)
    with database.read() as session:
        product = product_reads.product_by_code(session, "GW-7")
        today = routes.routes_of(session, product.id)[0].route
        wave = Route("wave", (*today.steps, Step(StepKind.WAVE, "", Side.BOTTOM, SAC, 250.0)))
        return joints_made(session, cases.cases_of(session, product.id)[0].id, [today, wave])


def test_by_side_and_mounting(database, settings, person):
    today, wave = made(database, settings, person, places=True)
    assert [sorted(step.sure) for step in today.steps] == [["C3"], ["C1", "C2", "Q1", "R1", "R2", "U1"]]
    assert [step.maybe for step in today.steps] == [(), ()]
    assert sorted(today.left_over) == ["BT1", "J1"]
    assert sorted(wave.steps[2].sure) == ["BT1", "J1"]
    assert wave.left_over == ()


def test_without_sides_either_pass_may_make_them(database, settings, person):
    today, _ = made(database, settings, person, places=False)
    assert [step.sure for step in today.steps] == [(), ()]
    assert sorted(today.steps[0].maybe) == sorted(today.steps[1].maybe) == ["C1", "C2", "C3", "Q1", "R1", "R2", "U1"]


def test_a_case_that_is_gone(database):
    with database.read() as session:
        assert joints_made(session, 7, [Route("today")]) == []
