"""One ball joint worked out: what its step makes of it, and what is liquid again at every heat that follows."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from sqlmodel import Session

from webapp.checks.columns import Case
from webapp.checks.exposure import heats_finished, reached_c
from webapp.desk.joints import ArrayJoint, MadeAt, arrays_of_part, nominal_joint
from webapp.errors import NotFoundError
from webapp.science.melting import Freezing, NotCovered, freezings
from webapp.science.mixing import BallJoint, MixedJoint, Mixing, mixed_joint
from webapp.trade.alloys import Onset, lowest_onset
from webapp.trade.facts import PartFacts
from webapp.trade.figures import Figures

SCREENED_C = (100.0, 138.0, 140.0)
"""Temperatures that are looked at whatever the route: °C."""
_KEPT = 512


class Heat(StrEnum):
    """What heats a finished joint."""

    STEP = "step"
    USE = "use"
    SCREEN = "screen"


@dataclass(frozen=True, slots=True)
class Exposure:
    """A heat after the joint is made. ``t_c``: what the joint reaches, None where that is not known; ``at_least``: it
    may be more; ``step``: number of the step on the route."""

    name: str
    t_c: float | None
    kind: Heat
    step: int | None = None
    at_least: bool = False


@dataclass(frozen=True, slots=True)
class Exposed:
    """What an exposure does: shares (0-1) by mass that are liquid of the band and of the whole as if it were mixed,
    None where it is not calculated; ``melts``: the first melting is reached."""

    exposure: Exposure
    band: float | None
    whole: float | None
    melts: bool


@dataclass(frozen=True, slots=True)
class Reheated:
    """What later heats do to a joint; ``band_way`` and ``whole_way``: how band and whole freeze, and so melt again,
    None where there is none or it is not calculated."""

    exposed: tuple[Exposed, ...]
    band_way: Freezing | None
    whole_way: Freezing | None


@dataclass(frozen=True, slots=True)
class Worked:
    """A joint worked out. ``onset``: where it first melts again, with no credit for mixing."""

    joint: BallJoint
    result: MixedJoint
    onset: Onset | None

    @property
    def mixing(self) -> Mixing | None:
        """What the peak makes of it; None where it is not calculated."""
        return None if isinstance(self.result.mixing, NotCovered) else self.result.mixing

    @property
    def why_not(self) -> str:
        """Why it is not calculated; "" where it is."""
        return self.result.mixing.reason if isinstance(self.result.mixing, NotCovered) else ""

    @property
    def makes(self) -> "Makes":
        """What the step makes of ball and paste."""
        if self.mixing is None:
            return Makes.UNKNOWN
        if self.mixing.band is None:
            return Makes.NOTHING
        if self.mixing.melts_through:
            return Makes.ONE
        return Makes.BALL_WHOLE if self.mixing.dissolved_paste >= 1 else Makes.PASTE_WHOLE


class Makes(StrEnum):
    """What becomes of ball and paste at the peak."""

    UNKNOWN = "unknown"
    NOTHING = "nothing"
    ONE = "one"
    BALL_WHOLE = "ball-whole"
    PASTE_WHOLE = "paste-whole"


@dataclass(frozen=True, slots=True)
class JointDetail:
    """A part's joints made at one step, None where no step makes them. ``others``: the same part's joints at other
    steps or on the other side. ``now``: the joint in the middle of what is possible, None where peak or paste is not
    given."""

    array: ArrayJoint
    made: MadeAt | None
    others: tuple[tuple[ArrayJoint, MadeAt], ...]
    case: Case
    exposures: tuple[Exposure, ...]
    now: Worked | None


def joint_detail(session: Session, case_id: int, part_id: int, step: int | None = None) -> JointDetail:
    """The joints of a part, at the step of that number or by default the first that makes any; NotFoundError where the
    part is no array of the case, or the step makes no joints of it."""
    loaded, arrays = arrays_of_part(session, case_id, part_id)
    every = [(array, made) for array in arrays for made in array.steps]
    chosen = [pair for pair in every if step in (None, pair[1].number)]
    if not chosen and (every or step is not None):
        numbers = ", ".join(str(made.number) for _, made in every) or "none"
        raise NotFoundError(f"Step {step} makes no joints of this part; steps that do: {numbers}.")
    if not chosen:
        return JointDetail(arrays[0], None, (), loaded.case, (), None)
    array, made = chosen[0]
    exposures = exposures_after(loaded.case, made, array.facts)
    joint = nominal_joint(array, made, loaded.case.site)
    others = tuple(pair for pair in every if pair != chosen[0])
    return JointDetail(array, made, others, loaded.case, exposures, work_out(joint) if joint else None)


def exposures_after(case: Case, made: MadeAt, facts: PartFacts) -> tuple[Exposure, ...]:
    """Every heat that joints made at a step see afterwards, in order; then use; then what is looked at in any case."""
    found = []
    for position, step in case.route.numbered():
        heat = reached_c(step, case.route.steps[made.position].side)
        # Where it is not given it is asked for, unless the step heats nothing (a test, depanelling).
        if position > made.position and heats_finished(step):
            found.append(Exposure(step.title, heat, Heat.STEP, position + 1))
    screened = [Exposure("looked at in any case", t_c, Heat.SCREEN) for t_c in SCREENED_C]
    return (*found, _in_use(case, facts), *screened)


def _in_use(case: Case, facts: PartFacts) -> Exposure:
    hottest, own = case.environment.t_max_c, case.environment.board_heating_k
    if hottest is None or own is None:
        return Exposure("in use", None, Heat.USE)
    more = facts.self_heating_k
    return Exposure("in use", hottest + own + more.low, Heat.USE, at_least=not more.known)


@lru_cache(maxsize=_KEPT)
def work_out(joint: BallJoint) -> Worked:
    """What the step makes of a joint. What was worked out before is kept."""
    return Worked(joint, mixed_joint(joint, ()), lowest_onset(joint.paste.wt_pct, joint.ball.wt_pct))


def reheated(worked: Worked, exposures: Sequence[Exposure]) -> Reheated:
    """What is liquid again at every exposure, by the way band and whole freeze."""
    t_c = sorted({one.t_c for one in exposures if one.t_c is not None})
    band = worked.mixing.band.composition if worked.mixing and worked.mixing.band else None
    ways: list[Freezing | None] = [None, None]
    if worked.mixing is not None:
        found = freezings([worked.result.composition, band or worked.result.composition], t_c)
        ways = [way if isinstance(way, Freezing) else None for way in found]
    whole_way, band_way = ways[0], ways[1] if band else None
    exposed = tuple(
        Exposed(one, _left(band_way, one.t_c), _left(whole_way, one.t_c), _melts(worked, one.t_c)) for one in exposures
    )
    return Reheated(exposed, band_way, whole_way)


def _left(way: Freezing | None, t_c: float | None) -> float | None:
    return None if way is None or t_c is None else way.left_at[t_c]


def _melts(worked: Worked, t_c: float | None) -> bool:
    return worked.onset is not None and t_c is not None and t_c >= worked.onset.onset_c


def attention(worked: Worked, figures: Figures) -> str:
    """What a hybrid joint asks for, by the height of its mixed band and the site's thresholds; "" for no hybrid."""
    if worked.mixing is None or worked.mixing.band is None or worked.makes is not Makes.BALL_WHOLE:
        return ""
    height_pct = 100 * worked.mixing.band.height_share
    if height_pct < figures["thin_band_pct"].value:
        return "A thin brittle band carries the load and nothing collapses: prove it by section, drop and cycling."
    if height_pct > figures["thick_band_pct"].value:
        return "Nearly through: prove by section that every ball is."
    return "Look for hot tearing: the ball is solid while the band freezes slowly. Prove it by section and test."
