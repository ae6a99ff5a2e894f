"""The sides of a board's lines, from a placement file: joined by designator."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace

from webapp.trade.bom import BomLine, BomReading, Problem
from webapp.trade.order import in_order
from webapp.trade.placement import PlacementReading

TOP, BOTTOM, BOTH = "top", "bottom", "both"


@dataclass(frozen=True, slots=True)
class SidesJoined:
    """A reading with the sides of a placement file.

    ``bottom_refdes``: row of a line with parts on both sides -> its designators on the bottom. ``not_in_bom``:
    designators of the placement file that the BOM lacks; ``not_in_file``: fitted designators that the file lacks.
    """

    reading: BomReading
    bottom_refdes: Mapping[int, tuple[str, ...]]
    not_in_bom: tuple[str, ...] = ()
    not_in_file: tuple[str, ...] = ()


def join_sides(reading: BomReading, placement: PlacementReading | None) -> SidesJoined:
    """``reading`` with each line's side as the placement file says; where both name a side, the placement file counts.

    A line all of whose known designators sit on one side gets that side, one with designators on both gets "both".
    """
    if placement is None:
        return SidesJoined(reading, {})
    sides = {name.upper(): side for name, side in placement.sides().items()}
    lines: list[BomLine] = []
    bottoms: dict[int, tuple[str, ...]] = {}
    problems: list[Problem] = []
    for line in reading.lines:
        found = _by_side(line, sides)
        if not found:
            lines.append(line)
            continue
        side = BOTH if len(found) > 1 else next(iter(found))
        if side == BOTH:
            bottoms[line.row] = tuple(found[BOTTOM])
        if line.side in (TOP, BOTTOM) and line.side != side:
            problems.append(_contradiction(line, side, reading))
        lines.append(replace(line, side=side))
    listed = {name.upper() for line in reading.lines for name in line.refdes}
    placed = {place.refdes.upper() for place in placement.placements}
    joined = replace(
        reading,
        lines=tuple(lines),
        problems=tuple(sorted((*reading.problems, *problems), key=lambda problem: problem.row or 0)),
    )
    return SidesJoined(
        joined,
        bottoms,
        not_in_bom=in_order(place.refdes for place in placement.placements if place.refdes.upper() not in listed),
        not_in_file=in_order(name for name in reading.fitted if name.upper() not in placed),
    )


def _by_side(line: BomLine, sides: Mapping[str, str]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = defaultdict(list)
    for name in line.refdes:
        side = sides.get(name.upper())
        if side is not None:
            found[side].append(name)
    return found


def _contradiction(line: BomLine, side: str, reading: BomReading) -> Problem:
    where = "on both sides" if side == BOTH else f"on the {side}"
    message = f"the BOM says {line.side}, the placement file {where}: the placement file counts"
    return Problem(line.row, reading.columns()["side"], "side_differs", message)
