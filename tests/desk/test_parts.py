"""Stating values of parts: history, versions, who becomes stale."""

import pytest
from sqlmodel import select

from tests.boms import HARBOUR
from tests.desk.conftest import OnPostgres
from webapp.desk import assessing, cases, parts
from webapp.desk.parts import ValueSource
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.store.parts import PartValueRow
from webapp.trade.facts import PartField
from webapp.trade.sources import Kind

SHEET = ValueSource(Kind.DATASHEET, "Norrlund MX-800, revision 3")


def state(database, person, part_id, field, text, source=SHEET, **more):
    with database.command() as session:
        return parts.state_value(session, person, part_id, field, text, source, **more)


def page(database, part_id):
    with database.read() as session:
        return parts.part_page(session, part_id)


def field_of(database, part_id, name):
    return next(view for view in page(database, part_id).fields if view.field is name)


class TestStating:
    def test_a_stated_value_decides_and_names_its_source(self, database, person, product, part_id):
        product(HARBOUR)
        part = part_id("MX-800")
        assert field_of(database, part, PartField.LIMIT_C).wanted
        assert state(database, person, part, PartField.LIMIT_C, "473 °F")
        view = field_of(database, part, PartField.LIMIT_C)
        assert (view.text, view.wanted) == ("245 °C", False)
        assert view.source_words == "Norrlund MX-800, revision 3 (read in a document)"

    def test_what_it_replaces_is_kept(self, database, person, product, part_id):
        product(HARBOUR)
        part = part_id("MX-800")
        for text in ("245", "at least 250"):
            state(database, person, part, PartField.LIMIT_C, text)
        with database.command() as session:
            parts.withdraw_value(session, person, part, PartField.LIMIT_C)
            parts.withdraw_value(session, person, part, PartField.LIMIT_C)
        history = [(row.typed, row.ended_at is not None, by) for row, by in page(database, part).history]
        assert history == [("at least 250", True, person.name), ("245", True, person.name)]
        assert field_of(database, part, PartField.LIMIT_C).wanted
        with database.read() as session:
            assert len(session.exec(select(PartValueRow)).all()) == 2

    def test_kinds_and_yes_or_no_and_a_range_come_back_as_they_were_put(self, database, person, product, part_id):
        product(HARBOUR)
        part = part_id("MX-800")
        for field, text in ((PartField.FINISH, "e3 e4"), (PartField.OVEN, "no"), (PartField.PASSES, "2..3")):
            state(database, person, part, field, text)
        texts = [field_of(database, part, f).text for f in (PartField.FINISH, PartField.OVEN, PartField.PASSES)]
        assert texts == ["tin (e3) or precious metal without tin (e4)", "no", "2 to 3 passes"]

    def test_a_stated_class_changes_what_is_asked_and_what_the_library_says(self, database, person, product, part_id):
        product(HARBOUR)
        part = part_id("CN-4")
        state(database, person, part, PartField.CLASSES, "chip_resistor")
        found = page(database, part)
        assert found.row.class_text == "chip resistor"
        assert not next(view for view in found.fields if view.field is PartField.BALLS).relevant

    def test_somebody_elses_change_in_between_is_refused(self, database, person, product, part_id):
        product(HARBOUR)
        part = part_id("MX-800")
        state(database, person, part, PartField.LIMIT_C, "245", version=1)
        with pytest.raises(ConflictError):
            state(database, person, part, PartField.PASSES, "3", version=1)
        state(database, person, part, PartField.PASSES, "3", version=2)


class TestStatingOnPostgres(OnPostgres, TestStating):
    pass


@pytest.mark.parametrize(
    ("source", "field"),
    [
        (ValueSource(Kind.DATASHEET, " "), "reference"),
        (ValueSource(Kind.DATASHEET, "x" * 301), "reference"),
        (ValueSource(Kind.ENTERED, "", "x" * 501), "note"),
    ],
)
def test_sources_that_are_none(database, person, product, part_id, source, field):
    product(HARBOUR)
    with pytest.raises(InvalidInputError) as caught:
        state(database, person, part_id("MX-800"), PartField.LIMIT_C, "245", source)
    assert caught.value.field == field


def test_a_value_that_is_none_leaves_the_one_before(database, person, product, part_id):
    product(HARBOUR)
    part = part_id("MX-800")
    state(database, person, part, PartField.LIMIT_C, "245")
    with pytest.raises(InvalidInputError):
        state(database, person, part, PartField.LIMIT_C, "hot")
    assert field_of(database, part, PartField.LIMIT_C).text == "245 °C"


def test_a_part_that_is_none(database):
    with database.read() as session, pytest.raises(NotFoundError):
        parts.part_page(session, 99)


def test_where_used(database, product, part_id):
    product(HARBOUR, "A")
    product(HARBOUR.replace(b"GR-220-X7", b"GR-221-X7"), "B", filename="b.csv")
    assert [(use.code, use.refdes) for use in page(database, part_id("GR-104-X7")).uses] == [
        ("A", ("R1", "R2")),
        ("B", ("R1", "R2")),
    ]
    assert [use.code for use in page(database, part_id("GR-220-X7")).uses] == ["A"]


class TestStale:
    def test_every_product_that_uses_the_part_and_no_other(self, database, person, routed, part_id, stale):
        one, two = routed(HARBOUR, "A"), routed(HARBOUR.replace(b"MX-800", b"MX-900"), "B", filename="b.csv")
        assert not any((stale(one) | stale(two)).values())
        state(database, person, part_id("MX-800"), PartField.LIMIT_C, "150")
        assert all(stale(one).values())
        assert not any(stale(two).values())
        assessing.reassess(database, one)
        assert not any(stale(one).values())
        with database.read() as session:
            found = cases.findings_of(session, cases.find_case(session, one).id)
        assert [(f.check, f.verdict, f.refdes) for f in found if f.verdict == "blocks"] == [
            ("body-limit", "blocks", ["U1"])
        ]

    def test_a_refused_value_makes_nobody_stale(self, database, person, routed, part_id, stale):
        product_id = routed(HARBOUR)
        with pytest.raises(InvalidInputError):
            state(database, person, part_id("MX-800"), PartField.LIMIT_C, "")
        assert not any(stale(product_id).values())
