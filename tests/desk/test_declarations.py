from datetime import timedelta

import pytest

from tests.boms import HARBOUR
from tests.desk.conftest import OnPostgres
from webapp.desk import assessing, cases, declarations
from webapp.desk.declarations import NewDeclaration
from webapp.errors import InvalidInputError, NotFoundError
from webapp.store import part_reads
from webapp.store.base import utc_now
from webapp.trade.facts import Claim, Scope

OTHER = HARBOUR.replace(b"Kelvarn", b"Solveig")


def declare(database, person, *args, **more):
    with database.command() as session:
        return declarations.declare(session, person, NewDeclaration(*args, **more))


def unknown_finishes(database, product_id):
    assessing.reassess(database, product_id)
    with database.read() as session:
        found = cases.findings_of(session, cases.find_case(session, product_id).id)
    return [finding.placements for finding in found if finding.check == "finish-unknown"]


class TestDeclarations:
    def test_without_any_all_is_unknown_in_one_finding_with_it_nothing(self, database, person, routed):
        product_id = routed(HARBOUR)
        # R1-R5, C1, C10, U1: eight places; J1 is not fitted.
        assert unknown_finishes(database, product_id) == [8]
        declared = declare(database, person, Claim.LEAD_FREE, Scope.SITE, "site statement")
        assert unknown_finishes(database, product_id) == []
        with database.command() as session:
            declarations.withdraw_declaration(session, person, declared)
            declarations.withdraw_declaration(session, person, declared)
        assert unknown_finishes(database, product_id) == [8]

    def test_over_a_maker(self, database, person, routed):
        product_id = routed(HARBOUR)
        declare(database, person, Claim.LEAD_FREE, Scope.MAKER, "letter", maker=" KELVARN ")
        # Left: C1, C10 of Ostrava Caps and U1 of Norrlund.
        assert unknown_finishes(database, product_id) == [3]

    def test_over_one_products_bom(self, database, person, routed):
        one, two = routed(HARBOUR, "A"), routed(OTHER, "B", filename="b.csv")
        declare(database, person, Claim.LEAD_FREE, Scope.BOM, "supplier declaration", product_id=one)
        assert unknown_finishes(database, one) == []
        assert unknown_finishes(database, two) == [8]

    def test_over_one_part(self, database, person, routed, part_id):
        product_id = routed(HARBOUR)
        declare(database, person, Claim.LEAD_FREE, Scope.PART, "letter", part_id=part_id("GR-220-X7"))
        assert unknown_finishes(database, product_id) == [5]

    @pytest.mark.parametrize(
        ("scope", "more", "both"),
        [(Scope.SITE, {}, True), (Scope.MAKER, {"maker": "Kelvarn"}, False), (Scope.BOM, {"product": True}, False)],
    )
    def test_makes_stale_what_it_covers(self, database, person, routed, stale, scope, more, both):
        one, two = routed(HARBOUR, "A"), routed(OTHER, "B", filename="b.csv")
        if more.pop("product", False):
            more["product_id"] = one
        declare(database, person, Claim.LEAD_FREE, scope, "letter", **more)
        assert all(stale(one).values())
        assert any(stale(two).values()) is both


class TestDeclarationsOnPostgres(OnPostgres, TestDeclarations):
    pass


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"reference": " "}, "reference"),
        ({"scope": Scope.MAKER}, "maker"),
        ({"stated_on": (utc_now() + timedelta(days=2)).date().isoformat()}, "stated_on"),
        ({"claim": Claim.LIMIT_AT_LEAST, "number": "473"}, "number"),
        ({"claim": Claim.PASSES_AT_LEAST, "number": "many"}, "number"),
        ({"claim": Claim.PASSES_AT_LEAST, "number": "0"}, "number"),
        ({"claim": Claim.SELF_HEATING_AT_MOST, "number": "10 °C"}, "number"),
        ({"stated_on": "31.5.2008"}, "stated_on"),
    ],
)
def test_what_is_no_declaration_names_the_field(database, person, more, field):
    values = {"claim": Claim.LEAD_FREE, "scope": Scope.SITE, "reference": "letter"} | more
    with pytest.raises(InvalidInputError) as caught:
        declare(database, person, **values)
    assert caught.value.field == field
    with database.read() as session:
        assert part_reads.list_declarations(session) == []


def test_numbers_and_dates_are_kept(database, person):
    declare(database, person, Claim.LIMIT_AT_LEAST, Scope.SITE, "letter", number="473 °F", stated_on="2008-05-31")
    declare(database, person, Claim.SELF_HEATING_AT_MOST, Scope.SITE, "image", number="8 K")
    with database.read() as session:
        found = [(e.row.number, e.row.stated_on, e.by) for e in part_reads.list_declarations(session)]
    assert found == [(8.0, "", person.name), (pytest.approx(245.0), "2008-05-31", person.name)]


def test_what_is_not_there_cannot_be_declared_over_or_withdrawn(database, person):
    with pytest.raises(NotFoundError):
        declare(database, person, Claim.LEAD_FREE, Scope.BOM, "letter", product_id=7)
    with pytest.raises(NotFoundError):
        declare(database, person, Claim.LEAD_FREE, Scope.PART, "letter", part_id=7)
    with database.command() as session, pytest.raises(NotFoundError):
        declarations.withdraw_declaration(session, person, 7)
