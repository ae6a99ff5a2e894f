"""A sheet with its tables found and their columns planned, before any line is made."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from webapp.intake.columns import ColumnPlan, plan_columns
from webapp.intake.content import fitness, spread
from webapp.intake.designators import looks_like_designator, parse_designators
from webapp.intake.grid import Row, Sheet
from webapp.intake.lines import titles_above
from webapp.intake.loose import told_in_full
from webapp.intake.names import meaning
from webapp.intake.placement import is_placement_header
from webapp.intake.spilled import mend_row, with_letters
from webapp.intake.tables import Table, find_tables
from webapp.trade.bom import Field, ReadChoices

_ENOUGH = 0.6
_WRAPS = frozenset("='")
_AS_TEXT = re.compile(r"""\A(?:="([^"]*)"|'([^'\s][^']*))\Z""")


@dataclass(frozen=True, slots=True)
class Draft:
    """A sheet with its tables and columns planned; ``promise`` estimates how good a BOM it is."""

    sheet: Sheet
    tables: tuple[Table, ...]
    plans: tuple[ColumnPlan, ...]
    promise: float

    def names(self) -> set[str]:
        """All designators of the sheet."""
        found: set[str] = set()
        for table, plan in zip(self.tables, self.plans, strict=True):
            for position in _refdes_positions(plan):
                for row in self.sheet.rows[table.first_row - 1 : table.last_row]:
                    if position < len(row) and row[position]:
                        cell = parse_designators(row[position])
                        found.update(name for name in cell.names if name.isupper() or looks_like_designator(name))
        return found


def draft_of(sheet: Sheet, choices: ReadChoices, *, is_text: bool) -> Draft:
    """The sheet's tables as found, or as a person chose; ``is_text``: lists may have spilled over separators."""
    if is_text:
        sheet = replace(sheet, rows=[_unwrapped(row) for row in sheet.rows])
    tables = tuple(find_tables(sheet.rows, choices.header_row))
    if is_text:
        sheet = replace(sheet, rows=_mended(sheet.rows, tables))
    draft = _planned(sheet, tables, choices)
    if draft.promise or choices.columns is not None:
        return draft
    return next(
        (
            other
            for rows in _rearranged(sheet.rows, tables[0])
            if (other := _planned(replace(sheet, rows=rows), tables, choices)).promise
        ),
        draft,
    )


def _rearranged(rows: list[Row], table: Table) -> Iterator[list[Row]]:
    """The rows of a table without a column of designators, with one put together: of a column of letters and one of
    numbers beside it, or of a column of texts that each tell a line of the BOM. Other columns stay where they are."""
    body = rows[table.first_row - 1 : table.last_row]
    above, below = rows[: table.first_row - 1], rows[table.last_row :]
    joined = with_letters(body)
    if joined is not None:
        yield [*above, *joined, *below]
    width = max(map(len, rows), default=0)
    for at in range(width):
        told = told_in_full([row[at] if at < len(row) else "" for row in body])
        if told is not None:
            cells = [_told_row(row, at, found, width) for row, found in zip(body, told, strict=True)]
            yield [*above, *cells, *below]


def _told_row(row: Row, at: int, told: Row, width: int) -> Row:
    """A row with the designators in the place of the text that tells them, count and rest in columns of their own."""
    if len(told) < 2:
        return row
    count, names, *rest = told
    return [*row[:at], names, *row[at + 1 :], *[""] * (width - len(row)), count, *rest]


def continued_draft(sheet: Sheet, before: Draft, choices: ReadChoices) -> Draft | None:
    """A sheet without a header of its own read under that of the sheet ``before``; None where it does not fit there."""
    first, plan = before.tables[0], before.plans[0]
    position = plan.position(Field.REFDES)
    if position is None or first.header_row is None:
        return None
    cells = spread([row[position] for row in sheet.rows if position < len(row)])
    width = max(map(len, sheet.rows), default=0)
    if fitness(Field.REFDES, cells) < _ENOUGH or abs(width - len(first.header)) > 1:
        return None
    return _planned(sheet, (Table(None, first.header, 1, len(sheet.rows), first.groups),), choices)


def _planned(sheet: Sheet, tables: tuple[Table, ...], choices: ReadChoices) -> Draft:
    titles = [text for _, text in titles_above(sheet.rows, tables[0])]
    plans = []
    for table in tables:
        body = [row for row in sheet.rows[table.first_row - 1 : table.last_row] if row]
        plans.append(plan_columns(table.header or None, body, choices.columns, table.groups, titles))
    return Draft(sheet, tables, tuple(plans), sum(map(_promise, plans, tables, [sheet] * len(tables))))


def _promise(plan: ColumnPlan, table: Table, sheet: Sheet) -> float:
    """Rows of the designator column that hold designators, more when other fields stand beside them."""
    position = plan.position(Field.REFDES)
    if position is None or is_placement_header(table.header):
        return 0.0
    body = sheet.rows[table.first_row - 1 : table.last_row]
    filled = [row[position] for row in body if position < len(row) and row[position].strip()]
    fields = sum(1 for column in plan.columns if column.field is not None)
    return fitness(Field.REFDES, spread(filled)) * len(filled) * (1 + 0.2 * fields)


def _refdes_positions(plan: ColumnPlan) -> Sequence[int]:
    first = plan.position(Field.REFDES)
    return [] if first is None else [first, *(more.position for more in plan.more_refdes)]


def _unwrapped(row: Row) -> Row:
    """The cells without the signs that keep a spreadsheet from changing them: ="0012" and '0012."""
    if not any(cell[:1] in _WRAPS for cell in row):
        return row
    return [_AS_TEXT.sub(r"\1\2", cell) if cell[:1] in _WRAPS else cell for cell in row]


def _mended(rows: list[Row], tables: Sequence[Table]) -> list[Row]:
    """The rows of a text file with lists put back together that were written without quotation marks."""
    mended = rows
    for table in tables:
        width = len(table.header)
        at = next((i for i, name in enumerate(table.header) if Field.REFDES in meaning(name).weights), None)
        if at is None:
            continue
        for i in range(table.first_row - 1, table.last_row):
            if len(rows[i]) > width and (row := mend_row(rows[i], width, at)) is not rows[i]:
                mended = list(rows) if mended is rows else mended
                mended[i] = row
    return mended
