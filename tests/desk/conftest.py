"""Fixtures of the use-cases around uploading: both kinds of database, an engineer, a draft."""

import pytest
from sqlmodel import select

from tests.boms import HARBOUR
from webapp.desk import assessing, cases, commits, drafts, routes, uploads
from webapp.desk.commits import NewProduct
from webapp.store import migrate, product_reads
from webapp.store.engine import open_database
from webapp.store.parts import PartRow
from webapp.trade.people import Role


@pytest.fixture
def person(add_person):
    """An engineer."""
    return add_person(Role.ENGINEER)


@pytest.fixture
def upload(database, settings, person):
    """``upload(content, filename)`` makes a draft and gives its token."""

    def start(content=HARBOUR, filename="harbour.csv", *, by=None, form_key="", **more):
        file = uploads.UploadedFile(filename, content)
        new = uploads.NewUpload(file, form_key or uploads.new_form_key(), **more)
        return uploads.start_upload(database, settings, by or person, new)

    return start


@pytest.fixture
def draft(database, person):
    """``draft(token)`` is the draft as it is now."""

    def load(token):
        with database.read() as session:
            return drafts.open_draft(session, person, token)

    return load


class OnPostgres:
    """Mixed into a class of tests: they run on PostgreSQL instead of SQLite."""

    @pytest.fixture
    def database(self, settings, postgres_url):
        """A migrated PostgreSQL database without any rows."""
        opened = open_database(postgres_url)
        migrate.upgrade(opened)
        yield opened
        opened.close()


@pytest.fixture
def product(database, person, upload, draft):
    """``product(content)`` commits a BOM as the first revision of a product and gives the product's id."""

    def make(content=HARBOUR, code="HL-2", **more):
        token = upload(content, **more)
        commits.commit_upload(database, person, token, draft(token).version, NewProduct(code, code))
        with database.read() as session:
            return product_reads.product_by_code(session, code).id

    return make


@pytest.fixture
def routed(database, person, product):
    """``routed(...)`` is ``product(...)`` with today's route and a low-temperature candidate, assessed."""

    def make(*args, template="two-sided-low-temperature", **more):
        product_id = product(*args, **more)
        with database.command() as session:
            routes.new_route_from_template(session, person, product_id, template)
        assessing.reassess(database, product_id)
        return product_id

    return make


@pytest.fixture
def part_id(database):
    """``part_id("GR-104-X7")`` is the id of the part with that label."""

    def find(label):
        with database.read() as session:
            return session.exec(select(PartRow.id).where(PartRow.label == label)).one()

    return find


@pytest.fixture
def stale(database):
    """``stale(product_id)``: whether each of the product's cases waits for assessment, by route."""

    def look(product_id):
        with database.read() as session:
            return {entry.name: entry.stale for entry in cases.cases_of(session, product_id)}

    return look
