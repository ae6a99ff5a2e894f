"""How much a BOM as understood holds, in the counts that a person checks it by."""

from dataclasses import dataclass

from webapp.trade.bom import BomReading

# Rows that nobody could miss: their number says nothing about what was left out.
SILENT_SKIPS = frozenset({"blank", "rule", "header", "continued"})


@dataclass(frozen=True, slots=True)
class Tally:
    """``fitted``, ``dnp`` and ``excluded`` count designators, each once; ``loose`` lines without a designator.

    ``skipped`` are rows passed over that hold something; ``problems`` what a person should look at.
    """

    lines: int = 0
    fitted: int = 0
    dnp: int = 0
    excluded: int = 0
    loose: int = 0
    skipped: int = 0
    problems: int = 0


def tally(reading: BomReading) -> Tally:
    """The counts of one reading."""
    return Tally(
        lines=len(reading.lines),
        fitted=len(reading.fitted),
        dnp=reading.dnp_count,
        excluded=len(reading.excluded),
        loose=sum(1 for line in reading.lines if line.loose and line.alternate_of is None),
        skipped=sum(1 for skip in reading.skipped if skip.reason not in SILENT_SKIPS),
        problems=len(reading.problems),
    )
