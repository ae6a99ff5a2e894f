"""Findings: what is not fine, grouped so that one cause is one finding."""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from webapp.checks.columns import Columns, RouteArrays
from webapp.checks.declare import Check, Scope, Today, Told
from webapp.checks.evaluate import NO_STEP, NOTHING_MISSING, Elements, excess
from webapp.checks.margins import margin_of
from webapp.checks.record import Record
from webapp.checks.verdicts import Verdict, Why, code_of, why_of
from webapp.trade.facts import PartFacts
from webapp.trade.sources import Source
from webapp.trade.words import capital

PART_SUBJECT = "part "
"""What the subject of a finding about one part begins with; its key follows."""
_NAMED_PARTS = 3
_MOST_SOURCES = 6
"""Of the values that a finding rests on; each stands with its own among the inputs."""
_EQUAL = 1e-9


@dataclass(frozen=True, slots=True)
class Finding:
    """One statement of the assessment.

    ``subject`` is the stable part of its key: a part, a group of parts wanting the same datum, a step, the board or
    the product. ``lines`` are positions of its members among the case's lines. ``margin`` = limit - value.
    ``need``: name of the datum that is missing, ``missing``: what people call it.
    ``fingerprint`` (sha256) changes exactly when an input changes; ``inputs`` are these in words, label -> value.
    """

    check: str
    subject: str
    title: str
    verdict: Verdict
    why: Why
    step: int | None
    step_title: str
    value: float | None
    limit: float | None
    unit: str
    sentence: str
    need: str
    missing: str
    sources: tuple[Source, ...]
    remedies: tuple[str, ...]
    caution: str
    lines: tuple[int, ...]
    parts: tuple[int, ...]
    refdes: tuple[str, ...]
    same_as_today: bool
    fingerprint: str
    inputs: Mapping[str, str] = field(default_factory=dict, hash=False)

    @property
    def margin(self) -> float | None:
        """Room left to the limit, in the finding's unit; None where there is no number."""
        return margin_of(self.check, self.value, self.limit)

    @property
    def key(self) -> str:
        """What identifies the finding within its case."""
        return f"{self.check}|{self.subject}|{'' if self.step is None else self.step}"


def findings_of(
    check: Check, columns: Columns, route: RouteArrays, found: Elements, today: Elements | None
) -> list[Finding]:
    """The findings of one check: what is open or gained, in groups. ``today`` is the same check on today's route."""
    return Groups(check, columns, route, found, today).findings()


class Groups:
    """What is open or gained of one check, in groups: one cause is one finding.

    ``verdict``: of every element, gains marked. ``members``: of every group the elements in it.
    """

    def __init__(
        self, check: Check, columns: Columns, route: RouteArrays, found: Elements, today: Elements | None
    ) -> None:
        self.verdict, same = _against_today(check, found, today)
        self._maker = _Maker(check, columns, route, found, today, self.verdict, same)
        self.members = self._split(np.flatnonzero(self.verdict > Verdict.FINE))

    def _split(self, chosen: NDArray[np.int64]) -> list[NDArray[np.int64]]:
        if chosen.size == 0:
            return []
        _, group = np.unique(self._maker.group_keys(chosen), axis=0, return_inverse=True)
        order = np.argsort(group.reshape(-1), kind="stable")
        bounds = np.flatnonzero(np.diff(group.reshape(-1)[order])) + 1
        return [chosen[members] for members in np.split(order, bounds)]

    def verdicts(self) -> list[Verdict]:
        """The verdict of every group."""
        return [Verdict(int(self.verdict[members[0]])) for members in self.members]

    def finding(self, group: int) -> Finding:
        """The finding of one group; of two with one key see ``findings``."""
        return self._maker.finding(self.members[group])

    def findings(self) -> list[Finding]:
        """The findings of all groups, each with a key of its own."""
        return _told_apart([self.finding(group) for group in range(len(self.members))])


def _told_apart(findings: list[Finding]) -> list[Finding]:
    """Findings with keys of their own: a part on both sides may block on one and need a change on the other."""
    counts = Counter(finding.key for finding in findings)
    return [
        finding if counts[finding.key] == 1 else replace(finding, subject=_qualified(finding)) for finding in findings
    ]


def _qualified(finding: Finding) -> str:
    same = ", as today" if finding.same_as_today else ""
    return f"{finding.subject} ({finding.verdict.key}, {finding.why}{same})"


def _against_today(check: Check, found: Elements, today: Elements | None) -> tuple[NDArray[np.int8], NDArray[np.bool_]]:
    """Verdicts with gains marked, and which open ones are just as open today."""
    verdict = found.verdict.copy()
    if today is None or today.verdict.shape != verdict.shape or check.scope is Scope.STEP:
        return verdict, np.zeros(verdict.shape, dtype=np.bool_)
    if check.can_gain:
        # Near the limit today is no problem solved: only what may be past it is.
        past = excess(check, today.value, today.limit) > 0
        verdict[(verdict == Verdict.FINE) & (today.verdict >= Verdict.PROVE) & past] = Verdict.GAIN
    # The same verdict with less room to the limit is not the same as today.
    tighter = (found.limit < today.limit - _EQUAL) | (found.value > today.value + _EQUAL)
    return verdict, (verdict >= Verdict.PROVE) & (today.verdict >= verdict) & ~tighter


class _Maker:
    """Makes findings of one check on one route."""

    def __init__(
        self,
        check: Check,
        columns: Columns,
        route: RouteArrays,
        found: Elements,
        today: Elements | None,
        verdict: NDArray[np.int8],
        same: NDArray[np.bool_],
    ) -> None:
        self._check, self._columns, self._route, self._found = check, columns, route, found
        self._today = today if today is not None and today.value.shape == found.value.shape else None
        self._verdict, self._same = verdict, same
        self._excess = np.nan_to_num(excess(check, found.value, found.limit), nan=-math.inf, posinf=1e9)
        self._record = Record(check, columns.case, route.route)
        self._figures = check.figures_of(route.site.figures)
        self._of_lines = check.scope.is_of_lines

    def group_keys(self, chosen: NDArray[np.int64]) -> NDArray[np.int64]:
        """One row an element: elements with equal rows share a finding."""
        found, zero = self._found, np.zeros(len(chosen), dtype=np.int64)
        why = found.why[chosen].astype(np.int64)
        part = self._columns.part[chosen] if self._of_lines else zero
        classes = self._columns.masks["classes"][chosen] if self._of_lines else zero
        wanting = found.missing[chosen] != NOTHING_MISSING
        gain = self._verdict[chosen] == Verdict.GAIN
        certain = ~wanting & ~gain & (why == code_of(Why.CERTAIN))
        cause = part if self._check.by_part or not self._of_lines else _limits(found, chosen)
        apart = np.where(certain, cause, np.where(wanting | gain, -1, classes))
        step = np.where(wanting | gain, NO_STEP, found.step[chosen]) if self._of_lines else found.step[chosen]
        verdict = self._verdict[chosen].astype(np.int64)
        return np.stack(
            [verdict, why * ~gain, found.missing[chosen], step, apart, self._same[chosen].astype(np.int64)], axis=1
        )

    def finding(self, members: NDArray[np.int64]) -> Finding:
        """The finding of the elements ``members``; the one nearest to or furthest past its limit speaks for all."""
        decides = int(members[np.argmax(self._excess[members])])
        found, check = self._found, self._check
        verdict = Verdict(int(self._verdict[decides]))
        step = int(found.step[decides])
        at = step if step != NO_STEP else None
        parts = sorted(set(self._columns.part[members].tolist())) if self._of_lines else []
        refdes = self._refdes(members)
        need = int(found.missing[decides])
        missing = check.needs[need].datum if need != NOTHING_MISSING else ""
        why = Why.PASSES if verdict is Verdict.GAIN else why_of(int(found.why[decides]))
        value, limit = _number(found.value[decides]), _number(found.limit[decides])
        told = self._told(decides, verdict, value, limit, at, parts, missing)
        recorded = self._record.of(self._concerned(members, at, parts), [self._part(i) for i in parts])
        subject = self._subject(verdict, why, missing, parts, at, limit)
        return Finding(
            check=check.id,
            subject=subject,
            title=self._title(parts, at),
            verdict=verdict,
            why=why,
            step=at,
            step_title=told.step,
            value=value,
            limit=limit,
            unit=check.unit,
            sentence=capital(check.explain(told)),
            need=check.needs[need].name if need != NOTHING_MISSING else "",
            missing=missing,
            sources=self._sources(parts),
            remedies=check.remedies.get(verdict, ()),
            caution=check.caution,
            lines=tuple(members.tolist()) if self._of_lines else (),
            parts=tuple(parts),
            refdes=refdes,
            same_as_today=bool(self._same[decides]),
            fingerprint=recorded.fingerprint,
            inputs=recorded.words,
        )

    def _told(
        self,
        decides: int,
        verdict: Verdict,
        value: float | None,
        limit: float | None,
        step: int | None,
        parts: Sequence[int],
        missing: str,
    ) -> Told:
        alloy = self._route.alloy(step) if step is not None else None
        return Told(
            verdict=verdict,
            value=value,
            limit=limit,
            step=self._route.steps[step].title if step is not None else "",
            alloy=alloy.designation if alloy else "",
            parts=len(parts),
            missing=missing,
            classes=_class_words([self._part(i) for i in parts]),
            figures=self._figures,
            detail={name: float(values[decides]) for name, values in self._found.detail.items()},
            joint=self._route.alloy(int(self._found.made[decides])) if self._of_lines else None,
            today=self._told_today(decides),
        )

    def _told_today(self, element: int) -> Today | None:
        if self._today is None or not self._of_lines:
            return None
        return Today(_number(self._today.value[element]), _number(self._today.limit[element]))

    def _part(self, index: int) -> PartFacts:
        return self._columns.case.parts[index]

    def _subject(
        self, verdict: Verdict, why: Why, missing: str, parts: Sequence[int], step: int | None, limit: float | None
    ) -> str:
        if not self._of_lines:
            return "product" if step is None else f"step {step}"
        if verdict is Verdict.GAIN:
            return "gain"
        if missing:
            return f"unknown {missing}"
        if why is Why.CERTAIN:
            if self._check.by_part:
                return f"{PART_SUBJECT}{self._part(parts[0]).key}"
            return "joints" if limit is None else f"joints {limit:.0f}"
        return f"class {self._part(parts[0]).classes.keys}"

    def _title(self, parts: Sequence[int], step: int | None) -> str:
        if not self._of_lines:
            return self._route.steps[step].title if step is not None else "board"
        labels = [self._part(i).label for i in parts]
        if len(labels) <= _NAMED_PARTS:
            return ", ".join(labels)
        return f"{len(labels)} parts: {', '.join(labels[:_NAMED_PARTS])} …"

    def _refdes(self, members: NDArray[np.int64]) -> tuple[str, ...]:
        lines = self._columns.case.lines
        # Alternates of one line go to the same places.
        return (
            tuple(dict.fromkeys(name for i in members.tolist() for name in lines[i].refdes)) if self._of_lines else ()
        )

    def _sources(self, parts: Sequence[int]) -> tuple[Source, ...]:
        names = [need.name for need in self._check.needs]
        of_parts = [self._part(i).sources for i in parts]
        used = [sources[name] for sources in of_parts for name in names if name in sources]
        # The rule's own first: of hundreds of data sheets a few are enough to see what kind they are.
        return (*self._check.sources, *islice(dict.fromkeys(used), _MOST_SOURCES))

    def _concerned(self, members: NDArray[np.int64], step: int | None, parts: Sequence[int]) -> list[int]:
        """The steps that make and heat the members' joints; all of them for what is about no step."""
        count = len(self._route.steps)
        ends = (self._route.first_made, self._route.last_made) if parts else ()
        made = {i for end in ends for i in end[members].tolist()}
        return [i for i in sorted(made.union([step] if step is not None else range(count))) if i < count]


def _number(value: np.float64) -> float | None:
    return float(value) if np.isfinite(value) else None


def _limits(found: Elements, chosen: NDArray[np.int64]) -> NDArray[np.int64]:
    """The limits in whole units: joints of one limit share what heats them. A value may change with the setup, the
    limit only with the alloy, so that a finding keeps its key."""
    rounded: NDArray[np.int64] = np.nan_to_num(found.limit[chosen], nan=-1.0, posinf=1e9).round().astype(np.int64)
    return rounded


def _class_words(parts: Sequence[PartFacts]) -> str:
    """What the parts are, where that is certain and short: "LED, surface mount"; "" for many or unsure kinds."""
    masks = {part.classes for part in parts}
    if len(masks) > _NAMED_PARTS or not all(mask.certain for mask in masks):
        return ""
    return "; ".join(mask.words for mask in sorted(masks))
