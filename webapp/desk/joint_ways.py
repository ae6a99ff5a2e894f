"""What deposit or peak would melt a ball through, and which would keep it whole, with what each costs."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from sqlmodel import Session

from webapp.checks.columns import Case, Columns, route_arrays
from webapp.checks.evaluate import evaluate
from webapp.checks.heat import BODY_LIMIT
from webapp.checks.verdicts import Verdict
from webapp.desk.assessing import load_case
from webapp.desk.joint_detail import JointDetail
from webapp.science.mixing import BallJoint
from webapp.science.mixing_remedies import MixingRemedy, to_keep_unmelted, to_melt_through
from webapp.trade.practice import stencil_rule
from webapp.trade.ranges import NOT_NEGATIVE
from webapp.trade.route import Route

_KEPT = 256


@dataclass(frozen=True, slots=True)
class OverLimit:
    """Parts of the product whose bodies a higher peak takes past their limit: ``certain``, and those that it may."""

    certain: int
    perhaps: int


@dataclass(frozen=True, slots=True)
class Way:
    """One change that reaches the aim, and what it takes.

    ``releases``: paste still leaves the opening (area ratio of IPC-7525). ``gap_mm``: between two openings, below zero
    where they would meet, None where that hangs on the pitch. ``body_c``: the hottest body with it, and ``over`` what
    that does to the product's parts (None for no higher peak). ``past_window``: it lies outside the paste's window.
    """

    remedy: MixingRemedy
    releases: bool
    gap_mm: float | None
    body_c: float | None
    over: OverLimit | None
    past_window: bool

    @property
    def joint(self) -> BallJoint:
        """The joint with the change."""
        return self.remedy.joint

    @property
    def is_possible(self) -> bool:
        """Whether the openings stay apart."""
        return self.gap_mm is None or self.gap_mm > 0


@dataclass(frozen=True, slots=True)
class Ways:
    """Ways to melt the ball through, and to keep it whole; an empty list where it is so already, or there is none."""

    through: tuple[Way, ...]
    whole: tuple[Way, ...]


def ways_of(session: Session, case_id: int, detail: JointDetail) -> Ways:
    """The ways from the joint as it is now; none where it is not calculated."""
    if detail.now is None or detail.made is None or detail.now.mixing is None:
        return Ways((), ())
    found = _remedies(detail.now.joint)
    raised = [one for some in found for one in some if one.change == "peak" and one.peak_change_k > 0]
    count = _counter(session, case_id, detail.made.position) if raised else None
    through, whole = (tuple(_way(detail, remedy, count) for remedy in some) for some in found)
    return Ways(through, whole)


@lru_cache(maxsize=_KEPT)
def _remedies(joint: BallJoint) -> tuple[tuple[MixingRemedy, ...], tuple[MixingRemedy, ...]]:
    return tuple(to_melt_through(joint)), tuple(to_keep_unmelted(joint))


def _way(detail: JointDetail, remedy: MixingRemedy, count: Callable[[float], OverLimit] | None) -> Way:
    step = detail.made.step if detail.made else None
    is_peak = remedy.change == "peak"
    body_c = remedy.joint.peak_c + step.spread_k if is_peak and step else None
    paste = detail.case.site.materials.paste(step.paste) if step else None
    return Way(
        remedy=remedy,
        releases=remedy.area_ratio >= stencil_rule("area_ratio_min").value,
        gap_mm=_gap_mm(detail, remedy.joint) if remedy.change == "aperture" else None,
        body_c=body_c,
        over=count(body_c) if count and body_c is not None and remedy.peak_change_k > 0 else None,
        past_window=bool(paste and body_c is not None and not paste.peak_c.contains(body_c)),
    )


def _gap_mm(detail: JointDetail, joint: BallJoint) -> float | None:
    pitch = detail.array.facts.sizes.get("pitch_mm", NOT_NEGATIVE)
    widest = pitch.high - joint.deposit.aperture_mm
    return widest if pitch.known or widest <= 0 else None


def _counter(session: Session, case_id: int, position: int) -> Callable[[float], OverLimit] | None:
    """Counts for a hottest body at the step at ``position``; None for a case that is gone."""
    loaded = load_case(session, case_id)
    if loaded is None:
        return None
    case, columns = loaded.case, Columns(loaded.case)
    certain, open_ = _above(columns, case.route)

    def count(body_c: float) -> OverLimit:
        then, open_then = _above(columns, _at_peak(case, position, body_c))
        return OverLimit(len(then - certain), len(open_then - open_ - then))

    return count


def _at_peak(case: Case, position: int, body_c: float) -> Route:
    steps = list(case.route.steps)
    steps[position] = replace(steps[position], peak_c=body_c)
    return replace(case.route, steps=tuple(steps))


def _above(columns: Columns, route: Route) -> tuple[frozenset[int], frozenset[int]]:
    """Parts above their limit for certain, and parts that may be."""
    verdict = evaluate(BODY_LIMIT, columns, route_arrays(columns, route)).verdict
    certain, open_ = (
        frozenset(np.unique(columns.part[flags]).tolist())
        for flags in (verdict == Verdict.BLOCKS, verdict >= Verdict.PROVE)
    )
    return certain, open_
