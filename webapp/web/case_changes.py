"""What an edit changed in a product's cases: findings by verdict, before and after."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from webapp.desk.cases import CaseEntry

COUNTED = ("blocks", "change", "prove", "gain")


@dataclass(frozen=True, slots=True)
class CaseChange:
    """How a save changed a case: (verdict, findings before, findings now), only what differs; ``is_new``: there was no
    such case before."""

    name: str
    is_new: bool
    counts: list[tuple[str, int, int]]


def standing(entries: Iterable[CaseEntry]) -> str:
    """The counts of all cases in a form that fits into an address: "12.0.3.8.1-13.2.0.1.0"."""
    return "-".join(
        ".".join(str(number) for number in (entry.id, *(getattr(entry.row, name) for name in COUNTED)))
        for entry in entries
    )


def changes(entries: Sequence[CaseEntry], before: str) -> list[CaseChange]:
    """What has changed since ``standing`` gave ``before``; what does not read as that counts for nothing."""
    was = _read_standing(before)
    found = []
    for entry in entries:
        old = was.get(entry.id)
        now = [getattr(entry.row, name) for name in COUNTED]
        pairs = zip(COUNTED, old or [0] * len(COUNTED), now, strict=True)
        found.append(CaseChange(entry.name, old is None, [pair for pair in pairs if pair[1] != pair[2]]))
    return found


def _read_standing(text: str) -> dict[int, list[int]]:
    was = {}
    for part in text[:2000].split("-"):
        numbers = [int(number) for number in part.split(".") if number.isdecimal() and len(number) < 10]
        if len(numbers) == 1 + len(COUNTED):
            was[numbers[0]] = numbers[1:]
    return was
