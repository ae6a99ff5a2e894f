"""Where a value comes from, and how far it may be trusted."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Status(StrEnum):
    """How the value was come by, from the strongest to the weakest."""

    ENTERED = "entered"
    DECLARED = "declared"
    OPENED = "opened"
    DERIVED = "derived"
    PRACTICE = "practice"
    MEMORY = "memory"
    ASSUMED = "assumed"

    @property
    def may_block(self) -> bool:
        """Whether a value of this status may decide that something is not possible; others ask for proof at most."""
        return self in _FIRM

    @property
    def words(self) -> str:
        """The status as people read it."""
        return _STATUS_WORDS[self]


_FIRM = frozenset({Status.ENTERED, Status.DECLARED, Status.OPENED, Status.DERIVED})
_STATUS_WORDS = {
    Status.ENTERED: "entered here",
    Status.DECLARED: "declared by the maker or supplier",
    Status.OPENED: "read in a document",
    Status.DERIVED: "derived from values read",
    Status.PRACTICE: "common practice, no standard",
    Status.MEMORY: "from memory, not yet checked against the document",
    Status.ASSUMED: "assumed",
}


class Kind(StrEnum):
    """What the value was taken from."""

    DATASHEET = "datasheet"
    DECLARATION = "declaration"
    STANDARD = "standard table"
    SAME_PACKAGE = "same-package part"
    ASSUMED = "assumed"
    ENTERED = "entered"


@dataclass(frozen=True, slots=True)
class Source:
    """One origin: ``reference`` names the document, ``clause`` the place in it, ``note`` what else to know."""

    kind: Kind
    reference: str
    status: Status
    clause: str = ""
    note: str = ""

    @property
    def may_block(self) -> bool:
        """See ``Status.may_block``."""
        return self.status in _FIRM

    @property
    def words(self) -> str:
        """ "J-STD-020, Table 4-2 (read in a document)"."""
        where = ", ".join(part for part in (self.reference, self.clause) if part)
        return f"{where} ({self.status.words})" if where else self.status.words


def weakest(statuses: Iterable[Status]) -> Status:
    """The weakest of ``statuses``: a figure is no better than the poorest value in it. At least one is needed."""
    order = list(Status)
    return max(statuses, key=order.index)


FROM_PACKAGE = Source(Kind.ASSUMED, "assumed from package", Status.ASSUMED)
FROM_CLASS = Source(Kind.ASSUMED, "assumed from part class", Status.ASSUMED)
