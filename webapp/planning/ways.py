"""What single change clears a finding, and what that change breaks.

Every check has its makers of changes: what they offer is solved from the finding's limit and the site's margins, not
searched for. Each change is then tried on the whole case, so that what it opens elsewhere is seen. All of it screens.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain, islice

from webapp.checks.columns import Case
from webapp.checks.findings import Finding
from webapp.checks.verdicts import Verdict
from webapp.planning import datum_ways, heat_ways, part_ways, solder_ways
from webapp.planning.changes import Change, Place, on_todays_route
from webapp.planning.compare import Baseline, Way
from webapp.planning.subject import Subject

MOST_WAYS = 12
"""At most so many changes are tried, today's route among them."""

Maker = Callable[[Subject], Iterator[Change]]
_LEAD: tuple[Maker, ...] = (part_ways.lead_free,)
MAKERS: Mapping[str, tuple[Maker, ...]] = {
    "body-limit": (
        heat_ways.cooler_bodies,
        solder_ways.lower_pastes,
        part_ways.apart,
        part_ways.other_side,
    ),
    "passes": (part_ways.other_side, part_ways.apart),
    "never-oven": (part_ways.apart,),
    "bake-after-join": (
        heat_ways.gentler_bake,
        heat_ways.more_even,
        heat_ways.earlier,
        solder_ways.todays_paste,
        solder_ways.higher_pastes,
    ),
    "joint-forms": (heat_ways.into_window, heat_ways.more_even, solder_ways.lower_pastes, solder_ways.todays_paste),
    "lead-pickup": (*_LEAD, part_ways.apart, solder_ways.todays_paste),
    "finish-unknown": (datum_ways.if_lead_free, part_ways.apart, solder_ways.todays_paste),
    "ball-mixing": (
        part_ways.low_temperature_balls,
        solder_ways.todays_paste,
        solder_ways.melted_through,
    ),
    "rework-alloy": (solder_ways.own_wire, solder_ways.todays_paste),
    "heat-not-given": (heat_ways.if_cool_here,),
    "later-heat": (
        heat_ways.cooler_later,
        heat_ways.more_even,
        heat_ways.shorter,
        heat_ways.earlier,
        *_LEAD,
        solder_ways.todays_paste,
        solder_ways.higher_pastes,
    ),
    "inside-underfill": (
        heat_ways.if_cool_after,
        heat_ways.cooler_enclosed,
        heat_ways.enclosed_last,
        solder_ways.todays_paste,
        solder_ways.higher_pastes,
    ),
    "one-alloy-a-side": (solder_ways.one_print,),
    "through-hole": (solder_ways.with_soldering,),
    "joint-runs-hot": (
        *_LEAD,
        datum_ways.cooler_joints,
        solder_ways.todays_paste,
        solder_ways.higher_pastes,
        part_ways.apart,
    ),
    "board-finish": (datum_ways.other_board_finish, solder_ways.todays_paste),
}
"""Check -> what may be changed for it, beside what holds for all: the missing datum, alternates, today's route."""


@dataclass(frozen=True, slots=True)
class Ways:
    """The changes tried for a finding: those that clear it, the one that breaks least first, and the others. ``today``
    is today's route for the product, None where the case is that already."""

    finding: Finding
    clearing: tuple[Way, ...]
    others: tuple[Way, ...]
    today: Way | None


def ways_for(case: Case, key: str) -> Ways | None:
    """What single change clears the finding of that key, and what it breaks; None where the case has no such finding.

    Nothing is tried for what is not open.
    """
    baseline = Baseline(case)
    finding = baseline.finding(key)
    if finding is None:
        return None
    if not finding.verdict.is_open:
        return Ways(finding, (), (), None)
    tried = [baseline.with_change(change, finding) for change in candidates(baseline, finding)]
    ranked = sorted(tried, key=_rank)
    return Ways(
        finding,
        tuple(way for way in ranked if way.is_clear and way.change.place is not Place.TODAY),
        tuple(way for way in ranked if not way.is_clear and way.change.place is not Place.TODAY),
        next((way for way in tried if way.change.place is Place.TODAY), None),
    )


def candidates(baseline: Baseline, finding: Finding) -> list[Change]:
    """The changes to try, each once; at most ``MOST_WAYS``."""
    subject = Subject.of(baseline, finding)
    makers = (datum_ways.if_shown, part_ways.approved_only, *MAKERS.get(finding.check, ()))
    today = [on_todays_route(baseline.case, "Today's route kept for this product")] if _has_today(baseline.case) else []
    found = islice(
        _once(baseline.case, chain.from_iterable(make(subject) for make in makers), today), MOST_WAYS - len(today)
    )
    return [*found, *today]


def _has_today(case: Case) -> bool:
    return bool(case.today.steps) and case.today.steps != case.route.steps


def _once(case: Case, changes: Iterable[Change], besides: list[Change]) -> Iterator[Change]:
    """Each changed route and setup once, whatever the change is called; and nothing that is said already."""
    seen = [_routing(case), *(_routing(change.case) for change in besides)]
    words: set[str] = set()
    for change in changes:
        same_lines = change.case.parts is case.parts and change.case.lines is case.lines
        if change.words not in words and not (same_lines and _routing(change.case) in seen):
            seen.append(_routing(change.case))
            words.add(change.words)
            yield change


def _routing(case: Case) -> tuple[object, ...]:
    return case.route.steps, case.board, case.environment


def _rank(way: Way) -> tuple[int, ...]:
    """What breaks least first; then what clears most besides."""
    opened = [way.opened[verdict] for verdict in (Verdict.BLOCKS, Verdict.CHANGE, Verdict.PROVE)]
    lost = max(0, way.before.counts[Verdict.GAIN] - way.after.counts[Verdict.GAIN])
    return (*opened, lost, -way.clear_count)
