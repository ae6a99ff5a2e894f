"""Decisions on findings: what a reviewer may sign, and how a finding stands because of it."""

from datetime import UTC, date, datetime
from enum import StrEnum

from webapp.errors import InvalidInputError
from webapp.trade.typed_text import tidy_line, tidy_lines

REASON_LENGTH = (3, 2000)
CHANGE_LENGTH = 500
MOST_LOTS = 100_000
OPEN_VERDICTS = ("blocks", "change", "prove")
"""Verdicts that somebody has to do something about, gravest first."""
BULK_VERDICTS = ("change", "prove")
"""Verdicts that may be signed many at a time; what blocks is signed one by one."""


class DecisionKind(StrEnum):
    """What is signed. The value is stored and written in forms."""

    ACCEPT = "accept"
    RESOLVED = "resolved"
    REFUSE = "refuse"

    @property
    def meaning(self) -> str:
        """What it does, in one sentence."""
        return _MEANINGS[self]


_MEANINGS = {
    DecisionKind.ACCEPT: "The finding is known and taken as it is, for a reason.",
    DecisionKind.RESOLVED: "A planned change settles it; it closes as done once the finding is gone.",
    DecisionKind.REFUSE: "It stays open and keeps the product from being ready; it leaves the queue.",
}


class Standing(StrEnum):
    """How a finding stands. Stored with it whenever it is assessed or decided on."""

    NONE = "none"
    UNDECIDED = "undecided"
    STALE = "stale"
    EXPIRED = "expired"
    ACCEPTED = "accepted"
    PLANNED = "planned"
    REFUSED = "refused"

    @property
    def words(self) -> str:
        """What it means, in a few words."""
        return _STANDINGS[self]


_STANDINGS = {
    Standing.NONE: "nothing to decide",
    Standing.UNDECIDED: "not decided",
    Standing.STALE: "open again: signed on other inputs",
    Standing.EXPIRED: "open again: the acceptance has run out",
    Standing.ACCEPTED: "accepted",
    Standing.PLANNED: "a change is planned",
    Standing.REFUSED: "refused: it stays open",
}
WAITING = (Standing.UNDECIDED, Standing.STALE, Standing.EXPIRED)
"""What waits for a reviewer."""
OPEN = (*WAITING, Standing.REFUSED)
"""What keeps a product from being ready."""


def today() -> date:
    """The day by which acceptances run out: in UTC, so that it is the same on every machine."""
    return datetime.now(UTC).date()


def tidy_reason(text: str) -> str:
    """The reason, line ends kept; InvalidInputError (``reason``) when it is missing or too long."""
    reason = tidy_lines(text, field="reason")
    low, high = REASON_LENGTH
    if not low <= len(reason) <= high:
        raise InvalidInputError(f"Give the reason, in {low} to {high} characters.", field="reason")
    return reason


def tidy_change(kind: DecisionKind, text: str) -> str:
    """The planned change that ``resolved`` names ("" for other kinds); InvalidInputError (``change``) without one."""
    change = tidy_line(text, field="change")
    if kind is not DecisionKind.RESOLVED:
        return ""
    if not 1 <= len(change) <= CHANGE_LENGTH:
        raise InvalidInputError(
            f"Name the change that settles it, in at most {CHANGE_LENGTH} characters.", field="change"
        )
    return change


def read_expiry(text: str, on: date) -> date | None:
    """The last day of an acceptance, "" for none; InvalidInputError (``expires_on``) unless it is ``on`` or later."""
    if not (text := text.strip()):
        return None
    try:
        expires = date.fromisoformat(text)
    except ValueError:
        raise InvalidInputError("Write the date as 2027-05-31.", field="expires_on") from None
    if expires < on:
        raise InvalidInputError(f"{expires.isoformat()} has passed already.", field="expires_on")
    return expires


def read_lots(text: str) -> int | None:
    """For how many lots an acceptance holds, "" for no limit; InvalidInputError (``lot_limit``) for no such number."""
    if not (text := text.strip()):
        return None
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:9]) <= MOST_LOTS):
        raise InvalidInputError(f"A number of lots from 1 to {MOST_LOTS:,}.", field="lot_limit")
    return int(text)
