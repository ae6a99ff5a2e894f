"""The ledger: who did what, in order, unchangeable. ``record`` is the one way in."""

from collections.abc import Mapping
from typing import Any

from sqlmodel import Session

from webapp.store import ledger
from webapp.trade.ledger import EntryKind
from webapp.trade.people import COMMAND_LINE, Person


def record(session: Session, actor: Person | None, kind: EntryKind, subject: str, detail: Mapping[str, Any]) -> None:
    """Record an entry, in the transaction of the command at hand: it is appended when the command ends, or not at all.

    ``actor`` None: the command line, or the set-up page. ``subject`` names the thing for people ("product HL-2"),
    ``detail`` holds what changed, as JSON takes it.
    """
    ledger.add_pending(session, actor.login if actor else COMMAND_LINE, kind, subject, detail)
