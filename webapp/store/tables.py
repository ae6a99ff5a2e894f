"""All tables in one place: whoever needs the whole metadata (migrations, tests) imports it from here."""

from webapp.store import (
    actions,
    cases,
    decisions,
    files,
    ledger,
    parts,
    people,
    portfolio,
    products,
    sessions,
    setups,
    site,
    throttle,
    uploads,
)
from webapp.store.base import metadata

__all__ = [
    "actions",
    "cases",
    "decisions",
    "files",
    "ledger",
    "metadata",
    "parts",
    "people",
    "portfolio",
    "products",
    "sessions",
    "setups",
    "site",
    "throttle",
    "uploads",
]
