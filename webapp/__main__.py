"""``python -m webapp``: the command line."""

from webapp.cli.main import app

app()
