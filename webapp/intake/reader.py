"""A file becomes a BOM as understood: the best sheet or sheets, their tables, columns and lines.

``read_bom`` never guesses silently: what it took for what is in the result, with a confidence, and a person's choices
replace any of it.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import chain

from webapp.errors import UnreadableFileError
from webapp.intake.beside import parted
from webapp.intake.book import read_book
from webapp.intake.doubts import (
    about_columns,
    about_designators,
    about_notes,
    about_sheets,
    about_skipped,
    about_variants,
)
from webapp.intake.drafts import draft_of
from webapp.intake.grid import Book
from webapp.intake.limits import Limits
from webapp.intake.names import fold
from webapp.intake.notes import Notes, read_notes
from webapp.intake.part import SheetPart
from webapp.intake.quantity import decimal_sign
from webapp.intake.repeats import repeat_problem, without_repeats
from webapp.intake.stack import Stack, stack_up
from webapp.intake.verdict import why_not_bom
from webapp.trade.bom import BomReading, Field, Problem, ReadChoices

PREVIEW_ROWS = 30
PREVIEW_COLUMNS = 24
PREVIEW_TEXT = 60
ROWS_A_SHEET = 10_000
"""Of several sheets read together, the rows of the second count from this on, of the third from twice this: the sheet's
own row can be read off the number. Ten times as much where a sheet has more rows."""


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
    book = replace(book, sheets=tuple(chain.from_iterable(map(parted, book.sheets))))
    stack, joined = _chosen(book, choices)
    parts = _parts(book, stack, choices)
    notes = _notes_of(parts, stack.asides)
    lines, repeated = without_repeats([line for part in parts for line in part.lines(notes)])
    skipped = [*chain.from_iterable(part.skips() for part in parts), *repeated]
    reading = _reading(book, stack, parts, joined)
    reading = replace(reading, lines=tuple(lines), skipped=tuple(sorted(skipped, key=lambda skip: skip.row)))
    first = stack.parts[0]
    why = why_not_bom(first, lines, chosen=choices.columns is not None)
    problems = [
        *_book_notes(book),
        *about_sheets(reading, stack.others),
        *about_variants(first.plans[0], list(chain.from_iterable(part.fitted_otherwise() for part in parts))),
        *about_columns(reading, first.plans[0]),
        *repeat_problem(repeated),
        *about_notes(notes),
        *about_designators(reading, first.plans[0]),
        *about_skipped(reading),
        *chain.from_iterable(part.doubts(lines) for part in parts),
    ]
    return replace(
        reading,
        is_board_bom=why is None,
        why_not_bom=why,
        problems=tuple(sorted(problems, key=lambda problem: problem.row or 0)),
    )


def _chosen(book: Book, choices: ReadChoices) -> tuple[Stack, str]:
    """What is read, and the name under which several sheets are offered as one ("" where they are none)."""
    sheets = [sheet for sheet in book.sheets if not sheet.hidden] or book.sheets
    is_text = book.kind == "csv"
    wanted = choices.sheet
    only = book.sheet(wanted) if wanted is not None else None
    # A header row and columns chosen for one sheet say nothing of the others.
    general = replace(choices, header_row=None, columns=None) if only is not None else choices
    stack = stack_up([draft_of(sheet, general, is_text=is_text) for sheet in sheets], general)
    joined = stack.name if len(stack.parts) > 1 else ""
    if wanted is None or wanted == joined:
        return stack, joined
    if only is None:
        raise UnreadableFileError(f'there is no sheet "{wanted}" in {book.file}', code="no_such_sheet")
    return Stack((draft_of(only, choices, is_text=is_text),)), joined


def _parts(book: Book, stack: Stack, choices: ReadChoices) -> list[SheetPart]:
    """The sheets read."""
    step = ROWS_A_SHEET
    while step < max(len(draft.sheet.rows) for draft in stack.parts):
        step *= 10
    decimal = choices.decimal or _decimal(book, stack)
    known: set[str] = set()
    parts = []
    for i, draft in enumerate(stack.parts):
        is_out = draft.sheet.name in stack.out
        part = SheetPart(draft, i * step, decimal, choices.rows, known, is_out=is_out)
        known |= {name for line in part.lines(Notes()) for name in line.refdes} if stack.out else set()
        parts.append(part)
    return parts


def _notes_of(parts: Sequence[SheetPart], asides: Sequence[str]) -> Notes:
    """What the text around the tables, and on the sheets beside them, says."""
    notes = read_notes(chain.from_iterable(part.texts() for part in parts))
    listed = read_notes((0, text) for text in asides).names
    return replace(notes, names=notes.names.union(listed, *(part.listed_out() for part in parts)))


def _decimal(book: Book, stack: Stack) -> str:
    """The decimal sign of the quantities."""
    cells: list[str] = []
    for draft in stack.parts:
        for table, plan in zip(draft.tables, draft.plans, strict=True):
            position = plan.position(Field.QTY)
            rows = draft.sheet.rows[table.first_row - 1 : table.last_row] if position is not None else []
            cells += [row[position] for row in rows if position is not None and position < len(row)]
    return decimal_sign(cells, is_likely_comma=book.delimiter == ";")


def _reading(book: Book, stack: Stack, parts: Sequence[SheetPart], joined: str) -> BomReading:
    """What is known of the reading before its lines."""
    first = stack.parts[0]
    table, plan = first.tables[0], first.plans[0]
    rows = first.sheet.rows[:PREVIEW_ROWS]
    return BomReading(
        file=book.file,
        is_board_bom=False,
        sheet=stack.name or None,
        sheets=tuple(name for name in (joined, *(sheet.name for sheet in book.sheets)) if name),
        header_row=table.header_row,
        encoding=book.encoding,
        delimiter=book.delimiter,
        decimal=parts[0].decimal,
        header_key="|".join(map(fold, table.header)),
        table=plan.columns,
        maker_in_mpn=plan.both and plan.position(Field.MANUFACTURER) is None,
        preview=tuple(tuple(map(_short, row[:PREVIEW_COLUMNS])) for row in rows),
        row_count=parts[-1].start + len(stack.parts[-1].sheet.rows),
        sheet_starts=tuple((part.draft.sheet.name, part.start) for part in parts) if len(parts) > 1 else (),
    )


def _short(cell: str) -> str:
    return " ".join(cell[: 4 * PREVIEW_TEXT].split())[:PREVIEW_TEXT]


def _book_notes(book: Book) -> list[Problem]:
    return [Problem(note.row, None, note.code, note.message) for note in book.notes if note.code != "byte_order_mark"]
