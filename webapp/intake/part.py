"""One sheet of a BOM being read: its tables in order, and what stands outside them."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from webapp.intake.columns import ColumnPlan
from webapp.intake.doubts import find_problems
from webapp.intake.drafts import Draft
from webapp.intake.lines import TableLines, apply_notes, fitted_otherwise, read_lines, titles_above
from webapp.intake.maker import Block
from webapp.intake.notes import Notes
from webapp.intake.sides import side_named
from webapp.intake.tables import Table
from webapp.trade.bom import BomLine, Field, Fitting, Problem, Skip

_TEXT_LENGTH = 120


class SheetPart:
    """The rows of one sheet as lines and skips. Rows that it gives out are raised by ``start``.

    ``is_out``: the sheet's name says that the parts on it are not fitted; those on lines of other sheets (``known``)
    are then only listed here.
    """

    def __init__(
        self, draft: Draft, start: int, decimal: str, overrides: Mapping[int, Fitting], known: set[str], *, is_out: bool
    ) -> None:
        self.draft = draft
        self.start = start
        self.decimal = decimal
        self._overrides = {row - start: said for row, said in overrides.items() if row > start}
        self._tables: list[tuple[Table, ColumnPlan, TableLines]] = []
        sheet = draft.sheet
        block = Block(is_out, side_named(sheet.name))
        for table, plan in zip(draft.tables, draft.plans, strict=True):
            found = read_lines(
                sheet.rows,
                table,
                plan,
                decimal,
                self._overrides,
                block,
                covered=sheet.covered,
                known=known if is_out else (),
            )
            self._tables.append((table, plan, found))
            block = found.block

    def texts(self) -> list[tuple[int, str]]:
        """What may say something of single designators."""
        own = titles_above(self.draft.sheet.rows, self.draft.tables[0])
        texts = own + [text for _, _, found in self._tables for text in found.texts]
        return [(row + self.start, text) for row, text in texts]

    def listed_out(self) -> set[str]:
        """Designators listed as not fitted that have a line elsewhere."""
        return {name for _, _, found in self._tables for name in found.listed_out}

    def lines(self, notes: Notes) -> list[BomLine]:
        """The lines, with what the notes say of them."""
        rows = self.draft.sheet.rows
        lines = [
            line
            for _, plan, found in self._tables
            for line in apply_notes(found.lines, rows, plan, notes, self._overrides)
        ]
        return [self._raised(line) for line in lines] if self.start else lines

    def _raised(self, line: BomLine) -> BomLine:
        other = line.alternate_of
        return replace(line, row=line.row + self.start, alternate_of=None if other is None else other + self.start)

    def fitted_otherwise(self) -> list[str]:
        """Designators that are fitted on one variant of the board and not on another."""
        rows = self.draft.sheet.rows
        return [
            name for table, plan, found in self._tables for name in fitted_otherwise(found.lines, rows, table, plan)
        ]

    def skips(self) -> list[Skip]:
        """All rows that are no lines."""
        found = [*self._outside(), *(skip for _, _, found in self._tables for skip in found.skipped)]
        return [replace(skip, row=skip.row + self.start) for skip in found] if self.start else found

    def _outside(self) -> Iterator[Skip]:
        """The rows above the tables, and the header rows themselves."""
        rows = self.draft.sheet.rows
        headers = {table.header_row for table, _, _ in self._tables if table.header_row}
        inside = 0
        for table, _, _ in self._tables:
            for number in range(inside + 1, table.first_row):
                text = " ".join(" ".join(cell[:_TEXT_LENGTH].split()) for cell in rows[number - 1] if cell.strip())
                is_header = number in headers or number - 1 in headers
                reason = "blank" if not text else "header" if is_header else "title"
                yield Skip(number, reason, text[:_TEXT_LENGTH])
            inside = table.last_row

    def doubts(self, lines: Sequence[BomLine]) -> Iterator[Problem]:
        """What looks wrong in those of ``lines`` that are of this sheet."""
        for table, plan, _ in self._tables:
            first, last = table.first_row + self.start, table.last_row + self.start
            own = [line for line in lines if first <= line.row <= last]
            yield from find_problems(own, plan, self.draft.sheet, self._quantity_cells(table, plan), self.start)

    def _quantity_cells(self, table: Table, plan: ColumnPlan) -> dict[int, str]:
        """The quantities as printed, by row as given out."""
        position = plan.position(Field.QTY)
        if position is None:
            return {}
        rows = enumerate(
            self.draft.sheet.rows[table.first_row - 1 : table.last_row], start=table.first_row + self.start
        )
        return {number: row[position].strip() for number, row in rows if position < len(row) and row[position]}
