"""Lines and their parts."""

from sqlmodel import col, func, select

from tests.boms import HARBOUR, HARBOUR_LATER
from tests.desk.conftest import OnPostgres
from webapp.desk import matching, parts
from webapp.desk.commits import NextRevision, commit_upload
from webapp.store import migrate, product_reads
from webapp.store.parts import LinePartRow, PartRow, PartUseRow
from webapp.store.products import BomLineRow, ProductRow

ALTERNATES = (
    b"Designator,Qty,MPN,Manufacturer,Package,Description,Alternate MPN,Alternate Manufacturer\n"
    b"R1,1,GR-1,Kelvarn,0402,chip resistor,,\n"
    b"R2,1,gr-1,KELVARN,,,,\n"
    b"R3,1,,,0402,10k resistor,,\n"
    b"R4,1,,,0402,10k resistor,,\n"
    b"C1,1,,,0402,10k resistor,,\n"
    b"FD1,1,,,,Fiducial,,\n"
)


def links(database):
    """Line's first designator -> labels of its parts in order."""
    with database.read() as session:
        query = (
            select(BomLineRow.refdes, PartRow.label)
            .join(LinePartRow, col(LinePartRow.line_id) == col(BomLineRow.id))
            .join(PartRow, col(PartRow.id) == col(LinePartRow.part_id))
            .order_by(col(BomLineRow.id), col(LinePartRow.position))
        )
        found = {}
        for refdes, label in session.exec(query):
            found.setdefault(refdes[0], []).append(label)
        return found


def uses(database):
    """Label of a part -> codes of the products that use it."""
    with database.read() as session:
        query = (
            select(PartRow.label, ProductRow.code)
            .join(PartUseRow, col(PartUseRow.part_id) == col(PartRow.id))
            .join(ProductRow, col(ProductRow.id) == col(PartUseRow.product_id))
            .order_by(PartRow.label, ProductRow.code)
        )
        found = {}
        for label, code in session.exec(query):
            found.setdefault(label, []).append(code)
        return found


def count(database, table):
    with database.read() as session:
        return session.exec(select(func.count()).select_from(table)).one()


class TestMatching:
    def test_every_line_that_places_something_has_a_part(self, database, product):
        product(HARBOUR)
        assert links(database) == {
            "R1": ["GR-104-X7"], "R3": ["GR-220-X7"], "C1": ["00471"], "U1": ["MX-800"], "J1": ["CN-4"],
        }  # fmt: skip

    def test_doing_it_again_changes_nothing(self, database, product):
        product_id = product(HARBOUR)
        before = links(database), count(database, PartRow)
        with database.command() as session:
            revision = product_reads.last_revision(session, product_id)
            assert matching.match_parts(session, revision.id) == 0
        assert (links(database), count(database, PartRow)) == before

    def test_the_next_revision_shares_the_parts(self, database, person, product, upload, draft):
        product(HARBOUR)
        token = upload(HARBOUR_LATER, "later.csv")
        commit_upload(database, person, token, draft(token).version, NextRevision("HL-2"))
        with database.read() as session:
            keys = session.exec(select(PartRow.key)).all()
        assert len(keys) == len(set(keys))
        assert "ostravacaps|00999" in keys

    def test_a_revision_from_before_there_were_parts_gets_them(self, database, product):
        product(HARBOUR)
        with database.command() as session:
            for table in (PartUseRow, LinePartRow, PartRow):
                session.exec(table.__table__.delete())
        with database.command() as session:
            assert matching.match_missing(session) == 1
        assert links(database)["U1"] == ["MX-800"]
        assert "MX-800" in uses(database)
        with database.command() as session:
            assert matching.match_missing(session) == 0

    def test_uses_are_those_of_the_newest_revision_also_after_migrating(self, database, person, product, upload, draft):
        product(HARBOUR)
        product(HARBOUR, "HL-3")
        token = upload(HARBOUR_LATER, "later.csv")
        commit_upload(database, person, token, draft(token).version, NextRevision("HL-2"))
        # 00999 came and 00471 stayed; J1 counts, fitted or not.
        expected = {
            "00471": ["HL-2", "HL-3"], "00999": ["HL-2"], "CN-4": ["HL-2", "HL-3"], "GR-104-X7": ["HL-2", "HL-3"],
            "GR-220-X7": ["HL-2", "HL-3"], "MX-800": ["HL-2", "HL-3"],
        }  # fmt: skip
        assert uses(database) == expected
        migrate.downgrade(database, "0006")
        migrate.upgrade(database)
        assert uses(database) == expected

    def test_a_part_that_the_newest_revision_lacks_is_used_no_more(self, database, person, product, upload, draft):
        product(HARBOUR)
        token = upload(HARBOUR_LATER.replace(b"C10;1;00471;Ostrava Caps;100n;0603\n", b""), "later.csv")
        commit_upload(database, person, token, draft(token).version, NextRevision("HL-2"))
        assert "00471" not in uses(database)


class TestMatchingOnPostgres(OnPostgres, TestMatching):
    pass


def test_one_part_however_it_is_written_and_what_one_line_lacks_the_other_gives(database, product, part_id):
    product(ALTERNATES)
    found = links(database)
    assert found["R1"] == found["R2"] == ["GR-1"]
    with database.read() as session:
        row = parts.part_row(session, part_id("GR-1"))
    assert (row.package, row.class_text) == ("0402", "chip resistor")


def test_lines_without_number_share_a_part_when_they_say_the_same(database, product):
    product(ALTERNATES)
    with database.read() as session:
        keys = session.exec(select(PartRow.key).where(col(PartRow.mpn).is_(None))).all()
    # R3 and R4 say the same; C1 says it under another letter; the fiducial is no part.
    assert len(keys) == 2
    assert "FD1" not in links(database)


def test_blanks_filled_by_another_list_make_the_users_stale(database, routed, product, stale, part_id):
    first = routed(b"Designator,Qty,MPN,Manufacturer\nR1,1,GR-1,Kelvarn\nR2,1,GR-2,Kelvarn\nR3,1,GR-3,Kelvarn\n", "A")
    assert not any(stale(first).values())
    product(b"Designator,Qty,MPN,Manufacturer,Package\nR1,1,GR-1,Kelvarn,0402\nR2,1,X,Y,0402\nR3,1,Z,Y,0402\n", "B")
    assert all(stale(first).values())


def test_alternates_in_a_cell_and_in_rows_of_their_own_are_parts_of_the_line(database, product):
    product(
        b"Designator,Qty,MPN,Manufacturer,Description,Package\n"
        b"R1,1,GR-1 or GR-9,Kelvarn,chip resistor,0402\n"
        b"U2,1,ZX7001,Norrlund,single buffer,SOT-23-5\n"
        b",,YY8002,Ostrava Semi,single buffer,\n"
        b"C1,1,00471,Ostrava Caps,capacitor,0603\n"
    )
    found = links(database)
    assert (found["R1"], found["U2"], found["C1"]) == (["GR-1", "GR-9"], ["ZX7001", "YY8002"], ["00471"])
    with database.read() as session:
        other = session.exec(select(PartRow).where(PartRow.label == "YY8002")).one()
    # It goes to the same lands.
    assert (other.package, other.prefix) == ("SOT-23-5", "U")
