"""``python -m webapp``: all commands."""

import typer

from webapp.cli import assess, bom, demo, joint, ledger, melt, people, product, serve
from webapp.cli.output import Commands

app = typer.Typer(cls=Commands, no_args_is_help=True, pretty_exceptions_enable=False, add_completion=False)
app.command("serve")(serve.serve)
app.command("assess")(assess.assess)
app.add_typer(product.app, name="product")
app.add_typer(product.routes_app, name="route")
app.add_typer(bom.app, name="bom")
app.command("melt")(melt.melt)
app.add_typer(joint.app, name="joint")
app.add_typer(people.app, name="people")
app.add_typer(demo.app, name="demo")
app.add_typer(ledger.app, name="ledger")


@app.callback()
def main() -> None:
    """Meltline: plan the conversion of soldered products to low-temperature tin-bismuth."""
