"""``ledger verify``: whether every entry of the ledger is as it was written."""

import typer

from webapp.cli.output import DONE, NOT_USABLE, DbOption, JsonOption, emit_json, opened, read_settings, reporting
from webapp.store import ledger
from webapp.store.ledger import Verified

app = typer.Typer(no_args_is_help=True, help="The ledger.")


@app.callback()
def ledger_commands() -> None:
    """The ledger."""


@app.command("verify")
def verify(db: DbOption = "", as_json: JsonOption = False) -> None:
    """Recompute the chain of the whole ledger. Exit 3 when an entry is broken; the first one is named."""
    with reporting(as_json=as_json):
        with opened(read_settings(db)) as database, database.read() as session:
            found = ledger.verify(session)
        if as_json:
            emit_json({"entries": found.entries, "ok": found.ok, "first_broken": found.first_broken})
        else:
            typer.echo(_words(found))
        raise typer.Exit(DONE if found.ok else NOT_USABLE)


def _words(found: Verified) -> str:
    entries = f"{found.entries:,} {'entry' if found.entries == 1 else 'entries'}"
    if found.ok:
        return f"{entries}: every one is as it was written."
    return f"{entries}; entry {found.first_broken} is not as it was written, or is missing."
