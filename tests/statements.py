"""Which statements a piece of work sends to the database."""

from contextlib import contextmanager

from sqlalchemy import event


@contextmanager
def statements(database):
    """A list that grows by every statement sent while the block runs."""
    seen = []

    def note(_connection, _cursor, statement, *_rest):
        seen.append(statement)

    event.listen(database.engine, "before_cursor_execute", note)
    try:
        yield seen
    finally:
        event.remove(database.engine, "before_cursor_execute", note)
