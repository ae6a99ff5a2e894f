"""``python -m webapp``: all commands."""

import typer

from webapp.cli import bom, demo, people, serve

app = typer.Typer(no_args_is_help=True, pretty_exceptions_enable=False, add_completion=False)
app.command("serve")(serve.serve)
app.add_typer(bom.app, name="bom")
app.add_typer(people.app, name="people")
app.add_typer(demo.app, name="demo")


@app.callback()
def main() -> None:
    """Meltline: plan the conversion of soldered products to low-temperature tin-bismuth."""
