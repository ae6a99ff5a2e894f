import pytest

from tests.boms import HARBOUR
from webapp.desk import commits, uploads
from webapp.store import product_reads
from webapp.store.product_reads import LineView, ShowLines
from webapp.trade.people import Role


@pytest.fixture
def revision_id(database, settings, add_person):
    """The harbour logger, committed."""
    person = add_person(Role.ENGINEER)
    new = uploads.NewUpload(uploads.UploadedFile("harbour.csv", HARBOUR), uploads.new_form_key())
    token = uploads.start_upload(database, settings, person, new)
    commits.commit_upload(database, person, token, 1, commits.NewProduct("HL-2", "Harbour logger"))
    with database.read() as session:
        product = product_reads.product_by_code(session, "hl-2")
        return product_reads.last_revision(session, product.id).id


@pytest.fixture
def rows(database, revision_id):
    """``rows(search=..., show=..., sort=...)`` gives the file's rows of the lines found."""

    def find(**view):
        with database.read() as session:
            found, total = product_reads.find_lines(session, revision_id, LineView(**view))
            assert total == len(found)
            return [line.row for line in found]

    return find


# Rows of tests/boms.py HARBOUR: 3 R1 R2, 4 R3-R5, 5 C1 C10, 6 U1, 7 FD1, 9 J1 (not fitted).
@pytest.mark.parametrize(
    ("show", "expected"),
    [
        (ShowLines.ALL, [3, 4, 5, 6, 7, 9]),
        (ShowLines.FITTED, [3, 4, 5, 6]),
        (ShowLines.DNP, [9]),
        (ShowLines.EXCLUDED, [7]),
        (ShowLines.LOOSE, []),
        (ShowLines.DOUBTS, []),
    ],
)
def test_which_lines_are_shown(rows, show, expected):
    assert rows(show=show) == expected


@pytest.mark.parametrize(
    ("search", "expected"),
    [
        ("C1", [5]),  # the designator, not C10
        ("c10", [5]),
        ("gr-", [3, 4]),
        ("KELVARN", [3, 4, 9]),
        ("%", []),
        ("_", []),
        ("10k", [3]),
        ("qfn", [6]),
        ("  ostrava   caps ", [5]),
        ("nothing of the kind", []),
    ],
)
def test_what_is_found(rows, search, expected):
    assert rows(search=search) == expected


@pytest.mark.parametrize(
    ("sort", "expected"),
    [
        ("refdes", [5, 7, 9, 3, 4, 6]),
        ("-refdes", [6, 4, 3, 9, 7, 5]),
        ("mpn", [5, 9, 3, 4, 6, 7]),  # what is not known last
        ("-mpn", [6, 4, 3, 9, 5, 7]),
        ("qty", [6, 7, 9, 3, 5, 4]),
        ("-qty", [4, 3, 5, 6, 7, 9]),
    ],
)
def test_the_order(rows, sort, expected):
    assert rows(sort=sort) == expected


def test_pages_of_lines(database, revision_id):
    with database.read() as session:
        found, total = product_reads.find_lines(session, revision_id, LineView(), offset=4, limit=4)
    assert ([line.row for line in found], total) == ([7, 9], 6)


def test_products_are_listed_and_found(database, revision_id):
    with database.read() as session:
        (entry,), total = product_reads.list_products(session, "", 0, 10)
        assert (entry.code, entry.revision, entry.line_count, entry.fitted_count, total) == ("HL-2", 1, 6, 8, 1)
        assert product_reads.list_products(session, "harbOUR", 0, 10)[1] == 1
        assert product_reads.list_products(session, "hl-2", 0, 10)[1] == 1
        assert product_reads.list_products(session, "HL_2", 0, 10)[1] == 0
        assert product_reads.list_products(session, "", 1, 10) == ([], 1)
