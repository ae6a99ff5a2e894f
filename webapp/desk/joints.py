"""The array packages of a case, and what their balls and the paste printed under them become.

What is not known of ball and deposit is a range, by the figures of the check on hybrid joints (checks.hybrids); the
joint that is drawn is the middle of these ranges.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import floor, pi

import numpy as np
from sqlmodel import Session, col, select

from webapp.checks.columns import Columns, made_at, route_arrays
from webapp.checks.hybrids import (
    Mixed,
    ball_diameters_mm,
    foil_mm,
    full_melt_c,
    metal_share,
    mixed_at,
    thickest_foil_mm,
    uptake,
    volume_ratios,
)
from webapp.checks.inputs import Inputs
from webapp.checks.joints import ball_alloys, composition_of
from webapp.checks.mixing import BALL_MIXING
from webapp.checks.verdicts import Values, Why
from webapp.desk import cases
from webapp.desk.assessing import LoadedCase, load_case
from webapp.desk.part_facts import facts_by_id
from webapp.desk.site import site_of
from webapp.errors import NotFoundError
from webapp.science.alloy_points import not_covered
from webapp.science.melting import NotCovered
from webapp.science.mixing import BallJoint, Deposit, mixed_joints, standoff_mm
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.parts import LinePartRow
from webapp.store.products import BomLineRow
from webapp.trade.alloys import Alloy
from webapp.trade.classes import PartClass
from webapp.trade.composition import Composition
from webapp.trade.facts import PartFacts
from webapp.trade.ranges import Span, spanning
from webapp.trade.route import Side, Step
from webapp.trade.site import Site

_NO_ARRAY = "That part is no array package on this product, its revision and route."


@dataclass(frozen=True, slots=True)
class MadeAt:
    """A step that makes the joints of an array: ``position`` on the route from 0; ``paste``: the alloy printed, None
    where it is not given; ``metal_share``: metal in the paste by volume."""

    position: int
    step: Step
    paste: Alloy | None
    foil_mm: Span
    metal_share: float

    @property
    def number(self) -> int:
        """The step as people count it."""
        return self.position + 1


@dataclass(frozen=True, slots=True)
class Formed:
    """What becomes of the joints, over all that is not known: shares (0-1) of the ball dissolved and of the height
    mixed, °C from which the whole would melt through, and whether every, or any, joint does at its step."""

    dissolved: Span
    height: Span
    full_melt_c: Span
    every_through: bool
    any_through: bool


@dataclass(frozen=True, slots=True)
class Found:
    """The finding on hybrid joints that speaks of an array. ``is_certain``: with every ball that is usual."""

    id: int
    verdict: str
    sentence: str
    is_certain: bool


@dataclass(frozen=True, slots=True)
class ArrayJoint:
    """The joints of one part on one side. ``steps``: those that may make them (several where the side is not known,
    none where no step does). ``balls``: alloys that are possible, taken for the usual ones. ``solder``: volume of
    solder from paste over that of the ball. ``formed`` is None where it is not calculated: ``why_not`` says why."""

    part_id: int
    facts: PartFacts
    refdes: tuple[str, ...]
    side: Side | None
    steps: tuple[MadeAt, ...]
    balls: tuple[Alloy, ...]
    diameter_mm: Span
    opening_mm: Span
    solder: Span | None
    standoff_collapsed_mm: Span | None
    standoff_unmelted_mm: Span
    formed: Formed | None
    why_not: str
    finding: Found | None

    @property
    def is_certain(self) -> bool:
        """Whether the part is an array package and nothing else."""
        return self.facts.classes == PartClass.ARRAY

    @property
    def ball(self) -> Alloy | None:
        """Of the balls that are possible the one that the finding names: where it is certain the one that melts
        lowest, else (and without a finding) the one that melts highest."""
        choose = min if self.finding and self.finding.is_certain else max
        return choose(self.balls, key=lambda alloy: alloy.liquidus_c, default=None)


@dataclass(frozen=True, slots=True)
class Joints:
    """The arrays of a case, in the order of the BOM. ``perhaps``: (part id, part, designators) of what may be an array
    or something else."""

    arrays: tuple[ArrayJoint, ...]
    perhaps: tuple[tuple[int, str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class HybridPoint:
    """A joint for the tin-bismuth diagram: composition of the whole, and of the band that was liquid (None where the
    paste does not melt). Part, route and step lead to its page."""

    label: str
    whole: Composition
    band: Composition | None
    part_id: int
    case: str
    step: int


def joints_of(session: Session, case_id: int) -> Joints:
    """The arrays of a case; NotFoundError when it is gone or retired."""
    row = session.get(AssessmentCaseRow, case_id)
    if row is None or row.retired_at is not None:
        raise NotFoundError("There is no such case any more: another revision or route may have taken its place.")
    facts = facts_by_id(session, _fitted_parts(session, row.revision_id), row.product_id)
    may_be = {part_id for part_id, known in facts.items() if known.classes & PartClass.ARRAY and known.balls}
    loaded = load_case(session, case_id, may_be)
    if loaded is None or not may_be:
        return Joints((), ())
    return arrays_in(loaded, _findings(session, case_id))


def arrays_of_part(session: Session, case_id: int, part_id: int) -> tuple[LoadedCase, tuple[ArrayJoint, ...]]:
    """The case with nothing but this part, and its joints by side; NotFoundError where it cannot be an array."""
    loaded = load_case(session, case_id, {part_id})
    if loaded is None or not all(part.classes & PartClass.ARRAY and part.balls for part in loaded.case.parts):
        raise NotFoundError(_NO_ARRAY)
    look, findings = _Look(loaded), _findings(session, case_id)
    found = tuple(look.array(part_id, lines, findings) for lines in look.groups().values())
    if not found:
        raise NotFoundError(_NO_ARRAY)
    return loaded, found


def hybrids_of(session: Session, product_id: int) -> list[HybridPoint]:
    """The joints of a product's arrays as points of composition: those of its first candidate, else of today's route,
    where the thermodynamic data cover them. Empty for a product without a route."""
    entries = cases.cases_of(session, product_id)
    if not entries:
        return []
    case, site = cases.find_case(session, product_id), site_of(session)
    points = [
        (array, made, joint)
        for array in joints_of(session, case.id).arrays
        for made in array.steps[:1]
        for joint in [nominal_joint(array, made, site)]
        if joint is not None
    ]
    found = []
    for (array, made, _), result in zip(points, mixed_joints([joint for *_, joint in points], ()), strict=True):
        if not isinstance(result.mixing, NotCovered):
            band = result.mixing.band.composition if result.mixing.band else None
            found.append(
                HybridPoint(array.facts.label, result.composition, band, array.part_id, case.name, made.number)
            )
    return found


def nominal_joint(array: ArrayJoint, made: MadeAt, site: Site) -> BallJoint | None:
    """The joint in the middle of what is possible, of the ball that the finding names; None where the step lacks its
    peak or paste."""
    if made.paste is None or made.step.joint_min_c is None or array.ball is None:
        return None
    figures = site.figures
    diameter = _middle(array.diameter_mm)
    pad_mm = round(figures["pad_share"].value * diameter, 3)
    opening = _middle(array.opening_mm)
    transfer = Span(figures["transfer_low"].value, figures["transfer_high"].value)
    return BallJoint(
        ball=composition_of(array.ball),
        ball_diameter_mm=diameter,
        pad_package_mm=pad_mm,
        pad_board_mm=pad_mm,
        paste=composition_of(made.paste),
        deposit=Deposit(opening, _foil(made.foil_mm, opening), "round", _middle(transfer), made.metal_share),
        peak_c=made.step.joint_min_c,
        height_factor=figures["height_factor"].value,
    )


def _middle(span: Span) -> float:
    return round((span.low + span.high) / 2, 3)


def _foil(foil: Span, opening_mm: float) -> float:
    """A foil that is not given is no thicker than releases paste, as the check has it."""
    if foil.known:
        return foil.low
    releases = thickest_foil_mm(opening_mm)
    middle = (min(foil.low, releases) + min(foil.high, releases)) / 2
    # To whole µm, not rounded up: the opening still releases.
    return floor(1000 * middle) / 1000


def _fitted_parts(session: Session, revision_id: int) -> list[int]:
    query = (
        select(LinePartRow.part_id)
        .join(BomLineRow, col(BomLineRow.id) == col(LinePartRow.line_id))
        .where(BomLineRow.revision_id == revision_id, BomLineRow.fitted_count > 0, col(LinePartRow.approved))
        .distinct()
    )
    return list(session.exec(query))


def _findings(session: Session, case_id: int) -> list[FindingRow]:
    query = select(FindingRow).where(FindingRow.case_id == case_id, FindingRow.check == BALL_MIXING.id)
    return list(session.exec(query.order_by(col(FindingRow.position))))


def arrays_in(loaded: LoadedCase, findings: Sequence[FindingRow] = ()) -> Joints:
    """The arrays among the lines of a case; ``findings``: those of the check on hybrid joints."""
    look = _Look(loaded)
    groups = look.groups()
    arrays: list[ArrayJoint] = []
    perhaps: dict[int, list[str]] = {}
    for (part, _side), lines in groups.items():
        if loaded.case.parts[part].classes == PartClass.ARRAY:
            arrays.append(look.array(loaded.part_ids[part], lines, findings))
        elif loaded.case.parts[part].classes & PartClass.ARRAY:
            perhaps.setdefault(part, []).extend(look.refdes(lines))
    return Joints(
        tuple(arrays),
        tuple((loaded.part_ids[i], loaded.case.parts[i].label, tuple(names)) for i, names in perhaps.items()),
    )


class _Look:
    """The lines of a case, which are those of its arrays, as the check on hybrid joints sees them."""

    def __init__(self, loaded: LoadedCase) -> None:
        self.case = loaded.case
        self._columns = Columns(loaded.case)
        self._route = route_arrays(self._columns, loaded.case.route)
        self._inputs = Inputs(self._columns, self._route, BALL_MIXING, lambda _name: True, self._route.first_made)
        self._ratios: dict[int, tuple[Values, Values]] = {}

    def groups(self) -> dict[tuple[int, Side | None], list[int]]:
        """(part, side) -> lines."""
        found: dict[tuple[int, Side | None], list[int]] = {}
        for place, line in enumerate(self.case.lines):
            found.setdefault((line.part, line.side), []).append(place)
        return found

    def refdes(self, lines: Iterable[int]) -> tuple[str, ...]:
        """Designators of lines, each once."""
        return tuple(dict.fromkeys(name for place in lines for name in self.case.lines[place].refdes))

    def array(self, part_id: int, lines: Sequence[int], findings: Sequence[FindingRow]) -> ArrayJoint:
        """The joints of the lines of one part on one side."""
        first = lines[0]
        facts, side = self.case.parts[self.case.lines[first].part], self.case.lines[first].side
        diameter = Span(*(float(ends[first]) for ends in ball_diameters_mm(self._columns)))
        steps = self._made_at(facts, side)
        balls = tuple(ball_alloys(int(facts.balls)))
        ratios = [self._ratio(first, made) for made in steps if made.paste is not None]
        solder = spanning(ratios) if ratios else None
        formed, why_not = self._formed(first, steps, balls)
        pad_share = self.case.site.figures["pad_share"].value
        openings = Span(self._inputs.figure("opening_share_low"), self._inputs.figure("opening_share_high"))
        return ArrayJoint(
            part_id=part_id,
            facts=facts,
            refdes=self.refdes(lines),
            side=side,
            steps=steps,
            balls=balls,
            diameter_mm=diameter,
            opening_mm=openings.times(diameter),
            solder=solder,
            standoff_collapsed_mm=_standoff_mm(diameter, solder, pad_share) if solder else None,
            standoff_unmelted_mm=_standoff_mm(diameter, None, pad_share),
            formed=formed,
            why_not=why_not,
            finding=_finding(findings, part_id, {made.position for made in steps}),
        )

    def _made_at(self, facts: PartFacts, side: Side | None) -> tuple[MadeAt, ...]:
        may = made_at(self._route.route, facts.mounting, side)
        return tuple(self._at(position, step) for position, step in self._route.route.prints() if position in may)

    def _at(self, position: int, step: Step) -> MadeAt:
        paste = self._route.alloy(position)
        share = metal_share(self._inputs, position, paste) if paste else 0.0
        return MadeAt(position, step, paste, foil_mm(self._inputs, position), share)

    def _ratio(self, line: int, made: MadeAt) -> Span:
        if made.position not in self._ratios and made.paste is not None:
            self._ratios[made.position] = volume_ratios(self._inputs, made.position, made.paste)
        least, most = self._ratios[made.position]
        return Span(float(least[line]), float(most[line]))

    def _formed(self, line: int, steps: Sequence[MadeAt], balls: Sequence[Alloy]) -> tuple[Formed | None, str]:
        """Over all steps and balls that are possible; None, and why, where one of them is not calculated."""
        if not steps:
            return None, "No step of the route makes these joints."
        ends: list[Mixed] = []
        melts: list[float] = []
        for made in steps:
            if made.paste is None or made.step.joint_min_c is None:
                return None, f"The {'alloy' if made.paste is None else 'peak'} of {made.step.title} is not given."
            ratio = self._ratio(line, made)
            for ball in balls:
                found = uptake(made.paste, ball, made.step.joint_min_c)
                if found is None:
                    return None, _reason(made.paste, ball)
                density = made.paste.density_g_cm3 / ball.density_g_cm3
                factor = self._inputs.figure("height_factor")
                ends += [
                    mixed_at(one, np.array([amount]), density, factor)
                    for one, amount in zip(found, (ratio.low, ratio.high), strict=True)
                ]
                melts += full_melt_c(made.paste, ball, np.array([ratio.low, ratio.high])).tolist()
                if np.isnan(melts).any():
                    return None, _reason(made.paste, ball)
        through = [bool(end.through[0]) for end in ends]
        return (
            Formed(
                dissolved=_span(float(end.ball[0]) for end in ends),
                height=_span(float(end.height[0]) for end in ends),
                full_melt_c=_span(melts),
                every_through=all(through),
                any_through=any(through),
            ),
            "",
        )


def _span(values: Iterable[float]) -> Span:
    return spanning(Span.exactly(value) for value in values)


def _reason(paste: Alloy, ball: Alloy) -> str:
    return not_covered(composition_of(ball)) or not_covered(composition_of(paste)) or "Their mixture is not covered."


def _standoff_mm(diameter: Span, solder: Span | None, pad_share: float) -> Span:
    """Between pads of that share of the ball: of ball and solder as one, or of the ball alone standing on the board."""
    added = solder or Span(0.0, 0.0)
    ends = [
        standoff_mm(pi / 6 * d**3 * (1 + more), pad_share * d, pad_share * d if solder else 0.0)
        for d, more in ((diameter.low, added.low), (diameter.high, added.high))
    ]
    return Span(min(ends), max(ends))


def _finding(findings: Iterable[FindingRow], part_id: int, positions: set[int]) -> Found | None:
    """Of the findings on the part the gravest that is about one of these steps, or about none."""
    for row in findings:
        is_here = row.step is None or row.step in positions
        if is_here and any(member[0] == part_id for member in row.parts):
            return Found(row.id or 0, row.verdict, row.sentence, row.why == Why.CERTAIN)
    return None
