"""Alembic's entry: on the connection ``webapp.store.migrate`` hands over, or in development the settings' database."""

from typing import Any, Literal

import sqlalchemy as sa
from alembic import context
from alembic.autogenerate.api import AutogenContext
from sqlmodel.sql.sqltypes import AutoString

from webapp.settings import Settings
from webapp.store import migrate
from webapp.store.base import UtcDateTime
from webapp.store.engine import open_database
from webapp.store.tables import metadata


def render_item(kind: str, item: Any, _context: AutogenContext) -> str | Literal[False]:
    """Write our column types as plain SQLAlchemy ones: a migration must not change when the code does."""
    if kind == "type" and isinstance(item, UtcDateTime):
        return "sa.DateTime(timezone=True)"
    if kind == "type" and isinstance(item, AutoString):
        return f"sa.String(length={item.length})"
    return False


def run(connection: sa.Connection) -> None:
    """Run what alembic was asked for on this connection."""
    context.configure(
        connection=connection,
        target_metadata=metadata,
        render_as_batch=True,
        render_item=render_item,
        compare_type=True,
    )
    with context.begin_transaction():
        context.run_migrations()


handed_over = context.config.attributes.get("connection")
if handed_over is not None:
    run(handed_over)
else:
    database = open_database(Settings().db_url)
    with migrate.migrating(database) as config:
        run(config.attributes["connection"])
    database.close()
