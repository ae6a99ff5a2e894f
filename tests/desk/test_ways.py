import pytest
from sqlalchemy import event
from sqlmodel import select

from tests.desk.reviewing import candidate, finding, state
from webapp.checks.verdicts import Verdict
from webapp.desk import assessing, routes, ways
from webapp.errors import NotFoundError
from webapp.store.cases import FindingRow
from webapp.trade.route import Step, StepKind


@pytest.fixture
def cured(database, person, routed):
    """A product whose candidate has an adhesive cured at 150 °C after both passes; its id."""
    product_id = routed()
    change_route(database, person, product_id, Step(StepKind.CURE, peak_c=150.0, hours=0.5))
    return product_id


def change_route(database, person, product_id, step):
    with database.command() as session:
        stored = candidate_route(session, product_id)
        changed = routes.Route(stored.route.name, (*stored.route.steps, step))
        routes.save_route(session, person, product_id, changed, route_id=stored.id)
    assessing.reassess(database, product_id)


def candidate_route(session, product_id):
    return next(route for route in routes.routes_of(session, product_id) if not route.is_today)


def ways_of(database, row):
    with database.read() as session:
        return ways.finding_ways(session, row.id)


def test_what_clears_it_and_what_stays(database, cured):
    row = finding(database, cured, "later-heat")
    found = ways_of(database, row)
    # Sn42Bi57Ag1 begins to melt at 137 °C: 10 K of margin, no spread.
    cooler = next(way for way in found.ways.clearing if "126 °C instead of 150 °C" in way.change.words)
    assert (cooler.left, cooler.open_count) == (Verdict.FINE, 0)
    case = candidate(database, cured).row
    assert (cooler.before.counts[Verdict.BLOCKS], cooler.before.readiness) == (case.blocks, case.readiness)
    assert found.is_current
    assert found.route.route.steps[-1].peak_c == 150.0


def test_as_predicted_when_the_change_is_made(database, person, cured):
    """The counts that a way foretells are those of the case once the route is changed so."""
    row = finding(database, cured, "later-heat")
    way = next(way for way in ways_of(database, row).ways.clearing if "126 °C" in way.change.words)
    with database.command() as session:
        stored = candidate_route(session, cured)
        routes.save_route(session, person, cured, way.change.case.route, route_id=stored.id)
    assessing.reassess(database, cured)
    case = candidate(database, cured).row
    assert {verdict: getattr(case, verdict.key) for verdict in way.after.counts} == way.after.counts
    assert case.readiness == way.after.readiness


def test_ids_of_the_parts(database, person, routed, part_id):
    product_id = routed()
    resistor = part_id("GR-104-X7")
    state(database, person, resistor, "limit_c", "170", product_id)
    found = ways_of(database, finding(database, product_id, "body-limit", "gr-104-x7"))
    assert [found.part_ids[position] for position in found.ways.finding.parts] == [resistor]


def test_nothing_is_written(database, cured):
    row = finding(database, cured, "later-heat")
    written = []

    def note(_connection, _cursor, statement, *_rest):
        written.extend([statement] if statement.split()[0] in ("INSERT", "UPDATE", "DELETE") else [])

    event.listen(database.engine, "before_cursor_execute", note)
    ways_of(database, row)
    event.remove(database.engine, "before_cursor_execute", note)
    assert written == []


def test_what_has_changed_since(database, person, cured):
    row = finding(database, cured, "later-heat")
    with database.command() as session:
        stored = candidate_route(session, cured)
        hotter = routes.Route(
            stored.route.name, (*stored.route.steps[:-1], Step(StepKind.CURE, peak_c=155.0, hours=0.5))
        )
        routes.save_route(session, person, cured, hotter, route_id=stored.id)
    found = ways_of(database, row)
    assert not found.is_current
    assert any("instead of 155 °C" in way.change.words for way in found.ways.clearing)
    with database.command() as session:
        stored = candidate_route(session, cured)
        without = routes.Route(stored.route.name, stored.route.steps[:-1])
        routes.save_route(session, person, cured, without, route_id=stored.id)
    gone = ways_of(database, row)
    assert (gone.ways, gone.is_current) == (None, False)


def test_a_finding_that_is_gone(database, person, cured):
    row = finding(database, cured, "later-heat")
    with database.read() as session, pytest.raises(NotFoundError):
        ways.finding_ways(session, 99_999)
    with database.command() as session:
        routes.remove_route(session, person, candidate_route(session, cured).id)
    with database.read() as session:
        assert session.exec(select(FindingRow.id).where(FindingRow.id == row.id)).one()
        with pytest.raises(NotFoundError, match="another revision or route"):
            ways.finding_ways(session, row.id)
