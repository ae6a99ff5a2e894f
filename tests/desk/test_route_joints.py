from sqlmodel import select

from tests.web.pages.product_tabs.conftest import GATEWAY, PLACES, TEMPLATE
from webapp.desk import cases, parts, routes
from webapp.desk.new_product import ProductFromFiles, new_product
from webapp.desk.parts import ValueSource
from webapp.desk.route_joints import joints_made
from webapp.desk.uploads import UploadedFile
from webapp.store import product_reads
from webapp.store.parts import LinePartRow
from webapp.trade.facts import PartField
from webapp.trade.route import Route, Side, Step, StepKind
from webapp.trade.sources import Kind

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
    assert [step.sure for step in today.steps] == [("C3",), ("C1", "C2", "Q1", "R1", "R2", "U1")]
    assert [step.maybe for step in today.steps] == [(), ()]
    assert today.left_over == wave.steps[2].sure == ("BT1", "J1")
    assert wave.left_over == ()


def test_without_sides_either_pass_may_make_them(database, settings, person):
    today, _ = made(database, settings, person, places=False)
    assert [step.sure for step in today.steps] == [(), ()]
    assert today.steps[0].maybe == today.steps[1].maybe == ("C1", "C2", "C3", "Q1", "R1", "R2", "U1")


def test_what_is_stated_of_a_part_counts_at_once(database, settings, person, part_id):
    made(database, settings, person, places=True)
    with database.command() as session:
        sheet = ValueSource(Kind.DATASHEET, "data sheet")
        parts.state_value(session, person, part_id("CN-4-V"), PartField.MOUNTING, "smd", sheet)
    with database.read() as session:
        product = product_reads.product_by_code(session, "GW-7")
        today = routes.routes_of(session, product.id)[0].route
        (joints,) = joints_made(session, cases.cases_of(session, product.id)[0].id, [today])
    # Nobody has said on which side of the board the connector sits.
    assert [step.maybe for step in joints.steps] == [("J1",), ("J1",)]
    assert joints.left_over == ("BT1",)


LINES = b"""Designator,Qty,MPN,Manufacturer,Package,DNP
"R10,R2,R3",3,GR-1,Kelvarn,0402,
R4,1,GR-2,Kelvarn,0402,x
X1,1,CN-1,Portal,"THT, 4 pin",
"""


def test_alternates_go_to_the_same_places_and_what_is_not_fitted_goes_nowhere(database, person, product, part_id):
    """X1 may be fitted with a part on the surface instead: soldered in the pass, or by nothing on this route."""
    product_id, own = product(LINES), part_id("CN-1")
    reflow = Route("one", (Step(StepKind.REFLOW, "", Side.TOP, SAC, 245.0),))
    with database.command() as session:
        routes.save_route(session, person, product_id, reflow)
        line_id = session.exec(select(LinePartRow.line_id).where(LinePartRow.part_id == own)).one()
        session.add(LinePartRow(line_id=line_id, position=1, part_id=part_id("GR-1")))
    with database.read() as session:
        (joints,) = joints_made(session, cases.find_case(session, product_id).id, [reflow])
    assert joints.steps[0].sure == ("R2", "R3", "R10")
    assert joints.steps[0].maybe == ("X1",)
    assert joints.left_over == ()


def test_a_case_that_is_gone(database):
    with database.read() as session:
        assert joints_made(session, 7, [Route("today")]) == []
