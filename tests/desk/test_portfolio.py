"""The portfolio from stored counters: lines, totals, blockers, filters, the daily snapshot."""

from datetime import timedelta
from itertools import pairwise

import pytest

from tests.boms import HARBOUR
from tests.desk.conftest import OnPostgres
from tests.desk.reviewing import ACCEPT, finding, findings, proved, sign, state
from webapp.desk import portfolio, sweep
from webapp.desk.portfolio import ProductForm
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.store import blockers
from webapp.store import portfolio as reads
from webapp.store.portfolio import PortfolioView
from webapp.trade.decisions import today
from webapp.trade.people import Role
from webapp.trade.readiness import Gate


@pytest.fixture
def three(database, person, routed, product, part_id):
    """HL-1 without a route; HL-2 and HL-3 with a resistor that blocks, HL-3 with a capacitor that blocks as well."""
    plain = product(code="HL-1")
    second, third = routed(code="HL-2"), routed(code="HL-3")
    state(database, person, part_id("GR-104-X7"), "limit_c", "170", second, third)
    return plain, second, third


@pytest.fixture
def capacitor(database, person, routed, part_id):
    """HL-4 with another part that blocks beside the resistor."""
    fourth = routed(HARBOUR.replace(b"00471", b"00999"), code="HL-4")
    state(database, person, part_id("00999"), "limit_c", "150", fourth)
    return fourth


def lines(database, **view):
    with database.read() as session:
        found = reads.find_products(session, PortfolioView(**view))
        assert reads.totals(session, PortfolioView(**view)).products == len(found)
    return found


class Portfolio:
    def test_one_line_a_product_with_gate_and_next_step(self, database, three):
        plain, second, _third = lines(database)
        assert (plain.code, plain.gate, plain.route, plain.next) == (
            "HL-1",
            Gate.NONE,
            None,
            "choose a candidate route",
        )
        assert (second.code, second.gate, second.counters.open_blocks, second.who) == (
            "HL-2",
            Gate.SCREENED,
            1,
            "engineer",
        )
        assert second.next.startswith("give data for")

    def test_a_product_with_nothing_open_is_resolved(self, database, settings, passwords, add_person, three):
        reviewer = proved(database, settings, passwords, add_person(Role.REVIEWER))
        for row in findings(database, three[1]):
            if row.verdict != "gain":
                sign(database, settings, reviewer, ACCEPT, row)
        line = lines(database, search="HL-2")[0]
        assert (line.gate, line.counters.readiness, line.next, line.who) == (Gate.RESOLVED, 1.0, "nothing open", "")
        assert [entry.code for entry in lines(database, gate="resolved")] == ["HL-2"]
        assert [entry.code for entry in lines(database, gate="screened")] == ["HL-3"]
        assert [entry.code for entry in lines(database, gate="none")] == ["HL-1"]
        with database.read() as session:
            sums = reads.totals(session, PortfolioView())
        assert (sums.products, sums.screened, sums.resolved, sums.open_blocks) == (3, 2, 1, 1)

    def test_frequent_blockers_and_parts_with_what_they_would_free(self, database, three, capacitor):
        with database.read() as session:
            (check,) = blockers.frequent_blockers(session, PortfolioView())
            resistor, other = blockers.blocking_parts(session, PortfolioView())
        assert (check.check, check.products, check.findings) == ("body-limit", 3, 4)
        # HL-2 and HL-3 are blocked by the resistor alone, HL-4 by the capacitor as well.
        assert (resistor.title, resistor.products, resistor.freed) == ("GR-104-X7", 3, 2)
        assert (other.title, other.products, other.freed) == ("00999", 1, 0)
        assert [entry.code for entry in lines(database, part=other.part_key)] == ["HL-4"]
        assert [entry.code for entry in lines(database, check="body-limit")] == ["HL-2", "HL-3", "HL-4"]

    @pytest.mark.parametrize("sort", list(reads.Sort))
    def test_every_order_goes_both_ways_and_loses_nothing(self, database, three, sort):
        up, down = lines(database, sort=str(sort)), lines(database, sort=f"-{sort}")
        assert {line.code for line in up} == {line.code for line in down} == {"HL-1", "HL-2", "HL-3"}

    def test_filters_by_what_groups_products(self, database, person, three, add_person):
        owner = add_person(Role.ENGINEER, login="owner")
        with database.command() as session:
            form = ProductForm("Harbour logger", " marine ", "Nordhavn", owner.login)
            portfolio.describe_product(session, person, three[1], form, version=1)
        for named in ({"label": "marine"}, {"customer": "Nordhavn"}, {"owner": "owner"}, {"search": "harbour"}):
            assert [line.code for line in lines(database, **named)] == ["HL-2"]
        with database.read() as session:
            offered = reads.choices(session)
        assert offered["label"] == [("marine", "marine")]
        assert offered["owner"] == [("owner", owner.name)]

    def test_a_snapshot_a_day(self, database, three):
        day = today()
        sweep.keep_day(database)
        sweep.keep_day(database)
        with database.command() as session:
            assert not portfolio.take_snapshot(session, day)
            assert portfolio.take_snapshot(session, day + timedelta(days=1))
        with database.read() as session:
            first, second = reads.trend(session, day)
            assert reads.trend(session, day + timedelta(days=2)) == []
        assert (first.day, first.products, first.resolved, first.open_blocks) == (day, 3, 0, 2)
        assert second.day == day + timedelta(days=1)

    def test_a_long_trend_is_told_by_days_evenly_apart(self, database, three):
        day = today()
        with database.command() as session:
            for back in range(90):
                portfolio.take_snapshot(session, day - timedelta(days=back))
        with database.read() as session:
            days = [one.day for one in reads.trend(session, day - timedelta(days=90))]
        assert days[-1] == day
        assert len(days) == 30
        assert {(later - earlier).days for earlier, later in pairwise(days)} == {3}


class TestOnSqlite(Portfolio):
    pass


class TestOnPostgres(OnPostgres, Portfolio):
    pass


class TestDescribing:
    def describe(self, database, person, product_id, version=1, **form):
        with database.command() as session:
            portfolio.describe_product(
                session, person, product_id, ProductForm(**{"name": "Logger", **form}), version=version
            )

    @pytest.mark.parametrize(
        ("form", "field"),
        [
            ({"name": " "}, "name"),
            ({"label": "x" * 61}, "label"),
            ({"customer": "Brind\u202emoor"}, "customer"),
            ({"customer": "x" * 121}, "customer"),
            ({"owner": "nobody"}, "owner"),
        ],
    )
    def test_a_mistake_is_named_by_its_field(self, database, person, product, form, field):
        product_id = product()
        with pytest.raises(InvalidInputError) as caught:
            self.describe(database, person, product_id, **form)
        assert caught.value.field == field

    def test_two_at_once_are_a_conflict(self, database, person, product):
        product_id = product()
        self.describe(database, person, product_id)
        with pytest.raises(ConflictError):
            self.describe(database, person, product_id)

    def test_there_has_to_be_one(self, database, person):
        with pytest.raises(NotFoundError):
            self.describe(database, person, 99)


def test_the_finding_that_blocks_is_on_the_line_only_while_it_is_open(database, settings, passwords, add_person, three):
    reviewer = proved(database, settings, passwords, add_person(Role.REVIEWER))
    sign(database, settings, reviewer, ACCEPT, finding(database, three[1], "body-limit", "part"))
    assert [line.code for line in lines(database, check="body-limit")] == ["HL-3"]
