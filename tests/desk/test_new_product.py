import pytest
from sqlmodel import func, select

from tests.boms import HARBOUR, NO_DESIGNATORS, PLACEMENT
from webapp.desk import cases
from webapp.desk.accounts import command_line_person
from webapp.desk.new_product import ProductFromFiles, new_product
from webapp.desk.uploads import UploadedFile
from webapp.errors import InvalidInputError, NotFoundError, NotUsableError, UnreadableFileError
from webapp.store import part_reads, product_reads
from webapp.store.people import people_exist
from webapp.store.products import ProductRow
from webapp.store.uploads import UploadRow

BOM = UploadedFile("harbour.csv", HARBOUR)
TEMPLATE = "two-sided-low-temperature"


def make(database, settings, person, **more):
    values = {"code": "HL-2", "bom": BOM, "template": TEMPLATE} | more
    return new_product(database, settings, person, ProductFromFiles(**values))


def test_in_one_go_assessed_with_its_declaration(database, settings, person):
    placement = UploadedFile("place.csv", PLACEMENT)
    code = make(database, settings, person, placement=placement, lead_free="declaration", paste="Sn42Bi58")
    with database.read() as session:
        product = product_reads.product_by_code(session, code)
        entries = cases.cases_of(session, product.id)
        declared = part_reads.list_declarations(session)
        lines = product_reads.lines_of(session, product_reads.last_revision(session, product.id).id)
    assert [(entry.name, entry.stale) for entry in entries] == [("today", False), ("low temperature", False)]
    assert [(entry.row.scope, entry.product_code, entry.row.reference) for entry in declared] == [
        ("bom", "HL-2", "declaration")
    ]
    assert lines[2].side == "bottom"


@pytest.mark.parametrize(
    ("more", "error", "field"),
    [
        ({"template": "none-such"}, NotFoundError, "route"),
        ({"paste": "Sn10Bi90"}, InvalidInputError, "paste"),
        ({"code": "#"}, InvalidInputError, "code"),
        ({"bom": UploadedFile("x.csv", NO_DESIGNATORS)}, NotUsableError, "file"),
        ({"bom": UploadedFile("x.csv", b"%PDF-1.7")}, UnreadableFileError, None),
        ({"placement": UploadedFile("x.csv", b"%PDF-1.7")}, UnreadableFileError, "placement"),
    ],
)
def test_what_is_refused_leaves_nothing(database, settings, person, more, error, field):
    with pytest.raises(error) as caught:
        make(database, settings, person, **more)
    assert field is None or caught.value.field == field
    with database.read() as session:
        for table in (ProductRow, UploadRow):
            assert session.exec(select(func.count()).select_from(table)).one() == 0


def test_a_code_that_is_taken_is_refused_whatever_its_case(database, settings, person):
    make(database, settings, person)
    with pytest.raises(InvalidInputError, match="product HL-2 already") as caught:
        make(database, settings, person, code="hl-2")
    assert caught.value.field == "code"


class TestCommandLinePerson:
    def test_is_made_once_closed_and_counts_as_nobody(self, database, passwords):
        person = command_line_person(database, passwords)
        assert command_line_person(database, passwords) == person
        assert person.roles == frozenset()
        with database.read() as session:
            assert not people_exist(session)

    def test_somebody_active_may_be_named(self, database, passwords, person):
        assert command_line_person(database, passwords, person.login.upper()) == person
        for login in ("nobody-here", "command-line"):
            with pytest.raises(NotFoundError) as caught:
                command_line_person(database, passwords, login)
            assert caught.value.field == "by"
