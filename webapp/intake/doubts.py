"""What looks wrong in the lines of a BOM and should be looked at by a person."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from webapp.intake.columns import ColumnPlan
from webapp.intake.grid import Sheet
from webapp.trade.bom import BomLine, Field, Problem

_SCIENTIFIC = re.compile(r"\d(?:[.,]\d+)?E[+-]?\d+", re.IGNORECASE)
_FORMULA = re.compile(r"[=@].*[!(|]|=cmd\b", re.IGNORECASE)
_BROKEN = "�"
_BOARDS_SHARE = 0.8


def find_problems(
    lines: Sequence[BomLine], plan: ColumnPlan, sheet: Sheet, raw_qty: dict[int, str]
) -> Iterator[Problem]:
    """All doubts about ``lines``; ``raw_qty`` holds the quantity cell of each row as printed."""
    yield from _quantities(lines, plan, raw_qty)
    yield from _designators(lines, plan)
    yield from _numbers(lines, plan, sheet)
    yield from _texts(lines, plan)


def _quantities(lines: Sequence[BomLine], plan: ColumnPlan, raw_qty: dict[int, str]) -> Iterator[Problem]:
    column = plan.column_label(Field.QTY)
    if column is None:
        return
    boards = boards_counted(lines)
    if boards > 1:
        yield Problem(
            None, column, "qty_for_boards", f"quantities are for {boards} boards: {boards} times the designators listed"
        )
    for line in lines:
        if line.qty is None:
            text = raw_qty.get(line.row, "")
            if text:
                yield Problem(line.row, column, "qty_unreadable", f'quantity "{text[:40]}" is not a number')
            continue
        if line.qty == boards * len(line.refdes):
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


def _designators(lines: Sequence[BomLine], plan: ColumnPlan) -> Iterator[Problem]:
    column = plan.column_label(Field.REFDES)
    first: dict[str, int] = {}
    for line in lines:
        if not line.refdes and line.alternate_of is None:
            yield Problem(
                line.row, column, "no_designator", "no designator: kept as a loose part, places nothing on the board"
            )
        elif not line.refdes:
            yield Problem(
                line.row, column, "alternate_row", f"no designator: taken as an alternate for row {line.alternate_of}"
            )
        elif line.loose:
            words = " ".join(line.refdes)[:60]
            yield Problem(
                line.row, column, "not_a_designator", f'"{words}" is no designator: places nothing on the board'
            )
        repeated = _repeats(line, first)
        if repeated:
            rows = sorted({first[name] for name in repeated})
            where = "in the same cell" if rows == [line.row] else "already on row " + ", ".join(map(str, rows))
            yield Problem(line.row, column, "duplicate_designator", f"{_some(repeated)} {where}; counted once")


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


def _numbers(lines: Sequence[BomLine], plan: ColumnPlan, sheet: Sheet) -> Iterator[Problem]:
    """Part numbers that a spreadsheet took for numbers."""
    position = plan.position(Field.MPN)
    if position is None:
        return
    column = plan.column_label(Field.MPN)
    for line in lines:
        if line.mpn is None:
            continue
        if sheet.number(line.row - 1, position) is not None:
            yield Problem(
                line.row, column, "part_number_is_number",
                f"part number {line.mpn} is stored as a number: leading zeros and long digits may be lost",
            )  # fmt: skip
        elif _SCIENTIFIC.fullmatch(line.mpn):
            yield Problem(
                line.row, column, "part_number_lost_digits",
                f"part number {line.mpn} was turned into a rounded number by a spreadsheet: digits are lost",
            )  # fmt: skip


def _texts(lines: Sequence[BomLine], plan: ColumnPlan) -> Iterator[Problem]:
    for field in (Field.MPN, Field.MANUFACTURER, Field.VALUE, Field.DESCRIPTION):
        texts = [(line.row, text) for line in lines if (text := getattr(line, field.value))]
        label = plan.column_label(field)
        if _BROKEN in "".join([text for _, text in texts]):
            said = "characters that could not be read (�): check the encoding"
            yield from (Problem(row, label, "broken_text", said) for row, text in texts if _BROKEN in text)
        for row, text in texts:
            if text[0] in "=@" and _FORMULA.match(text):
                said = f'"{text[:40]}" looks like a formula: kept as text, never run'
                yield Problem(row, label, "formula_text", said)
