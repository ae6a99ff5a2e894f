"""How a product stands: the counters of its case, the gate they mean and what is next."""

from dataclasses import dataclass
from enum import StrEnum


class Gate(StrEnum):
    """The gates that findings decide about, in order. Heat, tests and release come after these."""

    NONE = "none"
    SCREENED = "screened"
    RESOLVED = "resolved"

    @property
    def words(self) -> str:
        """What people read."""
        return "not screened" if self is Gate.NONE else self.value


@dataclass(frozen=True, slots=True)
class NextStep:
    """What is next: ``key`` for links ("route", "assess", "review", "data", "carry-out", "refused", "none"), words,
    and whose turn it is (a role; "" when nobody's)."""

    key: str
    words: str
    who: str


@dataclass(frozen=True, slots=True)
class Counters:
    """The counters stored with a case, see store.cases; the defaults are those of a product without a route."""

    has_route: bool = False
    is_candidate: bool = False
    assessed: bool = False
    stale: bool = False
    readiness: float | None = None
    open_blocks: int = 0
    open_change: int = 0
    open_prove: int = 0
    open_board_step_product: int = 0
    waiting: int = 0
    reopened: int = 0
    wanting: int = 0
    planned: int = 0
    refused: int = 0

    @property
    def open(self) -> int:
        """All that is open."""
        return self.open_blocks + self.open_change + self.open_prove

    @property
    def gate(self) -> Gate:
        """Screened: a candidate route has been assessed. Resolved: nothing is open, on the present inputs."""
        if not (self.is_candidate and self.assessed):
            return Gate.NONE
        return Gate.RESOLVED if self.open == 0 and not self.stale else Gate.SCREENED

    @property
    def next_step(self) -> NextStep:
        """The one thing that comes first: data before decisions, since data settle findings without one."""
        if not self.is_candidate:
            return NextStep("route", "choose a candidate route", "engineer")
        if not self.assessed:
            return NextStep("assess", "being assessed", "")
        steps = (
            (self.reopened, NextStep("review", f"decide again on {self.reopened}", "reviewer")),
            (self.wanting, NextStep("data", f"give data for {_findings(self.wanting)}", "engineer")),
            (self.waiting, NextStep("review", f"decide on {_findings(self.waiting)}", "reviewer")),
            (self.planned, NextStep("carry-out", f"carry out the change for {_findings(self.planned)}", "engineer")),
            (self.refused, NextStep("refused", f"change the product: {self.refused} refused", "engineer")),
        )
        return next((step for count, step in steps if count), NextStep("none", "nothing open", ""))


def _findings(count: int) -> str:
    return "1 finding" if count == 1 else f"{count} findings"
