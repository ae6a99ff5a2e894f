"""From the rows of one table to the lines of the BOM."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from webapp.intake.alternates import is_alternate_row, parts_of
from webapp.intake.columns import ColumnPlan
from webapp.intake.designators import parse_designators, prefix_of
from webapp.intake.excluded import no_placements
from webapp.intake.fitted import (
    FittedColumn,
    is_not_fitted_word,
    marked_in,
    may_say_not_fitted,
    named_in,
    says_not_fitted,
    value_says_not_fitted,
)
from webapp.intake.notes import Notes, is_about_single_parts, listed_in, read_notes
from webapp.intake.rows import Kind, RawRow, RowSorter
from webapp.intake.tables import Table
from webapp.trade.bom import Alternate, BomLine, Field, Fitting, Skip

_SIDES = {
    **dict.fromkeys(
        (
            "top",
            "t",
            "toplayer",
            "top layer",
            "front",
            "f.cu",
            "f",
            "oben",
            "顶层",
            "表",
            "верх",
            "component side",
            "1",
        ),
        "top",
    ),
    **dict.fromkeys(
        (
            "bottom",
            "b",
            "bot",
            "bottomlayer",
            "bottom layer",
            "back",
            "b.cu",
            "unten",
            "底层",
            "裏",
            "низ",
            "solder side",
            "2",
        ),
        "bottom",
    ),
}
_SPOKEN = (
    Field.QTY,
    Field.VALUE,
    Field.DESCRIPTION,
    Field.MPN,
    Field.MANUFACTURER,
    Field.PACKAGE,
    Field.DNP,
)
_MARKED_FIELDS = (Field.VALUE, Field.DESCRIPTION, Field.MPN)
_TITLE_CELLS = 2
_STATUS = frozenset({Field.VALUE, Field.DNP, Field.MPN})


@dataclass(slots=True)
class TableLines:
    """What one table gives: its lines and the rows passed over."""

    lines: list[BomLine] = field(default_factory=list)
    skipped: list[Skip] = field(default_factory=list)


def side_of(text: str) -> str | None:
    """ "top" or "bottom" for the ways in which files say it; None where they say neither."""
    return _SIDES.get(" ".join(text.lower().split()))


def read_lines(
    rows: Sequence[Sequence[str]], table: Table, plan: ColumnPlan, decimal: str, overrides: Mapping[int, Fitting]
) -> TableLines:
    """All rows of ``table`` as lines or skips, in order; ``overrides`` are a person's words on single rows."""
    sorter = RowSorter(table, plan, decimal)
    maker = _LineMaker(plan, _fitted_column(rows, table, plan))
    result = TableLines()
    texts = [text for cells in rows[: table.first_row - 1] if (text := _title(cells))]
    block_out = left_out = False
    for number in range(table.first_row, table.last_row + 1):
        row = sorter.sort(number, rows[number - 1])
        override = overrides.get(number)
        # A row that goes on with one left out goes with it: the line before that has nothing to do with it.
        left_out = override is Fitting.SKIP or (left_out and row.kind is Kind.CONTINUED and override is None)
        if left_out:
            row.kind, row.reason = Kind.SKIPPED, "left_out"
        elif override is not None:
            _take(row)
        if row.kind in (Kind.LINE, Kind.LOOSE):
            line = maker.line(row, block_out=block_out, before=result.lines[-1] if result.lines else None)
            result.lines.append(_overridden(line, override))
            continue
        if row.kind is Kind.CONTINUED and result.lines:
            result.lines[-1] = maker.continued(result.lines[-1], row)
        elif row.kind is Kind.HEADING:
            block_out = says_not_fitted(row.text()) and not is_about_single_parts(row.text(), rows)
        texts.append(row.text())
        result.skipped.append(row.skip())
    _name_footers(result)
    notes = read_notes(texts)
    if notes:
        result.lines[:] = [
            line if line.row in overrides else _noted(line, rows[line.row - 1], plan, notes) for line in result.lines
        ]
    return result


def _title(cells: Sequence[str]) -> str:
    filled = [cell.strip() for cell in cells if cell.strip()]
    return " ".join(filled) if len(filled) <= _TITLE_CELLS else ""


def _noted(line: BomLine, cells: Sequence[str], plan: ColumnPlan, notes: Notes) -> BomLine:
    """The line with what the notes say of it."""
    if line.loose:
        return line
    position = plan.position(Field.REFDES)
    refdes = cells[position] if position is not None and position < len(cells) else ""
    others = (getattr(line, field.value) or "" for field in _MARKED_FIELDS)
    out = {*line.dnp_refdes, *notes.out(refdes, others, line.refdes)}
    return replace(
        line,
        dnp_refdes=tuple(name for name in line.refdes if name in out),
        excluded_refdes=tuple(name for name in line.excluded_refdes if name not in out),
    )


def _take(row: RawRow) -> None:
    """Make a row that was passed over the line that a person says it is; rows without any cells of ours stay out."""
    if row.kind in (Kind.LINE, Kind.LOOSE) or not any(row.by_field.values()):
        return
    if not row.designators.names:
        row.designators = parse_designators(row.by_field.get(Field.REFDES, ""), row.qty)
    row.kind = Kind.LINE if row.designators.names and not row.designators.is_phrase else Kind.LOOSE


def _fitted_column(rows: Sequence[Sequence[str]], table: Table, plan: ColumnPlan) -> FittedColumn | None:
    position = plan.position(Field.DNP)
    if position is None:
        return None
    body = rows[table.first_row - 1 : table.last_row]
    cells = [row[position] if position < len(row) else "" for row in body if any(row)]
    return FittedColumn(plan.columns[position].header, cells, yes_is_fitted=plan.meanings[position].yes_is_fitted)


def _overridden(line: BomLine, override: Fitting | None) -> BomLine:
    if override is Fitting.DNP:
        return replace(line, dnp_refdes=line.refdes, excluded_refdes=())
    if override is Fitting.FITTED:
        return replace(line, dnp_refdes=(), excluded_refdes=())
    return line


def _name_footers(result: TableLines) -> None:
    """A heading after the last line heads nothing: it is a footer."""
    last = result.lines[-1].row if result.lines else 0
    result.skipped[:] = [
        replace(skip, reason="footer") if skip.row > last and skip.reason in {"heading", "note"} else skip
        for skip in result.skipped
    ]


class _LineMaker:
    """Makes lines with one table's columns."""

    def __init__(self, plan: ColumnPlan, fitted: FittedColumn | None) -> None:
        self._plan = plan
        self._fitted = fitted

    def line(self, row: RawRow, *, block_out: bool, before: BomLine | None) -> BomLine:
        """The line that ``row`` says; ``block_out``: it stands under a heading "not fitted"."""
        get = row.by_field.get
        names = row.designators.names
        says = may_say_not_fitted("\n".join(row.cells))
        used, others, mpn = self._parts(row, may_say=says)
        out = () if row.designators.is_phrase else self._not_fitted(row, names, block_out=block_out, may_say=says)
        line = BomLine(
            row=row.number,
            refdes=names,
            dnp_refdes=out,
            excluded_refdes=self._excluded(row, names, out, has_number=bool(mpn)),
            qty=row.qty,
            mpn=mpn,
            manufacturer=_clean(get(Field.MANUFACTURER, "")),
            value=_clean(get(Field.VALUE, "")),
            description=_clean(get(Field.DESCRIPTION, "")),
            package=_clean(get(Field.PACKAGE, "")),
            side=side_of(get(Field.SIDE, "")),
            alternates=others,
            read_as=used,
            loose=row.kind is Kind.LOOSE,
        )
        if row.kind is Kind.LOOSE and is_alternate_row(line, before):
            return replace(line, alternate_of=before.row if before else None)
        return line

    def continued(self, line: BomLine, row: RawRow) -> BomLine:
        """``line`` with the designators that go on in ``row``; not fitted if all of the line is."""
        names = (*line.refdes, *row.designators.names)
        all_out = bool(line.dnp_refdes) and line.dnp_refdes == line.refdes
        return replace(line, refdes=names, dnp_refdes=names if all_out else line.dnp_refdes)

    def _parts(self, row: RawRow, *, may_say: bool) -> tuple[Alternate | None, tuple[Alternate, ...], str | None]:
        """The part read out of the cells where that differs from them, the alternates, the number as printed."""
        printed = row.by_field.get(Field.MPN, "")
        if not printed and not self._plan.alternates:
            return None, (), None
        mpn, maker = _flat(printed), _flat(row.by_field.get(Field.MANUFACTURER, ""))
        if (may_say and is_not_fitted_word(mpn)) or mpn in {"-", "--", "n/a", "N/A", "?"}:
            mpn = ""
        parts = parts_of(printed, maker, both=self._plan.both) if mpn else ()
        if len(parts) == 1 and parts[0].mpn == mpn and not self._plan.alternates:
            return None, (), mpn
        more = [Alternate(self._cell(row, m) or None, self._cell(row, n) or None) for m, n in self._plan.alternates]
        used = parts[0] if parts and parts[0].mpn != mpn else None
        return used, (*parts[1:], *(part for part in more if part.mpn)), mpn or None

    @staticmethod
    def _cell(row: RawRow, position: int | None) -> str:
        return _flat(row.cells[position]) if position is not None and position < len(row.cells) else ""

    def _not_fitted(self, row: RawRow, names: tuple[str, ...], *, block_out: bool, may_say: bool) -> tuple[str, ...]:
        """Those of ``names`` that are not fitted; ``may_say``: words in the row may say so, and are worth reading."""
        column = row.by_field.get(Field.DNP, "")
        told = self._fitted.says(column) if self._fitted and not named_in(column, names) else None
        if block_out or row.qty == 0 or told is False:
            return names
        if not may_say:
            return ()
        marked = set(marked_in(row.by_field.get(Field.REFDES, ""), names))
        if told is not True:
            for text, is_status in self._spoken(row):
                named = named_in(text, names)
                if named:
                    marked.update(named)
                elif says_not_fitted(text) or (is_status and is_not_fitted_word(text)):
                    return names
            if names and value_says_not_fitted(row.by_field.get(Field.VALUE, ""), prefix_of(names[0])):
                return names
        return tuple(name for name in names if name in marked)

    def _spoken(self, row: RawRow) -> list[tuple[str, bool]]:
        """Cells that may say "not fitted", and whether a short form ("NF") means it there."""
        texts = [(row.by_field.get(f, ""), f in _STATUS) for f in _SPOKEN]
        for position in self._plan.remarks:
            text = self._cell(row, position)
            if text and not self._is_of_others(row, text):
                texts.append((text, self._plan.meanings[position].is_note))
        return [(text, is_status) for text, is_status in texts if text]

    def _is_of_others(self, row: RawRow, text: str) -> bool:
        """Whether a remark beside the row is a note of the sheet on other designators: "2. R9 not fitted"."""
        listed = listed_in(text)
        return bool(listed) and not set(listed) & set(row.designators.names)

    @staticmethod
    def _excluded(row: RawRow, names: tuple[str, ...], out: tuple[str, ...], *, has_number: bool) -> tuple[str, ...]:
        if row.designators.is_phrase:
            return names
        get = row.by_field.get
        none = no_placements(
            names,
            value=get(Field.VALUE, ""),
            package=get(Field.PACKAGE, ""),
            description=get(Field.DESCRIPTION, ""),
            has_number=has_number,
        )
        return tuple(name for name in none if name not in out)


def _flat(text: str) -> str:
    return " ".join(text.split("\n")).strip() if "\n" in text else text.strip()


def _clean(text: str) -> str | None:
    return _flat(text) or None
