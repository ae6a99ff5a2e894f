"""Makes the line of a BOM out of one sorted row."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from webapp.intake.alternates import is_alternate_row, is_several, parts_of
from webapp.intake.columns import ColumnPlan
from webapp.intake.designators import prefix_of
from webapp.intake.excluded import letters_may_say, no_placements, texts_may_say
from webapp.intake.fitted import FittedColumn
from webapp.intake.rows import Kind, RawRow
from webapp.intake.sides import side_of
from webapp.intake.statements import named_in, statement
from webapp.intake.unfitted import (
    count_not_fitted,
    hints_in,
    is_conditional,
    is_not_fitted_word,
    marked_in,
    may_say_not_fitted,
    says_not_fitted,
    value_says_not_fitted,
)
from webapp.trade.bom import Alternate, BomLine, Field

_SPOKEN = (
    Field.QTY,
    Field.VALUE,
    Field.DESCRIPTION,
    Field.MPN,
    Field.MANUFACTURER,
    Field.PACKAGE,
)
# Every look at a member of an enumeration costs as much as a small step of the work on a row.
_REFDES, _QTY, _MPN, _MANUFACTURER, _VALUE, _DESCRIPTION, _PACKAGE, _SIDE = map(
    Field, ("refdes", "qty", "mpn", "manufacturer", "value", "description", "package", "side")
)
_LOOSE = Kind.LOOSE
_STATUS = frozenset({Field.VALUE, Field.MPN, Field.DESCRIPTION})
_PLAIN_NAME = re.compile(r"(?:[RCLDQUJ]|IC|FB|LED|SW|JP|TP)\d{1,3}")
_NO_NUMBER = frozenset({"-", "--", "n/a", "N/A", "?"})


@dataclass(frozen=True, slots=True)
class Block:
    """What the headings so far say of the rows below them: not fitted, and on which side."""

    is_out: bool = False
    side: str | None = None


class LineMaker:
    """Makes lines with one table's columns; ``fitted`` are those that say what is fitted, by position.

    ``kinds`` are the kinds of text in the table (webapp.intake.lines.kinds_of), to see once what need not be looked for
    in every row.
    ``remarks`` collects, with their rows, the remarks that name designators of other lines as not fitted.
    """

    def __init__(self, plan: ColumnPlan, fitted: Sequence[tuple[int, FittedColumn]], kinds: str) -> None:
        self._plan = plan
        self._fitted = fitted
        self._hints = hints_in(kinds)
        self._texts = texts_may_say(kinds)
        self._several = plan.both or bool(plan.alternates)  # parts a row
        self.remarks: list[tuple[int, str]] = []

    def line(self, row: RawRow, *, block: Block, before: BomLine | None) -> BomLine:
        """The line that ``row`` says under the headings of ``block``; ``before`` is the last line with designators, if
        only alternates stand between."""
        get = row.by_field.get
        names, is_phrase = row.designators
        says = bool(self._hints) and may_say_not_fitted("\n".join(row.cells), self._hints)
        used, others, mpn = self._parts(row, may_say=says)
        out = () if is_phrase else self._not_fitted(row, names, block_out=block.is_out, may_say=says)
        line = BomLine(
            row=row.number,
            refdes=names,
            dnp_refdes=out,
            excluded_refdes=names if is_phrase else self._excluded(row, names, out, has_number=bool(mpn)),
            qty=row.qty,
            mpn=mpn,
            manufacturer=_clean(get(_MANUFACTURER)),
            value=_clean(get(_VALUE)),
            description=_clean(get(_DESCRIPTION)),
            package=_clean(get(_PACKAGE)),
            side=side_of(get(_SIDE, "")) or row.side or block.side if _SIDE in row.by_field else row.side or block.side,
            alternates=others,
            read_as=used,
            loose=row.kind is _LOOSE,
        )
        if line.loose and is_alternate_row(line, before):
            return replace(line, alternate_of=before.row if before else None)
        return line

    def continued(self, line: BomLine, row: RawRow) -> BomLine:
        """``line`` with the designators that go on in ``row``; not fitted if all of the line is."""
        names = (*line.refdes, *row.designators.names)
        all_out = bool(line.dnp_refdes) and line.dnp_refdes == line.refdes
        marked = marked_in(row.by_field.get(_REFDES, ""), row.designators.names)
        out = names if all_out else (*line.dnp_refdes, *row.out, *marked)
        return replace(line, refdes=names, dnp_refdes=tuple(dict.fromkeys(out)) if not all_out else names)

    def _parts(self, row: RawRow, *, may_say: bool) -> tuple[Alternate | None, tuple[Alternate, ...], str | None]:
        """The part read out of the cells where that differs from them, the alternates, the number as printed."""
        printed = row.by_field.get(_MPN, "")
        if not self._several and (not printed or not (may_say or is_several(printed) or printed in _NO_NUMBER)):
            return None, (), printed or None
        mpn, makers = _flat(printed), row.by_field.get(_MANUFACTURER, "")
        if (may_say and is_not_fitted_word(mpn)) or mpn in _NO_NUMBER:
            mpn = ""
        parts = parts_of(printed, makers, both=self._plan.both) if mpn else ()
        more = [Alternate(self._cell(row, m) or None, self._cell(row, n) or None) for m, n in self._plan.alternates]
        used = parts[0] if parts and parts[0].mpn != mpn else None
        return used, (*parts[1:], *(part for part in more if part.mpn)), mpn or None

    @staticmethod
    def _cell(row: RawRow, position: int | None) -> str:
        return _flat(row.cells[position]) if position is not None and position < len(row.cells) else ""

    def _not_fitted(self, row: RawRow, names: tuple[str, ...], *, block_out: bool, may_say: bool) -> tuple[str, ...]:
        """Those of ``names`` that are not fitted; ``may_say``: words in the row may say so, and are worth reading."""
        told, marked = self._told(row, names) if self._fitted else (None, set())
        marked.update(row.out)
        if block_out or row.qty == 0 or told is False:
            return names
        if may_say:
            marked.update(marked_in(row.by_field.get(_REFDES, ""), names))
            if told is not True and self._says_of_all(row, names, marked):
                return names
        return tuple(name for name in names if name in marked) if marked else ()

    def _told(self, row: RawRow, names: tuple[str, ...]) -> tuple[bool | None, set[str]]:
        """What the columns of their own say: fitted or not, and the designators that they list as not fitted."""
        told: bool | None = None
        marked: set[str] = set()
        for position, column in self._fitted:
            cell = self._cell(row, position)
            named = named_in(cell, names)
            if named:
                marked.update(named)
                continue
            said = column.says(cell, names)
            marked.update(said.out)
            if said.fitted is not None:
                told = said.fitted and told is not False
        return told, marked

    def _says_of_all(self, row: RawRow, names: tuple[str, ...], marked: set[str]) -> bool:
        """Whether words in the row say that all of it is not fitted; those said of single ones go to ``marked``."""
        for text, is_status in self._spoken(row):
            named = named_in(text, names)
            if named:
                marked.update(named)
            elif says_not_fitted(text) and is_conditional(text):
                self.remarks.append((row.number, text))
            elif says_not_fitted(text) or (is_status and is_not_fitted_word(text)):
                return True
        return bool(names) and value_says_not_fitted(row.by_field.get(_VALUE, ""), prefix_of(names[0]))

    def _spoken(self, row: RawRow) -> list[tuple[str, bool]]:
        """Cells that may say "not fitted", and whether a short form ("NF") means it there."""
        count = len(row.designators.names)
        told = [(f, text) for f in _SPOKEN if (text := row.by_field.get(f))]
        texts = [
            (text, f in _STATUS)
            for f, text in told
            if not (f is _QTY and _counts_some(text, count))
            and not (f is _DESCRIPTION and self._is_of_other_rows(row, text, plain=True))
        ]
        for at in self._plan.remarks:
            text = self._cell(row, at)
            if text and not self._is_of_other_rows(row, text):
                texts.append((text, self._plan.meanings[at].is_note))
        return texts

    def _is_of_other_rows(self, row: RawRow, text: str, *, plain: bool = False) -> bool:
        """Whether a remark says "not fitted" of designators of other rows only; what it says of those is remembered.

        ``plain``: only of names that are no type of a part ("ZX7001 DNP" is about the row).
        """
        named = {name for name in statement(text).names if not plain or _PLAIN_NAME.fullmatch(name)}
        if named - set(row.designators.names):
            self.remarks.append((row.number, text))
        return bool(named) and not named & set(row.designators.names)

    def _excluded(
        self, row: RawRow, names: tuple[str, ...], out: tuple[str, ...], *, has_number: bool
    ) -> tuple[str, ...]:
        if not self._texts and not letters_may_say(names):
            return ()
        get = row.by_field.get
        none = no_placements(
            names,
            value=get(_VALUE, ""),
            package=get(_PACKAGE, ""),
            description=get(_DESCRIPTION, ""),
            has_number=has_number,
        )
        return tuple(name for name in none if name not in out) if none else ()


def _counts_some(text: str, count: int) -> bool:
    """Whether a quantity says that some of ``count`` are not fitted, and not that all are: "3 (2 DNP)"."""
    out = None if text.isdecimal() else count_not_fitted(text)
    return out is not None and out != count


def _flat(text: str) -> str:
    return " ".join(text.split("\n")).strip() if "\n" in text else text.strip()


def _clean(text: str | None) -> str | None:
    """The text of a field, which is trimmed already, in one line."""
    return (_flat(text) if "\n" in text else text) if text else None
