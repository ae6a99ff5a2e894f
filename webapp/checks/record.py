"""What a finding was computed from: once as data for its fingerprint, once in words for people to compare."""

import hashlib
import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from operator import attrgetter
from typing import Any

from webapp.checks.columns import SIZES, Case
from webapp.checks.declare import Check, Need
from webapp.trade.class_bounds import Oven
from webapp.trade.facts import PartFacts
from webapp.trade.masks import Possible
from webapp.trade.ranges import Span, number_text
from webapp.trade.route import Route, Step
from webapp.trade.setup import Board, Environment
from webapp.trade.site import Site
from webapp.trade.units import name_and_unit
from webapp.trade.words import capital

_PARTS_APART = 3
"""Up to so many parts are listed one by one; of more, the parts that share a value stand together."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """The inputs of one finding: ``fingerprint`` (sha256, hex) changes exactly when one of them changes; ``words``:
    label -> value."""

    fingerprint: str
    words: dict[str, str]


class Record:
    """What the findings of one check on one route are computed from. Thousands of findings share steps, figures and
    most of what is known of their parts, so what they share is written once."""

    def __init__(self, check: Check, case: Case, route: Route) -> None:
        self._check, self._case, self._steps = check, case, route.steps
        self._needs = [_PartNeed(need) for need in check.needs]
        self._common: dict[tuple[tuple[int, ...], bool], _Common] = {}
        self._known: dict[tuple[object, ...], _Known] = {}

    def of(self, steps: Sequence[int], parts: Sequence[PartFacts]) -> Recorded:
        """The inputs of a finding about ``steps`` (positions from 0) and ``parts``.

        What is hashed is JSON of the check's version and of values as stated or as the tables give them, no computed
        number. Whether a source may decide that something is impossible is an input like the value itself.
        """
        common, known = self._common_of(steps, of_parts=bool(parts)), [self._known_of(part) for part in parts]
        of_parts = [[part.key, *what.inputs] for part, what in zip(parts, known, strict=True)]
        primary = json.dumps(common.inputs | {"parts": of_parts}, sort_keys=True, ensure_ascii=True)
        words = self._apart(parts, known) if len(parts) <= _PARTS_APART else self._together(parts, known)
        return Recorded(hashlib.sha256(primary.encode()).hexdigest(), common.words | words)

    def _common_of(self, steps: Sequence[int], *, of_parts: bool) -> "_Common":
        key = (tuple(steps), of_parts)
        if key not in self._common:
            self._common[key] = self._made_common(steps, of_parts=of_parts)
        return self._common[key]

    def _made_common(self, steps: Sequence[int], *, of_parts: bool) -> "_Common":
        check, figures = self._check, self._case.site.figures
        setup = _of_setup(check, self._case, of_parts=of_parts)
        inputs = {
            "check": [check.id, check.version],
            "figures": check.figures_of(figures),
            "steps": [step_inputs(check, self._steps[i], self._case.site) for i in steps],
            "setup": {need.name: _canonical(getattr(holder, need.name)) for need, holder in setup},
        }
        words = {f"Step {i + 1}": _step_words(check, self._steps[i]) for i in steps}
        words |= {figures[key].label: figures[key].text for key in check.figures}
        for need, holder in setup:
            words[capital(f"{need.datum} (setup)")] = _value_words(need.name, getattr(holder, need.name))
        return _Common(inputs, words)

    def _known_of(self, part: PartFacts) -> "_Known":
        what = [(need.value(part), part.source(need.name)) for need in self._needs]
        key = (part.classes, part.mounting, *what)
        if key not in self._known:
            self._known[key] = _Known(_part_inputs(part, self._needs), _part_words(part, self._needs))
        return self._known[key]

    def _apart(self, parts: Sequence[PartFacts], known: Sequence["_Known"]) -> dict[str, str]:
        return {
            f"{part.label}: {label}": text
            for part, what in zip(parts, known, strict=True)
            for label, text in what.words
        }

    def _together(self, parts: Sequence[PartFacts], known: Sequence["_Known"]) -> dict[str, str]:
        """Label -> "at least 245 °C (3 parts); not known (20 parts)"."""
        found: dict[str, Counter[str]] = {}
        for what, count in Counter(known).items():
            for label, text in what.words:
                found.setdefault(label, Counter())[text] += count
        return {"Parts": ", ".join(sorted(part.label for part in parts))} | {
            capital(label): "; ".join(
                f"{text} ({count} part{'' if count == 1 else 's'})" for text, count in counts.items()
            )
            for label, counts in found.items()
        }


@dataclass(frozen=True, slots=True)
class _Common:
    """What findings about the same steps share, as data and in words."""

    inputs: dict[str, Any]
    words: dict[str, str]


@dataclass(frozen=True, slots=True, eq=False)
class _Known:
    """What one or many parts have in common for a check: as data, and label and text of every value."""

    inputs: list[str]
    words: list[tuple[str, str]]


class _PartNeed:
    """A need that parts answer: how its value is read off one."""

    def __init__(self, need: Need) -> None:
        self.name, self.datum = need.name, need.datum
        self._field = "ovens" if need.name == "oven" else need.name
        self._has_it = self._field in PartFacts.__dataclass_fields__
        self._read = attrgetter(self._field)

    def value(self, part: PartFacts) -> object:
        """The part's value, None where it has no such field."""
        if self.name in SIZES:
            return part.sizes.get(self.name)
        return self._read(part) if self._has_it else None


def _part_inputs(part: PartFacts, needs: Sequence[_PartNeed]) -> list[str]:
    values = [_canonical(need.value(part)) for need in needs]
    firm = "".join("1" if need.name in part.firm else "0" for need in needs)
    return [str(int(part.classes)), str(int(part.mounting)), *values, firm]


def _part_words(part: PartFacts, needs: Sequence[_PartNeed]) -> list[tuple[str, str]]:
    values = ((need, need.value(part)) for need in needs if need.name != "position")
    return [("kind", f"{part.classes.words}, {part.mounting.words}")] + [
        (need.datum, f"{_value_words(need.name, value)} — {part.source(need.name).words}")
        for need, value in values
        if value is not None
    ]


def step_inputs(check: Check, step: Step, site: Site) -> dict[str, Any]:
    """The fields of a step that the check uses, with what its alloy and, where that counts, its paste are."""
    fields = asdict(step)
    if not check.prints:
        del fields["paste"], fields["foil_mm"]
    alloy, paste = site.materials.alloy(step.alloy), site.materials.paste(step.paste)
    if alloy is not None:
        fields["alloy_is"] = [dict(alloy.composition_wt_pct), alloy.solidus_c, alloy.melted_c, alloy.liquidus_c]
    if paste is not None and check.prints:
        fields["paste_is"] = [paste.powder.number, paste.metal_wt_pct]
    return fields


def _of_setup(check: Check, case: Case, *, of_parts: bool) -> list[tuple[Need, Board | Environment]]:
    """The needs that board or environment answer, each with the one that does.

    A part's own field of the same name comes first: the finish of terminals is not that of the board.
    """
    found = []
    for need in check.needs:
        holder = next((part for part in (case.environment, case.board) if hasattr(part, need.name)), None)
        if holder is not None and not (of_parts and need.name in PartFacts.__dataclass_fields__):
            found.append((need, holder))
    return found


def _canonical(value: object) -> str:
    if isinstance(value, Span):
        return f"{value.low!r}..{value.high!r}"
    if isinstance(value, frozenset):
        return ",".join(sorted(map(str, value)))
    return "" if value is None else str(int(value)) if isinstance(value, int) else str(value)


def _value_words(name: str, value: object) -> str:
    """A value of the field ``name`` in words."""
    _, unit = name_and_unit(name)
    if isinstance(value, Span):
        return value.text(unit)
    if isinstance(value, Possible):
        return value.words
    if isinstance(value, frozenset):
        return ", ".join(sorted(oven.words for oven in value if isinstance(oven, Oven))) or "not known"
    if value is None:
        return "not known"
    number = number_text(value) if isinstance(value, int | float) else str(value)
    return f"{number} {unit}" if unit else number


def _step_words(check: Check, step: Step) -> str:
    parts = (
        step.title,
        step.kind.words if step.name else "",
        f"{step.side} side" if step.side and step.name else "",
        (step.paste if check.prints else None) or "",
        step.alloy or "",
        f"foil {number_text(step.foil_mm)} mm" if check.prints and step.foil_mm else "",
        "" if step.peak_c is None else f"peak {number_text(step.peak_c)} °C",
        f"spread {number_text(step.spread_k)} K",
        "" if step.above_melting_s is None else f"{number_text(step.above_melting_s)} s above melting",
        "" if step.hours is None else f"{number_text(step.hours)} h",
        "" if step.neighbour_c is None else f"neighbouring joints {number_text(step.neighbour_c)} °C",
        "" if step.wave_side_c is None else f"joints on the side in the wave {number_text(step.wave_side_c)} °C",
    )
    return ", ".join(filter(None, parts))
