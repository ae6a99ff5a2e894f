"""Fixtures of the use-cases around uploading: both kinds of database, an engineer, a draft."""

import pytest

from tests.boms import HARBOUR
from webapp.desk import drafts, uploads
from webapp.store import migrate
from webapp.store.engine import open_database
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
