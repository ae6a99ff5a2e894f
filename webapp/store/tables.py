"""All tables in one place: whoever needs the whole metadata (migrations, tests) imports it from here."""

from webapp.store import files, people, products, sessions, throttle, uploads
from webapp.store.base import metadata

__all__ = ["files", "metadata", "people", "products", "sessions", "throttle", "uploads"]
