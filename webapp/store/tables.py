"""All tables in one place: whoever needs the whole metadata (migrations, tests) imports it from here."""

from webapp.store import people, sessions, throttle
from webapp.store.base import metadata

__all__ = ["metadata", "people", "sessions", "throttle"]
