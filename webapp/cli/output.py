"""What all commands share: options, the way results and refusals are put out, opening the database."""

import json
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Annotated, Any

import typer
from pydantic import ValidationError
from sqlalchemy.exc import ArgumentError, DatabaseError
from typer.core import TyperGroup

from webapp.errors import InvalidInputError, MeltlineError, NotUsableError
from webapp.logs import configure_logs
from webapp.settings import Settings
from webapp.store import migrate
from webapp.store.engine import Database, open_database, sqlite_path

# Exit codes: done; input unreadable or refused; read, but not usable for this purpose.
DONE, REFUSED, NOT_USABLE = 0, 2, 3

JsonOption = Annotated[bool, typer.Option("--json", help="Put one JSON document alone on stdout.")]
DbOption = Annotated[str, typer.Option("--db", metavar="URL", help="The database, if not that of the settings.")]


@contextmanager
def reporting(*, as_json: bool) -> Iterator[None]:
    """Around a whole command: an error meant for a person becomes one line on stderr, JSON on stdout, exit 2 or 3."""
    try:
        yield
    except MeltlineError as error:
        if as_json:
            emit_json({"error": {"code": error.code, "message": error.message, "field": error.field}})
        typer.echo(error.message, err=True)
        raise typer.Exit(NOT_USABLE if isinstance(error, NotUsableError) else REFUSED) from error


# Typer has no public name for the base of its errors of usage.
_USAGE_ERROR = typer.BadParameter.__mro__[1]
_AS_JSON = "as_json"


class Commands(TyperGroup):
    """All commands: what is wrong with the words of a call is JSON too where JSON is asked for, exit 2."""

    def make_context(self, info_name: str | None, args: list[str], parent: Any = None, **extra: Any) -> Any:
        """The context; keeps whether JSON is asked for, as reading the words goes no farther than the mistake."""
        as_json = "--json" in args
        with _usage_told(as_json=as_json):
            context = super().make_context(info_name, args, parent, **extra)
        context.meta[_AS_JSON] = as_json
        return context

    def invoke(self, ctx: Any) -> Any:
        """Run the command that the words name."""
        with _usage_told(as_json=ctx.meta[_AS_JSON]):
            return super().invoke(ctx)


@contextmanager
def _usage_told(*, as_json: bool) -> Iterator[None]:
    try:
        yield
    except Exception as error:
        if not as_json or not isinstance(error, _USAGE_ERROR):
            raise
        told: Any = error
        message, param = told.format_message(), getattr(error, "param", None)
        field = param.name if param is not None else None
        emit_json({"error": {"code": "usage", "message": message, "field": field}})
        typer.echo(message, err=True)
        raise typer.Exit(REFUSED) from error


def emit_json(document: dict[str, Any] | list[Any]) -> None:
    """The one JSON document on stdout; a figure that is not finite is a mistake of ours, never NaN."""
    typer.echo(json.dumps(document, ensure_ascii=False, allow_nan=False, indent=2))


def read_settings(db: str = "") -> Settings:
    """The settings of the environment, with another database if ``db`` names one."""
    try:
        settings = Settings()
    except ValidationError as error:
        first = error.errors()[0]
        name = "MELTLINE_" + "_".join(str(part) for part in first["loc"]).upper()
        raise InvalidInputError(f"{name}: {first['msg']}.", field=name) from error
    return settings.model_copy(update={"database_url": db}) if db else settings


@contextmanager
def opened(settings: Settings) -> Iterator[Database]:
    """The database, brought to the newest migration; files made meanwhile are readable by their owner only."""
    configure_logs(as_json=settings.log_json)
    before = os.umask(0o077)
    try:
        database = _open(settings)
        try:
            yield database
        finally:
            database.close()
    finally:
        os.umask(before)


def _open(settings: Settings) -> Database:
    try:
        settings.data_dir.mkdir(parents=True, exist_ok=True)
        database = open_database(settings.db_url)
        migrate.upgrade(database)
        if path := sqlite_path(settings.db_url):
            path.chmod(0o600)
    except (ArgumentError, DatabaseError, OSError, ImportError) as error:
        reason = str(error.orig if isinstance(error, DatabaseError) else error).strip().splitlines()[0]
        raise InvalidInputError(f"The database cannot be opened: {reason}.", field="db", code="no_database") from error
    return database


def table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    """A plain text table, columns aligned."""
    widths = [max(len(row[column]) for row in [head, *rows]) for column in range(len(head))]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) for row in [head, *rows]]
    return "\n".join(line.rstrip() for line in lines)
