"""The tabs of a product: its parts, on every page of it in the same order."""

from collections.abc import Sequence
from enum import StrEnum

from webapp.desk.cases import CaseEntry

TabItem = tuple[str, str, bool, int | None]


class Tab(StrEnum):
    """The parts of a product; the value is the last piece of the address, "" for the product's own page."""

    BOM = ""
    SETUP = "setup"
    ROUTE = "route"
    FINDINGS = "findings"


_NAMES = {Tab.BOM: "BOM", Tab.SETUP: "Setup", Tab.ROUTE: "Route", Tab.FINDINGS: "Findings"}


def tabs_of(address: str, current: Tab, line_count: int, cases: Sequence[CaseEntry]) -> list[TabItem]:
    """The tabs as the ``tabs`` macro takes them.

    ``address``: that of the product. Counted are the lines of the newest revision, the routes, and the findings that
    the first candidate shows (where there is none: today's open ones).
    """
    counts = {Tab.BOM: line_count, Tab.SETUP: None, Tab.ROUTE: len(cases), Tab.FINDINGS: _shown(cases)}
    return [(name, f"{address}/{tab}" if tab else address, tab is current, counts[tab]) for tab, name in _NAMES.items()]


def _shown(cases: Sequence[CaseEntry]) -> int | None:
    first = next((entry for entry in cases if not entry.is_today), cases[0] if cases else None)
    if first is None or first.assessed_at is None:
        return None
    row = first.row
    return row.blocks + row.change + row.prove + row.gain if first.is_today else row.shown
