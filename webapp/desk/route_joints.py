"""Which step of a route makes which joints, for the page that shows routes side by side."""

from collections.abc import Iterable
from dataclasses import dataclass

from sqlmodel import Session

from webapp.checks.columns import Columns, route_arrays
from webapp.desk.assessing import load_case
from webapp.trade.route import Route


@dataclass(frozen=True, slots=True)
class StepJoints:
    """Designators whose joints a step makes, and those where it may be this step or another (side or mounting not
    known)."""

    sure: tuple[str, ...]
    maybe: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RouteJoints:
    """For every step its joints; ``left_over``: designators that no step of the route solders."""

    steps: tuple[StepJoints, ...]
    left_over: tuple[str, ...]


def joints_made(session: Session, case_id: int, routes: Iterable[Route]) -> list[RouteJoints]:
    """What each of ``routes`` does with the lines of a case; empty for a case that is retired."""
    loaded = load_case(session, case_id)
    if loaded is None:
        return []
    columns = Columns(loaded.case)
    return [_joints(columns, route) for route in routes]


def _joints(columns: Columns, route: Route) -> RouteJoints:
    arrays = route_arrays(columns, route)
    # Alternates go to the same places: of a place the earliest and the latest step of any of them.
    ends: dict[str, tuple[int, int]] = {}
    for line, first, last in zip(
        columns.case.lines, arrays.first_made.tolist(), arrays.last_made.tolist(), strict=True
    ):
        for name in line.refdes:
            low, high = ends.get(name, (first, last))
            ends[name] = (min(low, first), max(high, last))
    sure: list[list[str]] = [[] for _ in range(len(route.steps) + 1)]
    maybe: list[list[str]] = [[] for _ in range(len(route.steps) + 1)]
    for name, (low, high) in ends.items():
        if low == high:
            sure[low].append(name)
            continue
        for step in range(low, high + 1):
            if step == len(route.steps) or route.steps[step].kind.makes_joints:
                maybe[step].append(name)
    steps = tuple(StepJoints(tuple(a), tuple(b)) for a, b in zip(sure[:-1], maybe[:-1], strict=True))
    return RouteJoints(steps, tuple(sure[-1]))
