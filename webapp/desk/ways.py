"""What single change would clear a finding, worked out on its case as it stands now. Only reads."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import Session

from webapp.desk import cases, routes
from webapp.desk.assessing import load_case
from webapp.desk.routes import ProductRoute
from webapp.errors import NotFoundError
from webapp.planning.ways import Ways, ways_for
from webapp.store.cases import AssessmentCaseRow, FindingRow


@dataclass(frozen=True, slots=True)
class FindingWays:
    """``ways``: None where the case as it is now has no such finding any more; ``is_current``: it is computed from what
    the stored finding was; ``part_ids``: ids of the case's parts; ``route``: the route as stored."""

    row: FindingRow
    ways: Ways | None
    is_current: bool
    part_ids: Sequence[int]
    route: ProductRoute


def finding_ways(session: Session, finding_id: int) -> FindingWays:
    """The ways for one finding; NotFoundError when it is gone or its case is retired."""
    row = cases.finding_by_id(session, finding_id)
    loaded = load_case(session, row.case_id)
    case_row = session.get(AssessmentCaseRow, row.case_id)
    if loaded is None or case_row is None:
        raise NotFoundError("There is no such finding any more: another revision or route has taken its place.")
    ways = ways_for(loaded.case, row.key)
    is_current = ways is not None and ways.finding.fingerprint == row.fingerprint
    return FindingWays(row, ways, is_current, loaded.part_ids, routes.route_by_id(session, case_row.route_id))
