"""What changes from one list of a board's parts to the next, by designator."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from webapp.trade.bom import BomLine
from webapp.trade.order import in_order


@dataclass(frozen=True, slots=True)
class Place:
    """What sits at one designator; ``None`` is "the file does not say"."""

    fitted: bool
    mpn: str | None
    manufacturer: str | None
    value: str | None
    package: str | None


@dataclass(frozen=True, slots=True)
class Change:
    """The same change at one or more designators: what changes, before, after."""

    refdes: tuple[str, ...]
    details: tuple[tuple[str, str | None, str | None], ...]


@dataclass(frozen=True, slots=True)
class Difference:
    """Designators that come, go and change, in their order. What is no placement (fiducials ...) is left aside."""

    added: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()
    changes: tuple[Change, ...] = ()
    unchanged: int = 0

    @property
    def changed(self) -> int:
        """How many designators change."""
        return sum(len(change.refdes) for change in self.changes)

    @property
    def is_none(self) -> bool:
        """Whether nothing comes, goes or changes."""
        return not (self.added or self.removed or self.changes)


def places_of(lines: Iterable[BomLine]) -> dict[str, Place]:
    """Designator -> what sits there; where one is listed both fitted and not, the fitted line counts."""
    places: dict[str, Place] = {}
    for line in lines:
        out, none = set(line.dnp_refdes), set(line.excluded_refdes)
        part = line.read_as
        mpn = part.mpn if part and part.mpn else line.mpn
        maker = part.manufacturer if part and part.manufacturer else line.manufacturer
        for name in line.refdes:
            known = places.get(name)
            if name not in none and (known is None or (not known.fitted and name not in out)):
                places[name] = Place(name not in out, mpn, maker, line.value, line.package)
    return places


def difference(before: Iterable[BomLine], after: Iterable[BomLine]) -> Difference:
    """From the lines ``before`` to those ``after``. Case and blanks within texts are no difference."""
    old, new = places_of(before), places_of(after)
    grouped: dict[tuple[tuple[str, str | None, str | None], ...], list[str]] = defaultdict(list)
    for name in in_order(old.keys() & new.keys()):
        grouped[_details(old[name], new[name])].append(name)
    unchanged = grouped.pop((), [])
    return Difference(
        added=in_order(new.keys() - old.keys()),
        removed=in_order(old.keys() - new.keys()),
        changes=tuple(Change(tuple(names), details) for details, names in grouped.items()),
        unchanged=len(unchanged),
    )


def _details(old: Place, new: Place) -> tuple[tuple[str, str | None, str | None], ...]:
    details: list[tuple[str, str | None, str | None]] = []
    if old.fitted != new.fitted:
        details.append(("fitting", _fitting(old), _fitting(new)))
    for what, before, after in (
        ("part number", old.mpn, new.mpn),
        ("manufacturer", old.manufacturer, new.manufacturer),
        ("value", old.value, new.value),
        ("package", old.package, new.package),
    ):
        if _folded(before) != _folded(after):
            details.append((what, before, after))
    return tuple(details)


def _fitting(place: Place) -> str:
    return "fitted" if place.fitted else "not fitted"


def _folded(text: str | None) -> str:
    return "".join((text or "").split()).casefold()
