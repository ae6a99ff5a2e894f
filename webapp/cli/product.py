"""``product`` and ``route``: products from files, and the routes they may start with."""

from pathlib import Path
from typing import Annotated

import typer

from webapp.cli.assess import show
from webapp.cli.bom import content_of
from webapp.cli.output import DbOption, JsonOption, emit_json, opened, read_settings, reporting, table
from webapp.desk.accounts import command_line_person
from webapp.desk.new_product import ProductFromFiles, new_product
from webapp.desk.passwords import Passwords
from webapp.desk.uploads import UploadedFile
from webapp.errors import InvalidInputError
from webapp.trade.route_templates import LOW, RouteTemplate, route_templates

app = typer.Typer(no_args_is_help=True, help="Products.")
routes_app = typer.Typer(no_args_is_help=True, help="Routes.")


@app.callback()
def products() -> None:
    """Products."""


@app.command("new")
def new(
    code: str,
    bom: Annotated[Path, typer.Option("--bom", help="The bill of materials; becomes revision 1.")],
    route: Annotated[str, typer.Option("--route", help="Route template: see `route templates`.")],
    placement: Annotated[
        Path | None, typer.Option("--placement", help="A placement file, for the sides of the parts.")
    ] = None,
    paste: Annotated[str, typer.Option(help=f"Low-temperature paste by name, or its alloy; {LOW} without it.")] = "",
    declare_lead_free: Annotated[
        str | None,
        typer.Option(metavar="REFERENCE", help="A supplier's declaration: the parts of this BOM are lead-free."),
    ] = None,
    by: Annotated[str, typer.Option(metavar="LOGIN", help="Who makes it; the command line's account without.")] = "",
    as_json: JsonOption = False,
    db: DbOption = "",
) -> None:
    """Make the product CODE from files, assess it and show the result. Exit 3 when the file is no board BOM."""
    with reporting(as_json=as_json):
        if declare_lead_free is not None and not declare_lead_free.strip():
            raise InvalidInputError(
                "Name the document that declares the parts lead-free, or leave the option out.",
                field="declare_lead_free",
            )
        files = ProductFromFiles(
            code=code,
            bom=_file(bom),
            template=route,
            placement=_file(placement) if placement else None,
            paste=paste,
            lead_free=declare_lead_free or "",
        )
        settings = read_settings(db)
        with opened(settings) as database:
            person = command_line_person(database, Passwords(), by)
            show(database, new_product(database, settings, person, files), "", as_json=as_json)


@routes_app.callback()
def routes() -> None:
    """Routes."""


@routes_app.command("templates")
def templates(as_json: JsonOption = False) -> None:
    """List the route templates."""
    if as_json:
        emit_json({"templates": [_document(template) for template in route_templates()]})
    else:
        typer.echo(table(("template", "what it is"), [(t.name, t.words) for t in route_templates()]))


def _file(path: Path) -> UploadedFile:
    return UploadedFile(path.name, content_of(path))


def _document(template: RouteTemplate) -> dict[str, object]:
    candidate = template.candidate(LOW)
    return {
        "name": template.name,
        "description": template.words,
        "today": [step.title for step in template.today.steps],
        "candidate": [step.title for step in candidate.steps],
    }
