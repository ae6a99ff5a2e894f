"""What the ledger records: the kinds of entries, and the hash that chains them."""

import json
from collections.abc import Mapping
from datetime import UTC, datetime
from enum import StrEnum
from hashlib import sha256
from typing import Any

FIRST_HASH = "0" * 64
"""In place of the previous hash before the first entry."""


class EntryKind(StrEnum):
    """Kinds of entries; the values are stored and shown."""

    BOM_COMMITTED = "BOM committed"
    VALUE_STATED = "part value stated"
    VALUE_WITHDRAWN = "part value withdrawn"
    APPROVAL_CHANGED = "approval of a part changed"
    DECLARED = "declaration made"
    DECLARATION_WITHDRAWN = "declaration withdrawn"
    SETUP_SAVED = "setup saved"
    ROUTE_SAVED = "route saved"
    ROUTE_REMOVED = "route removed"
    ALLOY_SAVED = "alloy saved"
    ALLOY_RETIRED = "alloy retired"
    PASTE_SAVED = "paste saved"
    PASTE_RETIRED = "paste retired"
    FIGURE_SET = "figure set"
    FIGURE_RESET = "figure reset"
    PRODUCT_DESCRIBED = "product described"
    DECIDED = "decision signed"
    DECISION_WITHDRAWN = "decision withdrawn"
    ACTION_ADDED = "action added"
    ACTION_CHANGED = "action changed"
    PERSON_ADDED = "person added"
    PERSON_CHANGED = "person changed"
    PASSWORD_SET = "password set"  # noqa: S105


def canonical(detail: Mapping[str, Any]) -> str:
    """``detail`` as JSON in the one way that is hashed; ValueError for NaN, TypeError for what JSON cannot hold."""
    return json.dumps(detail, sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False)


def entry_hash(*, number: int, at: datetime, actor: str, kind: str, subject: str, detail: str, previous: str) -> str:
    """sha256, in hexadecimal, over the canonical JSON of an entry; ``detail`` is canonical JSON itself."""
    fields = {
        "number": number,
        "at": at.astimezone(UTC).isoformat(timespec="microseconds"),
        "actor": actor,
        "kind": kind,
        "subject": subject,
        "detail": detail,
        "previous": previous,
    }
    return sha256(canonical(fields).encode()).hexdigest()
