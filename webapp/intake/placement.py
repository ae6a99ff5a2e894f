"""Placement files: designator, x, y, rotation, side in any layout; they give a BOM's lines their sides."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from webapp.errors import UnreadableFileError
from webapp.intake.book import read_book
from webapp.intake.columns import labels
from webapp.intake.designators import looks_like_designator
from webapp.intake.limits import Limits
from webapp.intake.names import fold, meaning
from webapp.intake.sides import side_of
from webapp.trade.bom import Field
from webapp.trade.placement import Placement, PlacementReading

SEARCHED_ROWS = 120
_X = re.compile(
    r"(?:(?:pos|mid|center|centre|ref|pad|loc|location|coord|component|part|pcb|cen) ?)?x"
    r"(?: ?(?:pos|position|coord|coordinate|location|loc|axis|center))?(?: ?(?:mm|mil|mils|inch|in|um))?"
    r"|坐标x|中心x.*|x坐标|x座標"
)
_Y = re.compile(_X.pattern.replace("?x", "?y").replace("坐标x|中心x.*|x坐标|x座標", "坐标y|中心y.*|y坐标|y座標"))
_ROTATION = re.compile(
    r"(?:rot|rotation|rotate|angle|orientation|orient|theta)(?: ?(?:deg|degrees))?|drehung|winkel"
    r"|角度|旋转角?度?|回転角?度?"
)


@dataclass(frozen=True, slots=True)
class _Columns:
    refdes: int
    x: int
    y: int
    rotation: int | None = None
    side: int | None = None


@dataclass(slots=True)
class _Found:
    row: int
    columns: _Columns
    header: list[str] = field(default_factory=list)


def is_placement_header(cells: Sequence[str]) -> bool:
    """Whether a header is that of a placement file: designator, x, y and rotation, no quantity and no part number."""
    if _columns(cells) is None and not _names_places(cells):
        return False
    named = {f for cell in cells for f, weight in meaning(cell.strip()).weights.items() if weight >= 1.0}
    return not named & {Field.QTY, Field.MPN, Field.MANUFACTURER}


def _names_places(cells: Sequence[str]) -> bool:
    """Whether a header names x, y and a rotation, which no other list does."""
    plain = [fold(cell) for cell in cells]
    return all(any(map(test.fullmatch, plain)) for test in (_X, _Y, _ROTATION))


def _columns(cells: Sequence[str]) -> _Columns | None:
    plain = [fold(cell) for cell in cells]
    x = next((i for i, name in enumerate(plain) if _X.fullmatch(name)), None)
    y = next((i for i, name in enumerate(plain) if _Y.fullmatch(name)), None)
    refdes = _best(cells, Field.REFDES)
    if x is None or y is None or refdes is None:
        return None
    rotation = next((i for i, name in enumerate(plain) if _ROTATION.fullmatch(name)), None)
    return _Columns(refdes, x, y, rotation, _best(cells, Field.SIDE))


def _best(cells: Sequence[str], wanted: Field) -> int | None:
    weights = [(meaning(cell.strip()).weights.get(wanted, 0.0), -i) for i, cell in enumerate(cells)]
    weight, index = max(weights, default=(0.0, 0))
    return -index if weight > 0 else None


def read_placement(content: bytes, filename: str, limits: Limits | None = None) -> PlacementReading:
    """Read a placement file of any layout; raises UnreadableFileError where there is no such table in it."""
    book = read_book(content, filename, limits=limits or Limits())
    for sheet in book.sheets:
        found = _find(sheet.rows)
        if found is not None:
            return _read(filename, sheet.rows, found)
    raise UnreadableFileError(
        f"{filename} is no placement file: no row names a designator, an x and a y column", code="no_placement_table"
    )


def _find(rows: Sequence[Sequence[str]]) -> _Found | None:
    for number, cells in enumerate(rows[:SEARCHED_ROWS], start=1):
        columns = _columns(cells)
        if columns is not None:
            return _Found(number, columns, labels(list(cells)))
    return None


def _read(filename: str, rows: Sequence[Sequence[str]], found: _Found) -> PlacementReading:
    at = found.columns
    placements: list[Placement] = []
    skipped: list[tuple[int, str]] = []
    for number, cells in enumerate(rows[found.row :], start=found.row + 1):
        name = _cell(cells, at.refdes)
        x, y = _number(_cell(cells, at.x)), _number(_cell(cells, at.y))
        if not name or x is None or y is None or not (looks_like_designator(name) or name.replace("_", "").isalnum()):
            if any(cell.strip() for cell in cells):
                skipped.append((number, " ".join(cells)[:80]))
            continue
        side = side_of(_cell(cells, at.side))
        placements.append(Placement(number, name, x, y, _number(_cell(cells, at.rotation)), side))
    names = found.header
    columns = {"refdes": names[at.refdes], "x": names[at.x], "y": names[at.y]}
    columns |= {key: names[i] for key, i in (("rotation", at.rotation), ("side", at.side)) if i is not None}
    return PlacementReading(filename, found.row, columns, tuple(placements), tuple(skipped))


def _cell(cells: Sequence[str], position: int | None) -> str:
    return cells[position].strip().strip('"') if position is not None and position < len(cells) else ""


def _number(text: str) -> float | None:
    match = re.fullmatch(
        r"([+-]?\d+(?:[.,]\d+)?(?:e[+-]?\d+)?)\s*(?:mm|mil|mils|in|inch|um|µm|°|deg)?", text, re.IGNORECASE
    )
    return float(match[1].replace(",", ".")) if match else None
