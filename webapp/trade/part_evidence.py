"""What kind a part is, by the words, units, numbers and designator of its line, each weighed as evidence."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntEnum
from functools import reduce
from operator import and_, or_

from webapp.trade.classes import PartClass
from webapp.trade.package_tables import Outline
from webapp.trade.part_cells import cell_holder_word, cell_type_in
from webapp.trade.part_numbers import kind_in_number, kind_in_value
from webapp.trade.part_words import Kind, kind_hits, kind_of_prefix, kinds

CONNECTORS = PartClass.CONNECTOR | PartClass.CONNECTOR_HOT | PartClass.HEADER


@dataclass(frozen=True, slots=True)
class PartTexts:
    """The texts of a line that tell something of its part; ``prefix``: the letters of its designators."""

    package: str = ""
    description: str = ""
    value: str = ""
    mpn: str = ""
    prefix: str = ""


class _Rank(IntEnum):
    """How much evidence weighs, lower first; the strength of the words (0 to 3) is added."""

    DESCRIPTION = 10
    VALUE = 14
    PACKAGE = 26
    LAND_PATTERN_LETTER = 29
    UNIT = 30
    NUMBER = 31
    HINT = 45


@dataclass(frozen=True, slots=True)
class _Evidence:
    rank: int
    kind: Kind
    said: str


def kind_of(texts: PartTexts, outline: Outline | None) -> tuple[Kind | None, list[str]]:
    """The kind the texts tell, and the words: the weightiest evidence, refined by what only narrows it."""
    if (several := _several(texts)) is not None:
        return several, [f"“{texts.value}” are several things"]
    found = list(_evidence(texts))
    evidence = sorted([*found, *_cells(texts, found)], key=lambda item: item.rank)
    by_prefix = kind_of_prefix(texts.prefix) if texts.prefix else None
    if not evidence:
        kind = by_prefix
        if kind is None or (outline is not None and not kind.classes & outline.classes):
            return None, []
        return kind, [f"designator {texts.prefix}"]
    if by_prefix is not None and by_prefix.classes & PartClass.CELL:
        # "BT1, backup battery for the clock": what a cell is for does not make it a circuit.
        evidence = [item for item in evidence if item.kind.classes & by_prefix.classes] or evidence
    best = evidence[0]
    kind, why = best.kind, [best.said]
    for item in evidence[1:]:
        if item.kind.classes != kind.classes and not item.kind.classes & ~kind.classes:
            kind = item.kind
            why.append(item.said)
    if kind.classes == PartClass.CELL and by_prefix is not None and not by_prefix.classes & PartClass.CELL:
        return _beside_a_cell(kind, by_prefix, evidence), [*why, f"designator {texts.prefix}"]
    return kind, why


_FEWEST_LISTED = 3


def _several(texts: PartTexts) -> Kind | None:
    """A row that gathers unlike things under one value, "fiducial, 4 mm, jumper, ISP": any of them, not the first."""
    items = texts.value.split(",")
    if texts.description or len(items) < _FEWEST_LISTED:
        return None
    hits = [next(iter(kind_hits(item)), None) for item in items]
    named = [hit.kind.classes for hit in hits if hit is not None and hit.strength < _HINT_STRENGTH]
    if not named or reduce(and_, named):
        return None
    return Kind("several", "several things", reduce(or_, named))


_COAXIAL = frozenset({"SMA", "SMB", "SMC"})
"""Names of coaxial connectors (IEC 61169) and of outlines of diodes (DO-214) alike."""
_OF_COAXIAL = CONNECTORS | PartClass.CERAMIC_RF


def coaxial(texts: PartTexts, outline: Outline | None) -> Kind | None:
    """What a line with "SMA" may be whose words name no kind: the designator J, X, P or ANT makes it a connector.

    ``None`` where nothing speaks against the outline of a diode.
    """
    if outline is None or outline.words.partition("-")[0] not in _COAXIAL:
        return None
    by_prefix = kind_of_prefix(texts.prefix) if texts.prefix else None
    if by_prefix is None:
        return kinds()["coaxial_or_diode"]
    return kinds()["connector"] if by_prefix.classes & _OF_COAXIAL else None


def _beside_a_cell(cell: Kind, by_prefix: Kind, evidence: list[_Evidence]) -> Kind:
    """What a line names a cell for whose designator is none: "U3, lithium battery guard", "J3, lithium battery plug".

    The kind that the words give beside it; without one, either may be meant.
    """
    other = next((item.kind for item in evidence if item.kind.classes & by_prefix.classes), None)
    return other or Kind("cell_or_other", f"{cell.name} or {by_prefix.name}", cell.classes | by_prefix.classes)


def _cells(texts: PartTexts, found: list[_Evidence]) -> Iterator[_Evidence]:
    """What types and holders of cells say: "CR2032" is a cell, with "holder" beside it what a cell is put into."""
    said = (texts.description, texts.value, texts.package, texts.mpn)
    by_prefix = kind_of_prefix(texts.prefix) if texts.prefix else None
    named = any(item.kind.classes == PartClass.CELL for item in found)
    expected = named or (by_prefix is not None and bool(by_prefix.classes & PartClass.CELL))
    cell_type = next(filter(None, (cell_type_in(text, for_cell=expected) for text in said)), "")
    if cell_type and (by_prefix is None or expected):
        named = True
        yield _Evidence(_Rank.NUMBER, kinds()["cell"], f"“{cell_type}” is a type of cells")
    elif cell_type and by_prefix is not None and by_prefix.classes & CONNECTORS:
        named = True
        yield _Evidence(_Rank.NUMBER, kinds()["battery_like"], f"“{cell_type}” is a type of cells")
    # "Coin cell with tabs", package "holder", is the cell; "2032", package "BatteryHolder", what it is put into.
    told = said[:2] if any(item.kind.classes == PartClass.CELL for item in found) else said
    holder = next(filter(None, map(cell_holder_word, told)), "") if named else ""
    if holder:
        yield _Evidence(_Rank.DESCRIPTION, kinds()["cell_holder"], f"“{holder}” of a cell")


def _evidence(texts: PartTexts) -> Iterator[_Evidence]:
    for text, rank, place in (
        (texts.description, _Rank.DESCRIPTION, "description"),
        (texts.value, _Rank.VALUE, "value"),
        (texts.package, _Rank.PACKAGE, "package"),
    ):
        for hit in kind_hits(text):
            weight = rank + hit.strength if hit.strength < _HINT_STRENGTH else _Rank.HINT
            yield _Evidence(weight, hit.kind, f"“{hit.words}” in the {place}")
    if _PIN_GRID.fullmatch(texts.package) is not None:
        yield _Evidence(_Rank.LAND_PATTERN_LETTER, kinds()["connector"], f"“{texts.package}” as the package")
    letter = _LAND_PATTERN_LETTER.match(texts.package)
    if letter is not None and (kind := kind_of_prefix(letter[1])) is not None:
        yield _Evidence(_Rank.LAND_PATTERN_LETTER, kind, f"“{letter[0]}” in the package")
    if (kind := kind_in_value(texts.value)) is not None:
        yield _Evidence(_Rank.UNIT, kind, f"the unit in “{texts.value.strip()}”")
    for text in (texts.value, texts.mpn):
        if (kind := kind_in_number(text)) is not None:
            yield _Evidence(_Rank.NUMBER, kind, f"the number “{text.strip()}”")


_HINT_STRENGTH = 3
_PIN_GRID = re.compile(r"(?:PINHD|HDR)?[-_]?\d{1,2}[Xx]\d{1,2}")
_LAND_PATTERN_LETTER = re.compile(r"([RCLD])(?=[-_]?\d{4})")
