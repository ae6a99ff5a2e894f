"""What saving the site's own alloys, pastes and figures has in common: versions that end and follow each other."""

from collections.abc import Iterable, Mapping
from typing import Any

from sqlmodel import Session

from webapp.errors import ConflictError
from webapp.store.base import utc_now
from webapp.store.site import SiteUse, Versioned
from webapp.trade.people import Person

_SHOWN_USES = 3


def check(row: Versioned | None, version: int, message: str) -> None:
    """ConflictError unless ``row`` (None: nothing holds) is what was seen; ``version`` 0 is nothing."""
    if (row.version if row is not None else 0) != version:
        raise ConflictError(message)


def same(row: Versioned, values: Mapping[str, object]) -> bool:
    """Whether the row says the same already: an edit that changes nothing is none."""
    return all(getattr(row, name) == value for name, value in values.items())


def stamp(person: Person, version: int) -> dict[str, Any]:
    """Who saves a new row, when, and which version it is."""
    return {"version": version, "saved_by": person.id, "saved_at": utc_now()}


def succeed(session: Session, person: Person, before: Versioned | None, after: Versioned) -> None:
    """Put ``after`` in the place of ``before``, which ends at the moment that it begins."""
    if before is not None:
        before.ended_at, before.ended_by = after.saved_at, person.id
        session.flush()
    session.add(after)
    session.flush()


def end(session: Session, person: Person, row: Versioned) -> None:
    """Let it end with nothing in its place."""
    row.ended_at, row.ended_by = utc_now(), person.id
    session.flush()


def use_words(uses: Iterable[SiteUse]) -> list[str]:
    """ "HL-2, today": the first few uses, and how many more there are."""
    words = [f"{use.code}, route {use.route}" for use in uses]
    more = len(words) - _SHOWN_USES
    return words if more <= 0 else [*words[:_SHOWN_USES], f"and {more} more"]
