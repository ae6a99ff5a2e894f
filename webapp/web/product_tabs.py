"""The tabs of a product: its parts, on every page of it in the same order."""

from collections.abc import Sequence
from enum import StrEnum
from urllib.parse import urlencode

from webapp.desk.cases import CaseEntry

TabItem = tuple[str, str, bool, int | None]


class Tab(StrEnum):
    """The parts of a product; the value is the last piece of the address, "" for the product's own page."""

    BOM = ""
    SETUP = "setup"
    ROUTE = "route"
    FINDINGS = "findings"
    JOINTS = "joints"


_NAMES = {Tab.BOM: "BOM", Tab.SETUP: "Setup", Tab.ROUTE: "Route", Tab.FINDINGS: "Findings", Tab.JOINTS: "Joints"}


def tabs_of(
    address: str, current: Tab, line_count: int, cases: Sequence[CaseEntry], looked_at: CaseEntry | None = None
) -> list[TabItem]:
    """The tabs as the ``tabs`` macro takes them.

    ``address``: that of the product. Counted are the lines of the newest revision, the routes, and the findings that
    the case ``looked_at`` shows, else the first candidate (where there is none: today's route).
    """
    findings = _shown(looked_at or next((entry for entry in cases if not entry.is_today), cases[0] if cases else None))
    counts = {Tab.BOM: line_count, Tab.SETUP: None, Tab.ROUTE: len(cases), Tab.FINDINGS: findings, Tab.JOINTS: None}
    return [(name, f"{address}/{tab}" if tab else address, tab is current, counts[tab]) for tab, name in _NAMES.items()]


def _shown(case: CaseEntry | None) -> int | None:
    if case is None or case.assessed_at is None:
        return None
    row = case.row
    return row.blocks + row.change + row.prove + row.gain if case.is_today else row.shown


def joint_address(address: str, part_id: int, case: str = "", step: int | None = None) -> str:
    """The page of a part's ball joints; ``address``: that of the product, ``case``: name of the route, ``step``: number
    of the step that makes them."""
    query = {name: value for name, value in (("case", case), ("step", step)) if value}
    return f"{address}/{Tab.JOINTS}/{part_id}{f'?{urlencode(query)}' if query else ''}"
