"""Which sheets of a workbook make up one BOM: the best, those that go on with it, and those that are another list."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from webapp.intake.content import has_common_letters
from webapp.intake.drafts import Draft, continued_draft
from webapp.intake.names import fold
from webapp.intake.unfitted import says_not_fitted
from webapp.trade.bom import Field, ReadChoices

JOINED = " + "
_SHARED = 0.1  # of a sheet's designators: with more in common it is another list of the same board
_LEAST = 3
_MOST_NOTES, _NOTE_CELLS = 200, 2
_OTHER_LIST = re.compile(
    r"\b(?:old|obsolete|backup|archive[d]?|copy|template|example|sample|changes?|changelog|history|deleted|removed"
    r"|spares?|variants?|options?|alternat\w*|alt|pick ?(?:and|n)? ?place|pnp|placement|positions?|xy|test ?points?"
    r"|nets?|netlist|mechanic\w*|mech|cables?|harness|wiring|box|enclosure|packaging|tools?|costs?|prices?|quotes?|stock|purchas\w*"
    r"|orders?|alte?|anderung\w*|preis\w*|kosten|kabel)\b"
)
_BOM = re.compile(r"\b(?:bom|bill of materials?|parts? ?list|parts|stuckliste|nomenclature|components?)\b|物料|部品表")


@dataclass(frozen=True, slots=True)
class Stack:
    """The sheets read, in order, and the names of others that look like a BOM of their own.

    ``out`` are sheets whose name says that the parts on them are not fitted; they are read last, as they may only list
    parts of the others. ``asides`` are the texts of the sheets that are no list of parts.
    """

    parts: tuple[Draft, ...]
    others: tuple[str, ...] = ()
    out: frozenset[str] = frozenset()
    asides: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The names of the sheets read as one."""
        return JOINED.join(draft.sheet.name for draft in self.parts)


def stack_up(drafts: Sequence[Draft], choices: ReadChoices) -> Stack:
    """The best sheet, and with it those that list other designators of the same board."""
    if len(drafts) == 1:
        return Stack((drafts[0],))
    names = {id(draft): draft.names() if draft.promise else set() for draft in drafts}
    best = max(drafts, key=lambda draft: _worth(draft, names[id(draft)]))  # the first of equals
    if best.promise == 0.0:
        return Stack((best,))
    parts: list[Draft] = [best]
    known = set(names[id(best)])
    out, others = set(), []
    after = False
    for draft in drafts:
        after = after or draft is best
        if draft is best:
            continue
        going_on = continued_draft(draft.sheet, best, choices) if after and _has_no_header(draft) else None
        own = going_on.names() if going_on else names[id(draft)]
        if not own or not (going_on or _is_list_of_parts(draft, own)):
            continue
        if says_not_fitted(fold(draft.sheet.name)):
            out.add(draft.sheet.name)
            parts.append(going_on or draft)
            continue
        if len(own & known) > _SHARED * len(own) or _OTHER_LIST.search(fold(draft.sheet.name)):
            others.append(draft.sheet.name)
            continue
        parts.append(going_on or draft)
        known |= own
    order = {draft.sheet.name: i for i, draft in enumerate(drafts)}
    parts.sort(key=lambda draft: (draft.sheet.name in out, order[draft.sheet.name]))
    asides = [text for draft in drafts if not draft.promise for text in _texts(draft)]
    return Stack(tuple(parts), tuple(others), frozenset(out), tuple(asides))


def _texts(draft: Draft) -> Iterator[str]:
    """The rows of a cell or two, as notes have them; on a sheet "not fitted" they say so of what they name."""
    before = f"{draft.sheet.name}: " if says_not_fitted(fold(draft.sheet.name)) else ""
    for row in draft.sheet.rows[:_MOST_NOTES]:
        filled = [cell.strip() for cell in row if cell.strip()]
        if 0 < len(filled) <= _NOTE_CELLS:
            yield before + " ".join(filled)


def _worth(draft: Draft, names: set[str]) -> float:
    """How good a BOM the sheet is: its designators, more when other fields stand beside them and its name says so."""
    if not draft.promise:
        return 0.0
    fields = max(sum(1 for column in plan.columns if column.field is not None) for plan in draft.plans)
    name = fold(draft.sheet.name)
    told = 0.5 if says_not_fitted(name) or _OTHER_LIST.search(name) else 1.25 if _BOM.search(name) else 1.0
    return len(names) * (1 + 0.2 * fields) * told


def _has_no_header(draft: Draft) -> bool:
    return draft.tables[0].header_row is None


def _is_list_of_parts(draft: Draft, names: set[str]) -> bool:
    """Whether a sheet could be a BOM alone: designators under their name or plainly by content, beside other fields."""
    plan = draft.plans[0]
    position = plan.position(Field.REFDES)
    if position is None or draft.promise == 0.0:
        return False
    fields = {column.field for column in plan.columns} - {None, Field.REFDES}
    if Field.REFDES in plan.meanings[position].weights:
        return bool(fields) or says_not_fitted(fold(draft.sheet.name))
    return len(fields) >= 2 and len(names) >= _LEAST and has_common_letters(sorted(names))
