"""Tables of standards, properties and practice: one CSV file each beside this module, read once.

Every row says where it comes from: ``reference`` (the document), ``clause`` (from memory unless the document seen
prints it), ``status`` (opened, derived, practice or memory: see ``webapp.trade.sources``), ``seen_in`` (keys of
sources.csv: where the value was read, mostly documents that quote the standard) and ``note``.
"""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import isinf
from pathlib import Path

from webapp.trade.ranges import Span, number_text
from webapp.trade.sources import Kind, Source, Status

_FOLDER = Path(__file__).resolve().parent


@dataclass(frozen=True, slots=True)
class Interval:
    """A cell of a table's axis, written "[1.6, 2.5)": a round bracket leaves the end out."""

    low: float
    high: float
    low_in: bool
    high_in: bool

    @classmethod
    def parse(cls, text: str) -> "Interval":
        """Read "[0, 1.6)"; ValueError when the text is none."""
        low, high = (float(end) for end in text[1:-1].split(","))
        if text[0] not in "[(" or text[-1] not in "])":
            raise ValueError(f"no interval: {text!r}")
        return cls(low, high, text[0] == "[", text[-1] == "]")

    @property
    def words(self) -> str:
        """ "from 0 to below 1.6", "above 2000"."""
        low = f"{'from' if self.low_in else 'above'} {number_text(self.low)}"
        return low if isinf(self.high) else f"{low} {'to' if self.high_in else 'to below'} {number_text(self.high)}"

    def meets(self, span: Span) -> bool:
        """Whether some value of ``span`` lies in the cell."""
        above = span.high > self.low or (self.low_in and span.high == self.low)
        below = span.low < self.high or (self.high_in and span.low == self.high)
        return above and below


@dataclass(frozen=True, slots=True)
class Row:
    """One row: cells by column name. A wrong name or number is a fault of the table: KeyError, ValueError."""

    cells: Mapping[str, str]

    def text(self, name: str) -> str:
        """The cell as written."""
        return self.cells[name]

    def number(self, name: str) -> float:
        """The cell as a number; "inf" is none too many."""
        return float(self.cells[name])

    def flag(self, name: str) -> bool:
        """Whether the cell says yes; "no" or nothing is no."""
        return {"yes": True, "no": False, "": False}[self.cells[name]]

    def span(self, name: str) -> Span:
        """The cell as a range: "60..120", or one number."""
        low, _, high = self.cells[name].partition("..")
        return Span(float(low), float(high or low))

    def interval(self, name: str) -> Interval:
        """The cell as a cell of an axis."""
        return Interval.parse(self.cells[name])

    def source(self, prefix: str = "", *, reference: str = "", kind: Kind = Kind.STANDARD) -> Source:
        """Where the row comes from; ``prefix`` picks the status where a row holds values of two origins."""
        seen = self.cells[f"{prefix}seen_in"]
        words = [seen_words(seen), self.cells["note"]]
        return Source(
            kind,
            reference or self.cells["reference"],
            Status(self.cells[f"{prefix}status"]),
            self.cells.get("clause", ""),
            ". ".join(filter(None, words)),
        )


@cache
def rows(name: str) -> tuple[Row, ...]:
    """All rows of the table ``name`` (without ".csv"), in the order of the file."""
    with (_FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(Row(cells) for cells in csv.DictReader(file))


def names() -> tuple[str, ...]:
    """The names of all tables, sorted."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.csv")))


def seen_words(keys: str) -> str:
    """Where a value was read, in words; "" for none."""
    known = _documents()
    read_in = [known[key] for key in keys.split()]
    return f"Read in: {'; '.join(read_in)}" if read_in else ""


@cache
def _documents() -> Mapping[str, str]:
    return {row.text("id"): row.text("what") for row in rows("sources")}
