"""A placement file as understood: where each designator sits. Positions are in the file's own unit and origin."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Placement:
    """One designator's place: x and y as printed, rotation in degrees, side "top" or "bottom"; None is "not said"."""

    row: int
    refdes: str
    x: float
    y: float
    rotation_deg: float | None
    side: str | None


@dataclass(frozen=True, slots=True)
class PlacementReading:
    """All places of one file, its columns by name, and the rows passed over as (row, text)."""

    file: str
    header_row: int
    columns: dict[str, str]
    placements: tuple[Placement, ...]
    skipped: tuple[tuple[int, str], ...] = ()

    def sides(self) -> dict[str, str]:
        """Designator -> side, for those whose side the file says."""
        return {place.refdes: place.side for place in self.placements if place.side is not None}
