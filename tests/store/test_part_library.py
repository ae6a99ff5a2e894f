"""Lists of the part library."""

import pytest

from tests.desk.conftest import OnPostgres
from webapp.store.base import utc_now
from webapp.store.part_library import LibraryView, find_parts, makers, product_counts, products_using
from webapp.store.parts import PartRow, PartUseRow
from webapp.store.products import ProductRow
from webapp.trade.people import Role

PARTS = (("MX-9", "Norrlund"), ("mx-10", None), ("GR-1", "kelvarn"), ("GR-2", "Kelvarn"), ("CN-4", "Ostrava"))


@pytest.fixture
def rows(database, add_person):
    """Five parts, two products and an archived one, which use the first three in this way."""
    person = add_person(Role.ENGINEER)
    with database.command() as session:
        parts = [
            PartRow(key=label, label=label, maker=maker, maker_key=(maker or "").casefold(), created_at=utc_now())
            for label, maker in PARTS
        ]
        products = [
            ProductRow(code=code, code_key=code, name=code, created_by=person.id, created_at=utc_now())
            for code in ("a", "b", "old")
        ]
        session.add_all([*parts, *products])
        session.flush()
        products[2].archived_at = utc_now()
        for part, product in ((0, 0), (0, 1), (1, 1), (2, 2)):
            session.add(PartUseRow(part_id=parts[part].id, product_id=products[product].id))
        return {"parts": [part.id for part in parts], "products": [product.id for product in products]}


class TestLists:
    def test_in_order_from_an_offset_on_with_how_many_there_are(self, database, rows):
        with database.read() as session:
            found, total = find_parts(session, LibraryView(), offset=1, limit=3)
            assert ([row.label for row in found], total) == (["GR-1", "GR-2", "mx-10"], 5)
            found, _ = find_parts(session, LibraryView(sort="-maker"))
            assert [row.label for row in found] == ["CN-4", "MX-9", "GR-1", "GR-2", "mx-10"]

    def test_what_is_looked_for_is_found_as_it_stands(self, database, rows):
        with database.read() as session:
            found, total = find_parts(session, LibraryView(search="norr"))
            assert ([row.label for row in found], total) == (["MX-9"], 1)
            assert find_parts(session, LibraryView(search="100%"))[1] == 0

    def test_by_product(self, database, rows):
        a, b, _ = rows["products"]
        with database.read() as session:
            assert [row.label for row in find_parts(session, LibraryView(product_id=a))[0]] == ["MX-9"]
            assert [row.label for row in find_parts(session, LibraryView(product_id=b))[0]] == ["mx-10", "MX-9"]

    def test_archived_products_use_nothing(self, database, rows):
        mx9, mx10, gr1, gr2, _ = rows["parts"]
        with database.read() as session:
            assert product_counts(session, [mx9, mx10, gr1, gr2]) == {mx9: 2, mx10: 1}
            assert products_using(session, [mx10, gr1]) == {rows["products"][1]}

    def test_makers_with_most_parts_as_their_first_part_names_them(self, database, rows):
        with database.read() as session:
            assert makers(session, 10) == ["kelvarn", "Norrlund", "Ostrava"]
            assert makers(session, 1) == ["kelvarn"]


class TestListsOnPostgres(OnPostgres, TestLists):
    pass
