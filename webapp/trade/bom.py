"""A bill of materials as understood: lines with their designators, what was passed over, and what looks wrong.

Rows are 1-based spreadsheet rows or CSV records (blank ones count; fixed-width text: physical lines; a continued
cell: its first row). Quantities are as printed. ``None`` is "the file does not say".
"""

from collections import Counter
from dataclasses import dataclass, field
from enum import StrEnum


class Field(StrEnum):
    """What a column of a BOM can hold, of those that matter here."""

    REFDES = "refdes"
    QTY = "qty"
    MPN = "mpn"
    MANUFACTURER = "manufacturer"
    VALUE = "value"
    DESCRIPTION = "description"
    PACKAGE = "package"
    SIDE = "side"
    DNP = "dnp"


class Fitting(StrEnum):
    """What a person says of a whole row, against what was read."""

    FITTED = "fitted"
    DNP = "dnp"
    SKIP = "skip"


@dataclass(frozen=True, slots=True)
class Alternate:
    """Another part that may stand in a line's place."""

    manufacturer: str | None
    mpn: str | None


@dataclass(frozen=True, slots=True)
class BomLine:
    """One line: a part and the places it goes to.

    ``refdes`` holds every designator of the line in the order printed, those not fitted (``dnp_refdes``) and those
    that are no placement (``excluded_refdes``: fiducials, holes, logos, bare board, solder jumpers, test points)
    included; a row without designators (a loose part, an alternate) has none. ``mpn`` and ``manufacturer`` are as
    printed; where one cell holds maker and number, or several parts, ``read_as`` is the part to use and
    ``alternates`` are the others. ``alternate_of`` is the row of the line for which this one is an alternate.
    ``loose``: the row names no designator, or words in their place (then ``refdes`` holds the words, all excluded).
    """

    row: int
    refdes: tuple[str, ...] = ()
    dnp_refdes: tuple[str, ...] = ()
    excluded_refdes: tuple[str, ...] = ()
    qty: float | None = None
    mpn: str | None = None
    manufacturer: str | None = None
    value: str | None = None
    description: str | None = None
    package: str | None = None
    side: str | None = None
    alternates: tuple[Alternate, ...] = ()
    read_as: Alternate | None = None
    alternate_of: int | None = None
    loose: bool = False

    @property
    def fitted_refdes(self) -> tuple[str, ...]:
        """Designators placed on the board: all less those not fitted and those that are no placement."""
        if not self.dnp_refdes and not self.excluded_refdes:
            return self.refdes
        out = {*self.dnp_refdes, *self.excluded_refdes}
        return tuple(name for name in self.refdes if name not in out)


@dataclass(frozen=True, slots=True)
class Skip:
    """A row that is no line.

    ``reason``: blank, rule (dashes), title, header, heading, continued (belongs to the line above), footer, note,
    duplicate (the whole list again), left_out (by a person). ``text``: what the row says, shortened.
    """

    row: int
    reason: str
    text: str = ""


@dataclass(frozen=True, slots=True)
class Problem:
    """Something about a row (or the file: row ``None``) that a person should look at."""

    row: int | None
    column: str | None
    code: str
    message: str


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the table as found: position (0-based), label, header text, what it was taken for and how
    sure (0-1), and the first few different values in it."""

    index: int
    label: str
    header: str
    field: Field | None
    confidence: float
    samples: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ReadChoices:
    """What a person decides about reading a file; ``None`` leaves it to the reader.

    ``header_row`` 0 means "there is no header row". ``columns`` maps a field to a 0-based column position and, when
    given, replaces the guess wholly. ``decimal`` is "." or ",". ``rows`` overrides single rows.
    """

    sheet: str | None = None
    header_row: int | None = None
    encoding: str | None = None
    delimiter: str | None = None
    decimal: str | None = None
    columns: dict[Field, int] | None = None
    rows: dict[int, Fitting] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class BomReading:
    """All that was understood of one file.

    ``header_key`` identifies the header (names in order, case and blanks folded), so that a person's mapping can be
    remembered for the next file of the same origin. ``preview`` holds the first rows of the sheet as text.
    ``maker_in_mpn``: one column holds maker and number. Where several sheets are read together, ``sheet`` names them
    all and ``sheet_starts`` gives each sheet's name and what its row numbers are raised by, so that rows stay distinct.
    """

    file: str
    is_board_bom: bool
    sheet: str | None = None
    sheets: tuple[str, ...] = ()
    header_row: int | None = None
    encoding: str | None = None
    delimiter: str | None = None
    decimal: str = "."
    header_key: str = ""
    table: tuple[Column, ...] = ()
    lines: tuple[BomLine, ...] = ()
    skipped: tuple[Skip, ...] = ()
    problems: tuple[Problem, ...] = ()
    preview: tuple[tuple[str, ...], ...] = ()
    row_count: int = 0
    why_not_bom: str | None = None
    maker_in_mpn: bool = False
    sheet_starts: tuple[tuple[str, int], ...] = ()

    def place_of(self, row: int) -> tuple[str | None, int]:
        """The sheet (None for text files) and the row in it that ``row`` of a line, skip or problem stands for."""
        for name, start in reversed(self.sheet_starts):
            if row > start:
                return name, row - start
        return self.sheet, row

    def columns(self) -> dict[str, str | None]:
        """Field -> label of the column it was read from, for every field."""
        found = {column.field: column.label for column in self.table if column.field is not None}
        if self.maker_in_mpn:
            found[Field.MANUFACTURER] = found[Field.MPN]
        return {name.value: found.get(name) for name in Field}

    @property
    def excluded(self) -> set[str]:
        """Distinct designators that are no placement."""
        return {name for line in self.lines if not line.loose for name in line.excluded_refdes} - self.fitted

    @property
    def fitted(self) -> set[str]:
        """Distinct designators placed on the board."""
        return {name for line in self.lines for name in line.fitted_refdes}

    @property
    def dnp_count(self) -> int:
        """Placements listed but fitted nowhere. A name printed twice in one cell stands for two places."""
        listed: Counter[str] = Counter()
        for line in self.lines:
            listed |= Counter(line.dnp_refdes)
        fitted = self.fitted
        return sum(count for name, count in listed.items() if name not in fitted)
