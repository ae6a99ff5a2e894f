"""What a finding was computed from: once as data for its fingerprint, once in words for people to compare."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from webapp.checks.columns import SIZES, Case
from webapp.checks.declare import Check, Need
from webapp.trade.class_bounds import Oven
from webapp.trade.facts import PartFacts
from webapp.trade.masks import Possible
from webapp.trade.ranges import Span, number_text
from webapp.trade.route import Step
from webapp.trade.setup import Board, Environment
from webapp.trade.site import Site

_UNITS = {"_k": "K", "_c": "°C", "_mm": "mm"}
_PARTS_APART = 3
"""Up to so many parts are listed one by one; of more, the parts that share a value stand together."""


def primary_inputs(
    check: Check, case: Case, steps: Sequence[Mapping[str, Any]], parts: Sequence[PartFacts]
) -> dict[str, Any]:
    """The inputs as JSON takes them: the check's version, values as stated or as the tables give them, no computed
    number. Whether a source may decide that something is impossible is an input like the value itself. ``steps``: the
    fields of each step."""
    return {
        "check": [check.id, check.version],
        "figures": check.figures_of(case.site.figures),
        "steps": list(steps),
        "setup": {need.name: _canonical(getattr(holder, need.name)) for need, holder in _of_setup(check, case, parts)},
        "parts": [_part_inputs(check, part) for part in parts],
    }


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


def readable_inputs(check: Check, case: Case, steps: Mapping[int, Step], parts: Sequence[PartFacts]) -> dict[str, str]:
    """The same inputs in words: label -> value. ``steps``: position from 0 -> step."""
    words = {f"Step {position + 1}": _step_words(check, step) for position, step in steps.items()}
    words |= {case.site.figures[key].label: case.site.figures[key].text for key in check.figures}
    needs = [need for need in check.needs if need.name != "position"]
    for need, holder in _of_setup(check, case, parts):
        words[_capital(f"{need.datum} (setup)")] = _value_words(need, getattr(holder, need.name))
    if not parts:
        return words
    if len(parts) <= _PARTS_APART:
        for part in parts:
            words |= {f"{part.label}: {label}": text for label, text in _part_words(needs, part).items()}
        return words
    words["Parts"] = ", ".join(sorted(part.label for part in parts))
    return words | _together(needs, parts)


def _together(needs: Sequence[Need], parts: Sequence[PartFacts]) -> dict[str, str]:
    """Label -> "at least 245 °C (3 parts); not known (20 parts)"."""
    # Thousands of parts share a few values: words are made once for each.
    alike: dict[tuple[object, ...], list[PartFacts]] = {}
    for part in parts:
        known = ((_part_value(part, need), part.source(need.name)) for need in needs)
        alike.setdefault((part.classes, part.mounting, *known), []).append(part)
    found: dict[str, dict[str, int]] = {}
    for members in alike.values():
        for label, text in _part_words(needs, members[0]).items():
            counts = found.setdefault(label, {})
            counts[text] = counts.get(text, 0) + len(members)
    return {
        _capital(label): "; ".join(
            f"{text} ({count} part{'' if count == 1 else 's'})" for text, count in counts.items()
        )
        for label, counts in found.items()
    }


def _part_words(needs: Sequence[Need], part: PartFacts) -> dict[str, str]:
    words = {"kind": f"{part.classes.words}, {part.mounting.words}"}
    for need in needs:
        value = _part_value(part, need)
        if value is not None:
            words[need.datum] = f"{_value_words(need, value)} — {part.source(need.name).words}"
    return words


def _part_inputs(check: Check, part: PartFacts) -> list[str]:
    values = [_canonical(_part_value(part, need)) for need in check.needs]
    firm = "".join("1" if part.source(need.name).may_block else "0" for need in check.needs)
    return [part.key, str(int(part.classes)), str(int(part.mounting)), *values, firm]


def _part_value(part: PartFacts, need: Need) -> object:
    if need.name in SIZES:
        return part.sizes.get(need.name)
    return getattr(part, "ovens" if need.name == "oven" else need.name, None)


def _of_setup(check: Check, case: Case, parts: Sequence[PartFacts]) -> list[tuple[Need, Board | Environment]]:
    """The needs that board or environment answer, each with the one that does.

    A part's own field of the same name comes first: the finish of terminals is not that of the board.
    """
    found = []
    for need in check.needs:
        holder = next((part for part in (case.environment, case.board) if hasattr(part, need.name)), None)
        if holder is not None and not (parts and hasattr(parts[0], need.name)):
            found.append((need, holder))
    return found


def _canonical(value: object) -> str:
    if isinstance(value, Span):
        return f"{value.low!r}..{value.high!r}"
    if isinstance(value, frozenset):
        return ",".join(sorted(map(str, value)))
    return "" if value is None else str(int(value)) if isinstance(value, int) else str(value)


def _value_words(need: Need, value: object) -> str:
    unit = next((unit for ending, unit in _UNITS.items() if need.name.endswith(ending)), "")
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
    )
    return ", ".join(filter(None, parts))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
