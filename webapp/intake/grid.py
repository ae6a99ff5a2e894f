"""What every kind of file becomes first: named tables of text cells, as printed, rows where the file has them."""

import datetime
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

Row = list[str]
Kind = Literal["csv", "fixed", "workbook"]
CellValue = int | float | str | bool | datetime.time | datetime.date | datetime.datetime | datetime.timedelta


@dataclass(frozen=True, slots=True)
class Note:
    """Something about reading the file that a person may want to know: a code, a sentence, the 1-based row if one."""

    code: str
    message: str
    row: int | None = None


@dataclass(frozen=True, slots=True)
class Marks:
    """What a sheet shows to the eye only: hidden rows (1-based) and columns (0-based), and by row the letters of the
    columns whose cells are struck through."""

    rows: Collection[int] = ()
    columns: Collection[int] = ()
    struck: Mapping[int, Sequence[str]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table.

    ``rows[i]`` is spreadsheet row, CSV record or physical line ``i + 1``; a blank one is an empty list, and rows may
    differ in length. Cells are text as printed, not trimmed. Rows end with the last one that holds anything.
    ``values`` are the cells as a workbook stores them (same shape as ``rows``; empty for text files). ``covered``: of
    cells merged over several rows, the columns (0-based) by row (1-based) that a cell above covers.
    """

    name: str
    rows: list[Row]
    values: Sequence[Sequence[CellValue]] = ()
    hidden: bool = False
    covered: Mapping[int, Collection[int]] = field(default_factory=dict)
    marks: Marks = field(default_factory=Marks)

    def numbers(self, column: int) -> frozenset[int]:
        """The 0-based rows where a workbook stores a number in the 0-based ``column``.

        A part number stored as a number has lost leading zeros and any digits past the fifteenth.
        """
        return frozenset(
            row
            for row, values in enumerate(self.values)
            if column < len(values) and values[column].__class__ in (int, float)
        )


@dataclass(frozen=True, slots=True)
class Book:
    """A file as tables. Text files have one sheet without a name; ``encoding`` and ``delimiter`` are None for workbooks
    and ``delimiter`` is None for fixed-width text.

    ``encoding`` is a Python codec name, or "mixed: cp1252, utf-8" when lines differ. ``decimal_hint`` is "." or ",",
    None if nothing in the file speaks for either.
    """

    file: str
    kind: Kind
    sheets: tuple[Sheet, ...]
    encoding: str | None = None
    delimiter: str | None = None
    decimal_hint: str | None = None
    notes: tuple[Note, ...] = field(default=())

    def sheet(self, name: str) -> Sheet | None:
        """The sheet of that name, None if there is none."""
        return next((sheet for sheet in self.sheets if sheet.name == name), None)
