"""Where the files beside the code are: templates, static files, migrations, seed data."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def resource_dir(name: str) -> Path:
    """Folder ``name``: inside the package in an installed wheel, beside it in a checkout."""
    inside = _PACKAGE / "_resources" / name
    return inside if inside.is_dir() else _PACKAGE.parent / name
