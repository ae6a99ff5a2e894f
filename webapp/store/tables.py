"""All tables in one place: whoever needs the whole metadata (migrations, tests) imports it from here."""

from webapp.store import cases, files, parts, people, products, sessions, setups, throttle, uploads
from webapp.store.base import metadata

__all__ = ["cases", "files", "metadata", "parts", "people", "products", "sessions", "setups", "throttle", "uploads"]
