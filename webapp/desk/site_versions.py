"""What saving the site's own alloys, pastes and figures has in common: versions that end and follow each other."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from sqlalchemy.exc import IntegrityError
from sqlmodel import Session

from webapp.errors import ConflictError
from webapp.store.base import utc_now
from webapp.store.site import Past, SiteAlloyRow, SiteFigureRow, SitePasteRow, SiteUse, Versioned
from webapp.trade.people import Person

TAKEN_MEANWHILE = "Somebody else saved this meanwhile. Load the page again to see what stands there now."
_SHOWN_USES = 3
_Row = TypeVar("_Row", SiteAlloyRow, SitePasteRow, SiteFigureRow)


@dataclass(frozen=True, slots=True)
class Change:
    """What an event changed: ``before`` "" where nothing held."""

    label: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Event:
    """One saving, or the end (``changes`` is then empty) of an alloy, a paste or a figure."""

    at: datetime
    by: str
    version: int
    changes: tuple[Change, ...]
    ended: bool = False


def events(history: Sequence[Past[_Row]], words: Callable[[_Row], Mapping[str, str]]) -> list[Event]:
    """The history as people read it, the newest first. ``words``: label -> value of a row in words."""
    found: list[Event] = []
    before: Mapping[str, str] = {}
    for past in reversed(history):
        row, now = past.row, words(past.row)
        changes = tuple(
            Change(label, before.get(label, ""), now.get(label, ""))
            for label in {**before, **now}
            if before.get(label, "") != now.get(label, "")
        )
        found.append(Event(row.saved_at, past.saved_by, row.version, changes))
        before = now
        if row.ended_at is not None and past.ended_by is not None:
            found.append(Event(row.ended_at, past.ended_by, row.version, (), ended=True))
            before = {}
    return found[::-1]


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
    """Put ``after`` in the place of ``before``, which ends at the moment that it begins.

    ConflictError where another person put one there first.
    """
    if before is not None:
        before.ended_at, before.ended_by = after.saved_at, person.id
        session.flush()
    session.add(after)
    try:
        session.flush()
    except IntegrityError as error:
        raise ConflictError(TAKEN_MEANWHILE) from error


def end(session: Session, person: Person, row: Versioned) -> None:
    """Let it end with nothing in its place."""
    row.ended_at, row.ended_by = utc_now(), person.id
    session.flush()


def use_words(uses: Iterable[SiteUse]) -> list[str]:
    """ "HL-2, today": the first few uses, and how many more there are."""
    words = [f"{use.code}, route {use.route}" for use in uses]
    more = len(words) - _SHOWN_USES
    return words if more <= 0 else [*words[:_SHOWN_USES], f"and {more} more"]
