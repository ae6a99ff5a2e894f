"""``demo``: throw the local database away and load the demo again."""

from typing import Annotated

import typer

from webapp.cli.output import DbOption, JsonOption, emit_json, opened, read_settings, reporting
from webapp.desk.demo import DEMO_PEOPLE, delete_local_data, load_demo
from webapp.desk.demo_products import load_demo_products
from webapp.desk.demo_reviews import load_demo_reviews
from webapp.desk.passwords import Passwords
from webapp.errors import InvalidInputError

app = typer.Typer(no_args_is_help=True, help="The demo data.")


@app.callback()
def main() -> None:
    """The demo data."""


@app.command("reset")
def reset(
    yes: Annotated[bool, typer.Option("--yes", help="Delete the local database and the uploaded files.")] = False,
    own_people_too: Annotated[
        bool, typer.Option("--own-people-too", help="Also when there are people who are no demo accounts.")
    ] = False,
    db: DbOption = "",
    as_json: JsonOption = False,
) -> None:
    """Delete the local SQLite database and the uploaded files, and load the demo again. Stop the server first."""
    with reporting(as_json=as_json):
        if not yes:
            raise InvalidInputError("This deletes the local database: say --yes.", field="yes")
        settings = read_settings(db)
        delete_local_data(settings, own_people_too=own_people_too)
        with opened(settings) as database:
            passwords = Passwords()
            load_demo(database, passwords)
            not_loaded = load_demo_products(database, settings)
            not_reviewed = load_demo_reviews(database, settings, passwords)
        if as_json:
            emit_json(
                {
                    "database": settings.db_url,
                    "people": [person.login for person in DEMO_PEOPLE],
                    "products_not_loaded": {failure.code: failure.reason for failure in not_loaded},
                    "reviews_not_loaded": not_reviewed.reason if not_reviewed else "",
                }
            )
        else:
            typer.echo(f"The demo is loaded anew into {settings.db_url}.")
            for failure in (*not_loaded, *([not_reviewed] if not_reviewed else ())):
                typer.echo(failure.words, err=True)
