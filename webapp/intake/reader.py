"""A file becomes a BOM as understood: the best sheet, its tables, their columns, their lines.

``read_bom`` never guesses silently: what it took for what is in the result, with a confidence, and a person's choices
replace any of it.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from webapp.errors import UnreadableFileError
from webapp.intake.book import read_book
from webapp.intake.columns import ColumnPlan, plan_columns
from webapp.intake.content import fitness, has_common_letters, spread
from webapp.intake.doubts import find_problems
from webapp.intake.grid import Book, Sheet
from webapp.intake.limits import Limits
from webapp.intake.lines import TableLines, read_lines
from webapp.intake.names import fold
from webapp.intake.placement import is_placement_header
from webapp.intake.quantity import decimal_sign
from webapp.intake.tables import SEARCHED_ROWS, Table, find_tables
from webapp.trade.bom import BomLine, BomReading, Column, Field, Problem, ReadChoices, Skip

_OF_PARTS = frozenset({Field.MPN, Field.MANUFACTURER, Field.VALUE, Field.PACKAGE})
# Names that stand over many other things than designators.
_VAGUE = frozenset("location locations position positions pos loc place id label name item instance instances".split())
PREVIEW_ROWS = 30
PREVIEW_COLUMNS = 24
PREVIEW_TEXT = 60
_TWICE_SHARE = 0.8  # of all designators
_TWICE_LINES = 2


def read_bom(
    content: bytes, filename: str, choices: ReadChoices | None = None, limits: Limits | None = None
) -> BomReading:
    """Read the file ``content`` named ``filename`` as a BOM.

    A file that can be read but is no board BOM comes back with ``is_board_bom`` False and ``why_not_bom``; one that
    cannot be read raises UnreadableFileError.
    """
    choices = choices or ReadChoices()
    book = read_book(
        content, filename, encoding=choices.encoding, delimiter=choices.delimiter, limits=limits or Limits()
    )
    drafts = [_draft(sheet, choices) for sheet in _candidates(book, choices)]
    best = max(drafts, key=lambda draft: draft.promise)  # the first of equals
    reading = _read(book, best, choices)
    others = [d.sheet.name for d in drafts if d is not best and d.promise > 0.25 * best.promise and d.promise > 3]
    if others and choices.sheet is None:
        text = "also looks like a BOM and was not read" if len(others) == 1 else "also look like BOMs and were not read"
        problem = Problem(None, None, "other_sheets", f"sheet {', '.join(others)} {text}")
        reading = replace(reading, problems=(problem, *reading.problems))
    return reading


@dataclass(frozen=True, slots=True)
class _Draft:
    """A sheet with its tables and columns planned; ``promise`` estimates how many designators it holds."""

    sheet: Sheet
    tables: list[Table]
    plans: list[ColumnPlan]
    promise: float


def _candidates(book: Book, choices: ReadChoices) -> Sequence[Sheet]:
    if choices.sheet is not None:
        chosen = book.sheet(choices.sheet)
        if chosen is None:
            raise UnreadableFileError(f'there is no sheet "{choices.sheet}" in {book.file}', code="no_such_sheet")
        return [chosen]
    return [sheet for sheet in book.sheets if not sheet.hidden] or book.sheets


def _draft(sheet: Sheet, choices: ReadChoices) -> _Draft:
    tables = find_tables(sheet.rows, choices.header_row)
    plans = []
    for table in tables:
        body = [row for row in sheet.rows[table.first_row - 1 : table.last_row] if row]
        plans.append(plan_columns(table.header if table.header_row else None, body, choices.columns, table.groups))
    return _Draft(sheet, tables, plans, sum(map(_promise, plans, tables, [sheet] * len(tables))))


def _promise(plan: ColumnPlan, table: Table, sheet: Sheet) -> float:
    """Rows of the designator column that hold designators, more when other fields stand beside them."""
    position = plan.position(Field.REFDES)
    if position is None or is_placement_header(table.header):
        return 0.0
    body = sheet.rows[table.first_row - 1 : table.last_row]
    filled = [row[position] for row in body if position < len(row) and row[position].strip()]
    fields = sum(1 for column in plan.columns if column.field is not None)
    return fitness(Field.REFDES, spread(filled)) * len(filled) * (1 + 0.2 * fields)


def _read(book: Book, draft: _Draft, choices: ReadChoices) -> BomReading:
    sheet, table, plan = draft.sheet, draft.tables[0], draft.plans[0]
    quantities = [_quantity_cells(sheet, t, p) for t, p in zip(draft.tables, draft.plans, strict=True)]
    decimal = choices.decimal or decimal_sign(cell for cells in quantities for cell in cells.values())
    parts = [
        read_lines(sheet.rows, t, p, decimal, choices.rows) for t, p in zip(draft.tables, draft.plans, strict=True)
    ]
    lines, repeated = _without_repeats(parts)
    problems = [*_notes(book), *_repeat_problem(repeated)]
    for t, p, cells in zip(draft.tables, draft.plans, quantities, strict=True):
        own = [line for line in lines if t.first_row <= line.row <= t.last_row]
        problems.extend(find_problems(own, p, sheet, cells))
    why = _why_not_bom(draft, lines, chosen=choices.columns is not None)
    return BomReading(
        file=book.file,
        is_board_bom=why is None,
        why_not_bom=why,
        sheet=sheet.name or None,
        sheets=tuple(s.name for s in book.sheets if s.name),
        header_row=table.header_row,
        encoding=book.encoding,
        delimiter=book.delimiter,
        decimal=decimal,
        header_key="|".join(fold(name) for name in table.header),
        table=plan.columns,
        maker_in_mpn=plan.both and plan.position(Field.MANUFACTURER) is None,
        lines=tuple(lines),
        skipped=tuple(
            sorted([*_before(sheet, draft), *(s for p in parts for s in p.skipped), *repeated], key=lambda s: s.row)
        ),
        problems=tuple(sorted(problems, key=lambda p: p.row or 0)),
        preview=tuple(tuple(_short(cell) for cell in row[:PREVIEW_COLUMNS]) for row in sheet.rows[:PREVIEW_ROWS]),
        row_count=len(sheet.rows),
    )


def _short(cell: str) -> str:
    return " ".join(cell[: 4 * PREVIEW_TEXT].split())[:PREVIEW_TEXT]


def _quantity_cells(sheet: Sheet, table: Table, plan: ColumnPlan) -> dict[int, str]:
    position = plan.position(Field.QTY)
    if position is None:
        return {}
    numbered = enumerate(sheet.rows[table.first_row - 1 : table.last_row], start=table.first_row)
    return {number: row[position].strip() for number, row in numbered if position < len(row) and row[position]}


def _before(sheet: Sheet, draft: _Draft) -> list[Skip]:
    """The rows above the first table, and the header rows themselves."""
    headers = {table.header_row for table in draft.tables if table.header_row}
    skips = []
    for number in range(1, draft.tables[0].first_row):
        text = " ".join(_short(cell) for cell in sheet.rows[number - 1] if cell.strip())
        reason = "header" if number in headers else "title" if text else "blank"
        skips.append(Skip(number, reason, text[:120]))
    later = [
        Skip(row, "header", " ".join(map(_short, sheet.rows[row - 1]))[:120])
        for row in headers
        if row >= draft.tables[0].first_row
    ]
    return skips + later


def _without_repeats(parts: Sequence[TableLines]) -> tuple[list[BomLine], list[Skip]]:
    """All lines, less a second listing of the whole BOM; of the two the one with quantities stays, else the first."""
    lines = [line for part in parts for line in part.lines]
    cut = _second_listing(lines)
    if cut is None:
        return lines, []
    first, second = lines[:cut], lines[cut:]
    kept, dropped = (first, second) if _quantified(first) >= _quantified(second) else (second, first)
    return kept, [Skip(line.row, "duplicate", " ".join(line.refdes)[:120]) for line in dropped]


def _second_listing(lines: Sequence[BomLine]) -> int | None:
    """Index from which on no new designator comes, if what follows names most of them again."""
    seen: set[str] = set()
    last_new = 0
    for i, line in enumerate(lines):
        if line.refdes and not seen.issuperset(line.refdes):
            last_new = i
        seen.update(line.refdes)
    repeated = [line for line in lines[last_new + 1 :] if line.refdes]
    again = {name for line in repeated for name in line.refdes}
    return last_new + 1 if len(repeated) >= _TWICE_LINES and len(again) >= _TWICE_SHARE * len(seen) else None


def _quantified(lines: Sequence[BomLine]) -> float:
    return sum(1 for line in lines if line.qty is not None) / len(lines)


def _repeat_problem(repeated: Sequence[Skip]) -> list[Problem]:
    if not repeated:
        return []
    row = repeated[0].row
    return [
        Problem(
            row,
            None,
            "bom_twice",
            f"from row {row} on the same designators are listed again: {len(repeated)} rows not taken",
        )
    ]


def _notes(book: Book) -> list[Problem]:
    return [Problem(note.row, None, note.code, note.message) for note in book.notes if note.code != "byte_order_mark"]


def _why_not_bom(draft: _Draft, lines: Sequence[BomLine], *, chosen: bool) -> str | None:
    """A sentence where the sheet is no board BOM; None where it is one. ``chosen``: a person named the columns."""
    if not any(row for row in draft.sheet.rows):
        return "the sheet is empty"
    if any(is_placement_header(t.header) for t in draft.tables) or _placement_above(draft):
        return "this is a placement file (designator, x, y, rotation): add it to a BOM instead of uploading it as one"
    plan = draft.plans[0]
    position = plan.position(Field.REFDES)
    if position is None:
        return "no column holds reference designators (R1, C5, U3 ...)"
    named = [line for line in lines if set(line.refdes) - set(line.excluded_refdes)]
    if not named:
        return f'column "{plan.columns[position].label}" holds no reference designators (R1, C5, U3 ...)'
    if len(named) < 0.2 * len(lines):
        return f"only {len(named)} of {len(lines)} rows name a reference designator"
    return None if chosen else _why_no_designators(plan, plan.columns[position], named)


def _why_no_designators(plan: ColumnPlan, column: Column, named: Sequence[BomLine]) -> str | None:
    """A sentence where what stands in ``column`` looks like designators, but its name or the rest of the table speaks
    against it; None where nothing does."""
    fields = sum(1 for other in plan.columns if other.field is not None)
    names = [name for line in named for name in line.refdes]
    repeats = len(names) - len(set(names))
    fit = _quantities_fit(named)
    found = {other.field for other in plan.columns}
    if Field.REFDES not in plan.meanings[column.index].weights:
        against = fit is False and not found & _OF_PARTS
        if fields < 2 or repeats > 0.1 * len(names) or not has_common_letters(names) or against:
            return "no column is named as reference designators, and no column's content looks like them for certain"
    elif fold(column.header) in _VAGUE:
        counted = fit and any(len(line.refdes) > 1 for line in named)
        if fit is False or not (counted or has_common_letters(names, kinds=1, share=0.5)):
            return f'column "{column.label}" holds codes of another kind, no reference designators (R1, C5, U3 ...)'
    if not found & {*_OF_PARTS, Field.QTY, Field.DESCRIPTION}:
        return f'column "{column.label}" names reference designators, but no column says which parts go there'
    return None


def _quantities_fit(named: Sequence[BomLine]) -> bool | None:
    """Whether the quantities count the designators on most lines; None where there are none."""
    ratios = Counter(line.qty / len(line.refdes) for line in named if line.qty)
    return ratios.most_common(1)[0][1] >= 0.6 * ratios.total() if ratios else None


def _placement_above(draft: _Draft) -> bool:
    return draft.tables[0].header_row is None and any(
        is_placement_header(row) for row in draft.sheet.rows[:SEARCHED_ROWS]
    )
