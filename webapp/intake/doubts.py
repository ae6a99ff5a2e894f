"""What looks wrong in the lines of a BOM and should be looked at by a person."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from operator import attrgetter

from webapp.intake.columns import ColumnPlan, letter
from webapp.intake.designators import looks_like_designator, parse_designators
from webapp.intake.fitted import is_fitting_word
from webapp.intake.grid import Sheet
from webapp.intake.notes import Notes
from webapp.intake.statements import statement
from webapp.intake.unfitted import count_not_fitted, may_say_not_fitted
from webapp.intake.variants import speaks_of_variants
from webapp.trade.bom import BomLine, BomReading, Field, Problem

_SCIENTIFIC = re.compile(r"\d(?:[.,]\d+)?E[+-]?\d+", re.IGNORECASE)
_DATE = re.compile(
    r"\d{1,2}[-. ](?:jan|feb|mar|apr|may|mai|jun|jul|aug|sep|oct|okt|nov|dec|dez)\.?(?:[-. ]\d{2,4})?"
    r"|\d{1,2}/\d{1,2}/(?:\d{2}|\d{4})|\d{4}-\d\d-\d\d(?: 00:00:00)?",
    re.IGNORECASE,
)
_FORMULA = re.compile(r"[=@].*[!(|]|=cmd\b", re.IGNORECASE)
_NO_NUMBERS = frozenset(
    "any;generic;tbd;tba;n.a;na;none;various;see note;see notes;see remark;see description;see bom;unspecified"
    ";not specified;to be defined;as available;standard;beliebig;siehe bemerkung;diverse;voir note;ver nota".split(";")
)
_PASSED_OVER = frozenset({"heading", "note", "footer"})
_PLAIN_NAME = re.compile(r"(?<![\w.-])(?:[RCLDJU]|IC|FB|LED|TP|SW|CN|JP|RN)\d{1,3}(?![\w.-]*\d|[\w])")
_BROKEN = "�"
_BOARDS_SHARE = 0.8
_SHORT = 20  # characters of the name of a variant


def find_problems(
    lines: Sequence[BomLine], plan: ColumnPlan, sheet: Sheet, raw_qty: dict[int, str], start: int = 0
) -> Iterator[Problem]:
    """Doubts about the cells of one table's ``lines``; ``raw_qty`` holds the quantity cell of each row as printed,
    ``start`` is what the rows of the sheet are raised by."""
    yield from _quantities(lines, plan, raw_qty)
    yield from _numbers(lines, plan, sheet, start)
    yield from _texts(lines, plan)
    yield from _fittings(lines, plan, sheet, start)
    yield from _shown(lines, plan, sheet, start)


def about_sheets(reading: BomReading, others: Sequence[str]) -> Iterator[Problem]:
    """Which sheets were read together, and which look like a BOM and were not."""
    if reading.sheet_starts:
        first, *rest = reading.sheet_starts
        rows = "; ".join(f"row 1 of sheet {name} is row {start + 1}" for name, start in rest)
        names = " and ".join(name for name, _ in (first, *rest))
        yield Problem(
            None, None, "sheets_together",
            f"sheets {names} list different designators and were read as one list ({rows}); "
            "if they are different boards, choose one of them",
        )  # fmt: skip
    if others:
        names = " and ".join(others)
        verb = "sheet {} lists" if len(others) == 1 else "sheets {} list"
        yield Problem(
            None, None, "other_sheets",
            f"{verb.format(names)} designators too and {'was' if len(others) == 1 else 'were'} not read",
        )  # fmt: skip


def about_variants(plan: ColumnPlan, otherwise: Sequence[str]) -> Iterator[Problem]:
    """That the BOM is of several variants of a board, and which was read; ``otherwise`` are the designators that are
    fitted on one and not on another."""
    variants = plan.variants
    if variants is not None and variants.chosen is not None:
        names = ", ".join(f'"{label}"' for label in variants.labels)
        read = plan.columns[variants.chosen].label
        yield Problem(
            None, read, "variants",
            f'columns {names} are for variants of the board: "{read}" was read'
            + (f"; not fitted on all of them: {_some(otherwise)}" if otherwise else ""),
        )  # fmt: skip
    for position in plan.fittings if variants is None else ():
        column = plan.columns[position]
        said = [text for text in column.samples if not is_fitting_word(text) and not may_say_not_fitted(text)]
        if speaks_of_variants(column.header) and len(said) > 1 and all(len(text) < _SHORT for text in said):
            yield Problem(
                None, column.label, "variants",
                f'column "{column.label}" names variants ({", ".join(said)}): the parts of all of them were taken as '
                "fitted",
            )  # fmt: skip


def about_notes(notes: Notes) -> Iterator[Problem]:
    """Sentences that say "not fitted" in a way that was not understood."""
    for row, text in notes.unclear:
        names = _some(statement(text).names) or "some parts"
        yield Problem(
            row, None, "note_unclear",
            f'the text "{" ".join(text.split())[:120]}" may mean that {names} are not fitted: it was not applied',
        )  # fmt: skip


def about_columns(reading: BomReading, plan: ColumnPlan) -> Iterator[Problem]:
    """Columns named as designators beside the one read, that hold others."""
    read = {more.position for more in plan.more_refdes}
    names = {name for line in reading.lines for name in line.refdes}
    for column, known in zip(plan.columns, plan.meanings, strict=True):
        if column.field is not None or column.index in read or Field.REFDES not in known.weights:
            continue
        held = [name for text in column.samples for name in parse_designators(text).names]
        if held and all(map(looks_like_designator, held)) and not names.intersection(held):
            yield Problem(
                None, column.label, "refdes_not_read",
                f'column "{column.label}" holds designators too ({_some(held)}) and was not read',
            )  # fmt: skip


def about_skipped(reading: BomReading) -> Iterator[Problem]:
    """Rows passed over as headings or notes that name designators which are on no line."""
    known = {name.upper() for line in reading.lines for name in line.refdes}
    for skip in reading.skipped:
        if skip.reason not in _PASSED_OVER or not any(map(str.isdigit, skip.text)):
            continue
        named = [name for name in dict.fromkeys(_PLAIN_NAME.findall(skip.text)) if name not in known]
        if named:
            yield Problem(
                skip.row, None, "refdes_in_text",
                f'"{skip.text[:60]}" names {_some(named)}, on no line: the row was passed over as a {skip.reason}',
            )  # fmt: skip


def _quantities(lines: Sequence[BomLine], plan: ColumnPlan, raw_qty: dict[int, str]) -> Iterator[Problem]:
    column = plan.column_label(Field.QTY)
    if column is None:
        return
    boards = boards_counted(lines)
    if boards > 1:
        yield Problem(
            None, column, "qty_for_boards", f"quantities are for {boards} boards: {boards} times the designators listed"
        )
    spoken = {row for row, text in raw_qty.items() if not text.isdecimal()}
    for line in lines:
        if line.row not in spoken and line.qty == boards * len(line.refdes):
            continue
        out = count_not_fitted(raw_qty[line.row]) if line.row in spoken else None
        if out is not None and out != len(line.dnp_refdes):
            yield Problem(
                line.row, column, "dnp_unnamed",
                f'quantity "{raw_qty[line.row][:40]}" says that {out} are not fitted, not which: '
                f"{len(line.dnp_refdes)} of {len(line.refdes)} were taken as not fitted",
            )  # fmt: skip
            continue
        if line.qty is None:
            text = raw_qty.get(line.row, "")
            if text:
                yield Problem(line.row, column, "qty_unreadable", f'quantity "{text[:40]}" is not a number')
            continue
        placed = [name for name in line.refdes if name not in line.excluded_refdes] or list(line.refdes)
        counts = {len(line.refdes), len(line.fitted_refdes), len(placed), len(set(line.refdes))}
        if line.refdes and line.qty and line.qty / boards not in counts and not line.loose:
            noun = "designator" if len(line.refdes) == 1 else "designators"
            yield Problem(line.row, column, "qty_mismatch", f"quantity {line.qty:g}, but {len(line.refdes)} {noun}")


def boards_counted(lines: Sequence[BomLine]) -> int:
    """For how many boards the quantities are: the one whole factor between quantity and designators on most lines."""
    ratios = Counter(line.qty / len(line.refdes) for line in lines if line.qty and line.refdes)
    if not ratios:
        return 1
    factor, count = ratios.most_common(1)[0]
    enough = count >= 3 and count >= _BOARDS_SHARE * sum(ratios.values())
    return int(factor) if enough and factor > 1 and factor.is_integer() else 1


def about_designators(reading: BomReading, plan: ColumnPlan) -> Iterator[Problem]:
    """Lines without designators, with words in their place, or with designators met before."""
    column = plan.column_label(Field.REFDES)
    first: dict[str, int] = {}
    names = [name for line in reading.lines for name in line.refdes]
    repeats = len(set(names)) < len(names)
    for line in reading.lines:
        if not line.refdes and line.alternate_of is None:
            yield Problem(
                line.row, column, "no_designator", "no designator: kept as a loose part, places nothing on the board"
            )
        elif not line.refdes:
            other = _row_words([line.alternate_of or 0], reading)
            yield Problem(line.row, column, "alternate_row", f"no designator: taken as an alternate for {other}")
        elif line.loose:
            words = " ".join(line.refdes)[:60]
            yield Problem(
                line.row, column, "not_a_designator", f'"{words}" is no designator: places nothing on the board'
            )
        repeated = _repeats(line, first) if repeats else []
        if repeated:
            rows = sorted({first[name] for name in repeated})
            where = "twice in the same cell" if rows == [line.row] else f"already on {_row_words(rows, reading)}"
            yield Problem(line.row, column, "duplicate_designator", f"{_some(repeated)} {where}; counted once")


def _row_words(rows: Sequence[int], reading: BomReading) -> str:
    """ "row 12", "rows 12 and 14", "row 3 of sheet TOP" for rows as given out."""
    sheets: dict[str | None, list[str]] = {}
    for row in rows:
        sheet, own = reading.place_of(row)
        sheets.setdefault(sheet if reading.sheet_starts else None, []).append(str(own))
    words = [
        f"{'row' if len(own) == 1 else 'rows'} {', '.join(own)}" + (f" of sheet {sheet}" if sheet else "")
        for sheet, own in sheets.items()
    ]
    return " and ".join(words)


def _repeats(line: BomLine, first: dict[str, int]) -> list[str]:
    """Designators of ``line`` met before; ``first`` keeps the row where each was met first."""
    repeated = []
    out = {*line.dnp_refdes, *line.excluded_refdes}
    for name in line.refdes:
        if name in out:
            continue
        if name in first:
            repeated.append(name)
        else:
            first[name] = line.row
    return list(dict.fromkeys(repeated))


def _some(names: Sequence[str]) -> str:
    return ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")


def _numbers(lines: Sequence[BomLine], plan: ColumnPlan, sheet: Sheet, start: int) -> Iterator[Problem]:
    """Part numbers that a spreadsheet took for numbers."""
    position = plan.position(Field.MPN)
    if position is None:
        return
    column = plan.column_label(Field.MPN)
    stored = sheet.numbers(position)
    for line in lines:
        if line.mpn is None or not line.mpn[:1].isdigit():
            if line.mpn and line.mpn.strip(" .()*").lower() in _NO_NUMBERS:
                yield Problem(
                    line.row, column, "part_number_is_word",
                    f'"{line.mpn}" stands where a part number should: it names no part',
                )  # fmt: skip
            continue
        if line.row - start - 1 in stored:
            yield Problem(
                line.row, column, "part_number_is_number",
                f"part number {line.mpn} is stored as a number: leading zeros and long digits may be lost",
            )  # fmt: skip
        elif _DATE.fullmatch(line.mpn):
            yield Problem(
                line.row, column, "part_number_is_date",
                f"part number {line.mpn} reads like a date: a spreadsheet may have made one of a number",
            )  # fmt: skip
        elif _SCIENTIFIC.fullmatch(line.mpn):
            yield Problem(
                line.row, column, "part_number_lost_digits",
                f"part number {line.mpn} was turned into a rounded number by a spreadsheet: digits are lost",
            )  # fmt: skip


def _texts(lines: Sequence[BomLine], plan: ColumnPlan) -> Iterator[Problem]:
    for field in (Field.MPN, Field.MANUFACTURER, Field.VALUE, Field.DESCRIPTION):
        texts = list(map(attrgetter(field.value), lines))
        together = "\n".join(filter(None, texts))
        label = plan.column_label(field)
        if _BROKEN in together:
            said = "characters that could not be read (�): check the encoding"
            yield from (
                Problem(line.row, label, "broken_text", said)
                for line, text in zip(lines, texts, strict=True)
                if text and _BROKEN in text
            )
        if "=" not in together and "@" not in together:
            continue
        for line, text in zip(lines, texts, strict=True):
            if text and text[0] in "=@" and _FORMULA.match(text):
                said = f'"{text[:40]}" looks like a formula: kept as text, never run'
                yield Problem(line.row, label, "formula_text", said)


def _fittings(lines: Sequence[BomLine], plan: ColumnPlan, sheet: Sheet, start: int) -> Iterator[Problem]:
    """Words that say neither yes nor no in a column of such words."""
    for position in plan.fittings:
        rows = [(line.row, sheet.rows[line.row - start - 1]) for line in lines if line.refdes]
        cells = [(row, text) for row, cells in rows if position < len(cells) and (text := cells[position].strip())]
        others = [(row, text) for row, text in cells if not (is_fitting_word(text) or may_say_not_fitted(text))]
        others = [(row, text) for row, text in others if not any(map(str.isdigit, text))]  # counts, lists of names
        if not 0 < 2 * len(others) <= len(cells):
            continue
        for said in dict.fromkeys(text for _, text in others):
            at = [str(row) for row, text in others if text == said]
            noun = "row" if len(at) == 1 else "rows"
            yield Problem(
                int(at[0]), plan.columns[position].label, "fitting_unclear",
                f'"{said[:40]}" says neither yes nor no ({noun} {_some(at)}): it was taken as fitted',
            )  # fmt: skip


def _shown(lines: Sequence[BomLine], plan: ColumnPlan, sheet: Sheet, start: int) -> Iterator[Problem]:
    """Lines that the workbook hides or strikes through, and hidden columns that were read."""
    marks = sheet.marks
    hidden = [line.row for line in lines if line.row - start in marks.rows]
    if hidden:
        rows = _some(list(map(str, hidden)))
        noun = "row" if len(hidden) == 1 else "rows"
        yield Problem(hidden[0], None, "hidden_rows", f"hidden in the workbook and read all the same: {noun} {rows}")
    for column in plan.columns:
        if column.field is not None and column.index in marks.columns:
            yield Problem(
                None, column.label, "hidden_column", f'column "{column.label}" is hidden in the workbook and was read'
            )
    labels = {letter(column.index): column.label for column in plan.columns}
    for line in lines if marks.struck else ():
        struck = [labels[at] for at in marks.struck.get(line.row - start, ()) if at in labels]
        if struck:
            out = "not fitted" if line.refdes and line.dnp_refdes == line.refdes else "fitted"
            names = ", ".join(f'"{label}"' for label in struck[:4])
            yield Problem(
                line.row, struck[0], "struck_through",
                f"struck through in column {names}, wholly or in part: taken as {out}, is the part removed?",
            )  # fmt: skip
