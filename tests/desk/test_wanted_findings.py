"""What cases lack, read again only when they were assessed."""

from sqlalchemy import event

from webapp.desk import assessing, cases, parts, routes
from webapp.desk.parts import ValueSource
from webapp.desk.wanted_findings import lacks_of, members_in
from webapp.trade.facts import PartField
from webapp.trade.sources import Kind

# How much X1 heats itself is not told.
LISTED = b"Designator,Qty,MPN,Manufacturer,Package\nR1-R9,9,GR-104,Kelvarn,0402\nX1,1,CN-1,Norrlund,BGA-64\n"
OTHER = b"Designator,Qty,MPN,Manufacturer,Package\nR1-R9,9,GR-104,Kelvarn,0402\nX2,1,CN-2,Norrlund,BGA-64\n"


def found(database, product_id=None):
    """What the cases lack, and whether findings were read for it."""
    asked = []
    event.listen(database.engine, "before_cursor_execute", lambda *args: asked.append(args[2]))
    with database.read() as session:
        lacks = lacks_of(session, product_id)
    return lacks, any("FROM finding" in words for words in asked)


def state_heating(database, person, product_id, part_id):
    with database.command() as session:
        sheet = ValueSource(Kind.DATASHEET, "data sheet")
        parts.state_value(session, person, part_id, PartField.SELF_HEATING_K, "0", sheet)
    assessing.reassess(database, product_id)


def test_only_what_was_assessed_is_read_again(database, person, routed, part_id):
    first, _ = routed(LISTED, "A"), routed(OTHER, "B")
    before, is_read = found(database)
    assert is_read
    assert [code for code, _ in before] == ["A", "B"]
    again, is_read = found(database)
    assert not is_read
    assert [lacks for _, lacks in again] == [lacks for _, lacks in before]
    state_heating(database, person, first, part_id("CN-1"))
    after, is_read = found(database)
    assert is_read
    assert after[1][1] is before[1][1]
    needs = [[lack.need for lack in lacks[0][1].findings] for lacks in (before, after)]
    assert "self_heating_k" in needs[0]
    assert "self_heating_k" not in needs[1]


def test_one_product_keeps_the_others(database, routed):
    first, _ = routed(LISTED, "A"), routed(OTHER, "B")
    found(database)
    (only,), is_read = found(database, first)
    assert (only[0], is_read) == ("A", False)
    assert not found(database)[1]


def test_a_route_that_is_gone_lacks_nothing(database, person, routed):
    product_id = routed(LISTED, "A")
    assert len(found(database)[0]) == 1
    with database.command() as session:
        (candidate,) = [route for route in routes.routes_of(session, product_id) if not route.is_today]
        routes.remove_route(session, person, candidate.id, version=candidate.version)
    assert found(database)[0] == []


def test_a_case_not_assessed_yet_lacks_nothing(database, person, product):
    product_id = product(LISTED, "A")
    with database.command() as session:
        routes.new_route_from_template(session, person, product_id, "two-sided-low-temperature")
        assert len(cases.cases_of(session, product_id)) == 2
    assert found(database)[0] == []


def test_members_are_read_from_what_is_stored():
    assert members_in(["[[7, 2, 0]]", "[]", "[[7, 1, 1], [12, 3, 3]]"]).tolist() == [[7, 2, 0], [7, 1, 1], [12, 3, 3]]
    assert members_in([]).shape == (0, 3)
