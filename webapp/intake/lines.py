"""From the rows of one table to the lines of the BOM."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from webapp.intake.columns import ColumnPlan
from webapp.intake.designators import parse_designators
from webapp.intake.fitted import FittedColumn
from webapp.intake.maker import Block, LineMaker
from webapp.intake.notes import Notes, is_about_single_parts
from webapp.intake.rows import Kind, RawRow, RowSorter
from webapp.intake.sides import side_named
from webapp.intake.tables import Table
from webapp.intake.unfitted import says_not_fitted
from webapp.trade.bom import BomLine, Field, Fitting, Skip

_MARKED_FIELDS = (Field.VALUE, Field.DESCRIPTION, Field.MPN)
_TITLE_CELLS = 2
_NO_DIGITS = dict.fromkeys(map(ord, "0123456789"))


@dataclass(slots=True)
class TableLines:
    """What one table gives: its lines, the rows passed over, texts that may say something of single designators (with
    their rows), and the block that a next table would begin in. ``listed_out``: designators under a heading "not
    fitted" that have a line of their own elsewhere."""

    block: Block
    lines: list[BomLine] = field(default_factory=list)
    skipped: list[Skip] = field(default_factory=list)
    texts: list[tuple[int, str]] = field(default_factory=list)
    listed_out: set[str] = field(default_factory=set)


def read_lines(
    rows: Sequence[Sequence[str]],
    table: Table,
    plan: ColumnPlan,
    decimal: str,
    overrides: Mapping[int, Fitting],
    block: Block | None = None,
    covered: Mapping[int, Collection[int]] | None = None,
    known: Collection[str] = (),
) -> TableLines:
    """All rows of ``table`` as lines or skips, in order; ``overrides`` are a person's words on single rows.

    ``block`` is where the table before left off, ``covered`` as in RowSorter, ``known`` the designators of other sheets
    that a list of parts not fitted may be about.
    """
    sorter = RowSorter(rows, table, plan, decimal, covered or {})
    maker = LineMaker(plan, fitted_columns(rows, table, plan), kinds_of(rows[table.first_row - 1 : table.last_row]))
    result = TableLines(block or Block())
    blocks = _Blocks(rows, result, known, notes_at(plan))
    left_out = False
    before: BomLine | None = None
    for number in range(table.first_row, table.last_row + 1):
        row = sorter.sort(number, rows[number - 1])
        override = overrides.get(number) if overrides else None
        # A row that goes on with one left out goes with it: the line before that has nothing to do with it.
        left_out = override is Fitting.SKIP or (left_out and row.kind is Kind.CONTINUED and override is None)
        if left_out:
            row.kind, row.reason = Kind.SKIPPED, "left_out"
        elif override is not None:
            _take(row)
        elif result.block.is_out and blocks.only_lists(row):
            row.kind, row.reason = Kind.SKIPPED, "note"
            result.listed_out.update(row.designators.names)
        if row.kind in (Kind.LINE, Kind.LOOSE):
            line = maker.line(row, block=result.block, before=before)
            result.lines.append(_overridden(line, override))
            before = line if line.refdes else before if line.alternate_of else None
            continue
        if row.kind is Kind.CONTINUED and result.lines:
            result.lines[-1] = maker.continued(result.lines[-1], row)
        elif row.kind is Kind.HEADING:
            before = None
            blocks.begin(row.text())
        result.texts.append((number, row.text()))
        result.skipped.append(row.skip())
    result.texts += maker.remarks
    _name_footers(result)
    return result


def kinds_of(rows: Sequence[Sequence[str]]) -> str:
    """All different cells in small letters without digits, one a line: a short text to look for words in."""
    text = "\n".join(["\n".join(row) for row in rows]).lower().translate(_NO_DIGITS)
    return "\n".join(set(text.split("\n")))


class _Blocks:
    """Follows the headings of one table."""

    def __init__(
        self, rows: Sequence[Sequence[str]], result: TableLines, known: Collection[str], remarks: Sequence[int]
    ) -> None:
        self._rows = rows
        self._remarks = remarks
        self._result = result
        self._heads: set[str] = set()
        self._known = set(known)
        self._seen = 0

    def begin(self, text: str) -> None:
        """A heading: it opens a block "not fitted", names a side, or ends the block before."""
        block = self._result.block
        plain = text.strip().lower()
        if says_not_fitted(text):
            is_out = not is_about_single_parts(text, self._rows, self._remarks)
        else:
            # "Resistors" a second time, below "Not fitted", parts that block and does not end it.
            is_out = block.is_out and plain in self._heads
        self._heads.add(plain)
        self._result.block = Block(is_out, side_named(text) or block.side)

    def only_lists(self, row: RawRow) -> bool:
        """Whether a row in a block "not fitted" names nothing but designators of lines before it."""
        if row.kind not in (Kind.LINE, Kind.CONTINUED) or row.designators.is_phrase:
            return False
        for line in self._result.lines[self._seen :]:
            self._known.update(line.refdes)
        self._seen = len(self._result.lines)
        return self._known.issuperset(row.designators.names)


def notes_at(plan: ColumnPlan) -> list[int]:
    """Positions of the columns of remarks."""
    return [at for at in plan.remarks if plan.meanings[at].is_note]


def titles_above(rows: Sequence[Sequence[str]], table: Table) -> list[tuple[int, str]]:
    """The texts above a table, with their rows: those of a cell or two."""
    texts = []
    for number, cells in enumerate(rows[: table.first_row - 1], start=1):
        filled = [cell.strip() for cell in cells if cell.strip()]
        if 0 < len(filled) <= _TITLE_CELLS:
            texts.append((number, " ".join(filled)))
    return texts


def apply_notes(
    lines: Sequence[BomLine],
    rows: Sequence[Sequence[str]],
    plan: ColumnPlan,
    notes: Notes,
    overrides: Mapping[int, Fitting],
) -> list[BomLine]:
    """The lines with what the notes around the tables say of them; a person's word on a row stands."""
    if not notes:
        return list(lines)
    return [
        line if line.row in overrides or line.loose else _noted(line, rows[line.row - 1], plan, notes) for line in lines
    ]


def _noted(line: BomLine, cells: Sequence[str], plan: ColumnPlan, notes: Notes) -> BomLine:
    position = plan.position(Field.REFDES)
    refdes = cells[position] if position is not None and position < len(cells) else ""
    others = (getattr(line, field.value) or "" for field in _MARKED_FIELDS)
    remarks = (cells[at] for at in notes_at(plan) if at < len(cells))
    out = {*line.dnp_refdes, *notes.out(refdes, others, remarks, line.refdes)}
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


def fitted_columns(rows: Sequence[Sequence[str]], table: Table, plan: ColumnPlan) -> list[tuple[int, FittedColumn]]:
    """The table's columns that say what is fitted, with their positions."""
    return [(position, _fitted_column(rows, table, plan, position)) for position in plan.fittings]


def _fitted_column(rows: Sequence[Sequence[str]], table: Table, plan: ColumnPlan, position: int) -> FittedColumn:
    refdes = plan.position(Field.REFDES) or 0
    body = [row for row in rows[table.first_row - 1 : table.last_row] if refdes < len(row) and row[refdes].strip()]
    variants = plan.variants
    is_variant = variants is not None and position in variants.positions
    return FittedColumn(
        plan.columns[position].header,
        [row[position] if position < len(row) else "" for row in body],
        yes_is_fitted=is_variant or plan.meanings[position].yes_is_fitted,
        counts=variants is not None and is_variant and variants.kind in ("counts", "flags"),
    )


def fitted_otherwise(
    lines: Sequence[BomLine], rows: Sequence[Sequence[str]], table: Table, plan: ColumnPlan
) -> list[str]:
    """Designators of ``lines`` (of this table) that are fitted on one variant of the board and not on another."""
    variants = plan.variants
    if variants is None or variants.chosen is None or variants.kind == "values":
        return []
    columns = [(position, _fitted_column(rows, table, plan, position)) for position in variants.positions]
    names: list[str] = []
    for line in lines:
        cells = rows[line.row - 1]
        said = {column.says(cells[at] if at < len(cells) else "").fitted is False for at, column in columns}
        names += line.refdes if len(said) > 1 else ()
    return names


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
