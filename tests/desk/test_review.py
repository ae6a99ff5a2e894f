"""The queue: groups by part over products, filters and counts."""

from dataclasses import replace

import pytest

from tests.desk.conftest import OnPostgres
from tests.desk.reviewing import ACCEPT, REFUSE, finding, proved, sign, state
from webapp.desk import portfolio, review
from webapp.desk.portfolio import ProductForm
from webapp.desk.review import QueueView, Show
from webapp.trade.people import Role


@pytest.fixture
def reviewer(database, settings, passwords, add_person):
    """A reviewer with the password entered."""
    return proved(database, settings, passwords, add_person(Role.REVIEWER))


@pytest.fixture
def two(database, person, routed, part_id):
    """Two products whose resistor GR-104-X7 stands 170 °C only, on a route that peaks at 180 °C."""
    first, second = routed(code="HL-2"), routed(code="HL-3")
    state(database, person, part_id("GR-104-X7"), "limit_c", "170", first, second)
    return first, second


def groups(database, view=None):
    with database.read() as session:
        found, total = review.queue(session, view or QueueView(as_today=True))
    assert total == len(found)
    return found


class Queue:
    def test_a_part_is_one_group_over_all_products(self, database, two):
        first, *others = groups(database)
        assert (first.title, first.verdict, first.findings, first.products) == ("GR-104-X7", "blocks", 2, 2)
        assert first.is_part
        # R1 and R2 in each product.
        assert first.placements == 4
        assert "board-finish" in {group.key.removeprefix("check ") for group in others}
        assert all(not group.is_part and group.products == 2 for group in others)
        with database.read() as session:
            found = review.findings_of_group(session, first.key, QueueView(as_today=True))
        assert [row.product_code for row in found] == ["HL-2", "HL-3"]

    def test_what_is_decided_leaves_it(self, database, settings, reviewer, two):
        first, second = two
        sign(database, settings, reviewer, ACCEPT, finding(database, first, "body-limit", "part"))
        assert groups(database)[0].findings == 1
        sign(database, settings, reviewer, REFUSE, finding(database, second, "body-limit", "part"))
        assert not any(group.is_part for group in groups(database))
        (refused,) = groups(database, QueueView(show=Show.REFUSED, as_today=True))
        (decided,) = groups(database, QueueView(show=Show.DECIDED, as_today=True))
        assert (refused.findings, decided.findings) == (1, 1)

    def test_counts_are_those_of_the_queue(self, database, two):
        with database.read() as session:
            counted = review.counts(session, QueueView(as_today=True, verdict="blocks"))
            everything = review.all_shown(session, QueueView(as_today=True), 1000)
        assert counted["blocks"] == 2
        assert counted["total"] == len(everything) == sum(group.findings for group in groups(database))

    def test_filters(self, database, person, two, add_person):
        owner = add_person(Role.ENGINEER, login="owner")
        with database.command() as session:
            form = ProductForm("Harbour logger", "marine", "Nordhavn", owner.login)
            portfolio.describe_product(session, person, two[0], form, version=1)
        everything = QueueView(as_today=True)
        for named in ({"product": "hl-2"}, {"label": "marine"}, {"customer": "Nordhavn"}, {"owner": "owner"}):
            found = groups(database, replace(everything, **named))
            assert found
            assert {group.products for group in found} == {1}
        assert [group.title for group in groups(database, replace(everything, verdict="blocks"))] == ["GR-104-X7"]
        assert {g.key for g in groups(database, replace(everything, check="board-finish"))} == {"check board-finish"}
        assert groups(database, replace(everything, search="gr-104"))[0].title == "GR-104-X7"
        assert groups(database, replace(everything, label="none such")) == []

    def test_what_is_as_open_today_is_left_out_unless_asked_for(self, database, two):
        with database.read() as session:
            without = review.counts(session, QueueView())["total"]
            with_today = review.counts(session, QueueView(as_today=True))["total"]
        # 170 °C is too low for today's 245 °C just as well.
        assert without < with_today
        assert not any(group.is_part for group in groups(database, QueueView()))


class TestOnSqlite(Queue):
    pass


class TestOnPostgres(OnPostgres, Queue):
    pass
