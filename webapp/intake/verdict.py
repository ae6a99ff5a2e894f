"""Whether a sheet is a board BOM at all, and the sentence that says why not."""

import re
from collections import Counter
from collections.abc import Sequence

from webapp.intake.columns import ColumnPlan
from webapp.intake.content import has_common_letters, holds_values, is_coordinates
from webapp.intake.designators import prefix_of
from webapp.intake.drafts import Draft
from webapp.intake.names import SURE, fold
from webapp.intake.placement import is_placement_header
from webapp.intake.tables import SEARCHED_ROWS
from webapp.trade.bom import BomLine, Column, Field

_OF_PARTS = frozenset({Field.MPN, Field.MANUFACTURER, Field.VALUE, Field.PACKAGE})
_SAYS_PARTS = frozenset({*_OF_PARTS, Field.DESCRIPTION})
# Names that stand over many other things than designators.
_VAGUE = frozenset("location locations position positions pos loc place id label name item instance instances".split())
_CHANGES = (("old", "new"), ("before", "after"), ("from", "to"), ("alt", "neu"), ("was", "is"))
_PIN = re.compile(r"([^\W\d]{1,4}\d+)[.-]\w{1,3}")
_RATE = re.compile(r"\d[.,]\d|\de-?\d|\d\d")
_MOSTLY, _FEW = 0.6, 0.7
_OF_CABLES = frozenset(
    "cable cables wire wires length awg gauge colour color from end ends cross kabel leitung ader lange farbe von"
    " cavo cable fil cables longueur cable longitud провод кабель длина 线 长度 線".split()
)
# Names of columns in lists of failure rates, of failures and their effects, and of measurements.
_FAILURE_RATES = re.compile(
    r"(?:failure rates?|mt[bt]f|lambda|derating)(?: .*)?|(?:.* )?fit(?: rate| s)?(?: h)?|stress ratio"
    r"|failures? (?:in|per) .*|ausfallrate|taux de defaillance|pi ?[qest]"
)
_FAILURES = re.compile(
    r"failure modes?|rpn|(?:failure )?effects?|severity|occurr?ence|detection|fehlerart|mode de defaillance"
)
_MEASURED = re.compile(r"(?:.* )?(?:measured|measurement|readings?|messwert|gemessen|mesure)(?: .*)?")
_LIMITS = re.compile(
    r"results?|pass(?: ?fail)?|ok|nok|deviation|nominal|verdict|sollwert|grenzwert|ergebnis|lsl|usl"
    r"|(?:(?:lower|upper|low|high|min|max) )?limits?(?: (?:low|high|min|max))?"
)
_UNNAMED = "no column is named as reference designators, and no column's content looks like them for certain"
_PLACEMENT = "this is a placement file (designator, x, y, rotation): add it to a BOM instead of uploading it as one"


def why_not_bom(draft: Draft, lines: Sequence[BomLine], *, chosen: bool) -> str | None:
    """A sentence where the sheet is no board BOM; None where it is one. ``chosen``: a person named the columns."""
    if not any(row for row in draft.sheet.rows):
        return "the sheet is empty"
    if any(is_placement_header(table.header) for table in draft.tables) or _placement_without_header(draft):
        return _PLACEMENT
    plan = draft.plans[0]
    position = plan.position(Field.REFDES)
    if position is None:
        return "no column holds reference designators (R1, C5, U3 ...)"
    named = [line for line in lines if set(line.refdes) - set(line.excluded_refdes)]
    if not named:
        return f'column "{plan.columns[position].label}" holds no reference designators (R1, C5, U3 ...)'
    if len(named) < 0.2 * len(lines):
        return f"only {len(named)} of {len(lines)} rows name a reference designator"
    listed = [line for line in lines if line.refdes and not line.loose]
    return None if chosen else _why_no_designators(plan, plan.columns[position], listed)


def _why_no_designators(plan: ColumnPlan, column: Column, named: Sequence[BomLine]) -> str | None:
    """A sentence where what stands in ``column`` looks like designators, but its name or the rest of the table speaks
    against it; None where nothing does."""
    found = {other.field for other in plan.columns}
    if Field.REFDES not in plan.meanings[column.index].weights:
        if not _content_convinces(plan, column, named):
            return _UNNAMED
    elif fold(column.header) in _VAGUE and not _is_no_other_code(found, named):
        return f'column "{column.label}" holds codes of another kind, no reference designators (R1, C5, U3 ...)'
    if _are_pins(named) and not (found & _OF_PARTS and _quantities_fit(named)):
        return f'column "{column.label}" names pins (U1.4, J2-1 ...), not the parts of a board'
    if _are_cables(plan, named):
        return "it lists cables or wires, not the parts of a board"
    counted = _quantity_is_sure(plan) and any(line.qty and len(line.refdes) > 1 for line in named)
    if not found & _SAYS_PARTS and not counted:
        return f'column "{column.label}" names reference designators, but no column says which parts go there'
    if (other := _other_list(plan)) is not None:
        return f"it lists {other}, not the parts of a board"
    words = [set(fold(other.header).split()) for other in plan.columns]
    for pair in _CHANGES:
        if all(any(word in some and len(some) < 4 for some in words) for word in pair):
            return "it lists changes (old and new), not the parts of a board"
    return None


def _content_convinces(plan: ColumnPlan, column: Column, named: Sequence[BomLine]) -> bool:
    """Whether a column whose name does not say so holds designators by all that stands in the table."""
    names = [name for line in named for name in line.refdes]
    repeats = len(names) - len(set(names))
    found = {other.field for other in plan.columns} - {None, Field.REFDES, Field.DESCRIPTION}
    if not found or repeats > 0.1 * len(names) or not has_common_letters(names):
        return False
    fit = _quantities_fit(named)
    if fit or (plan.meanings[column.index].known and not fit):
        return bool(fit)
    of_parts = found & _OF_PARTS
    electric = any(other.field is Field.VALUE and holds_values(other.samples) for other in plan.columns)
    return len(of_parts) > 1 or Field.PACKAGE in of_parts or (electric and fit is None)


def _is_no_other_code(found: set[Field | None], named: Sequence[BomLine]) -> bool:
    """Whether codes under a name such as "ID" or "Location" are designators: the quantities count them, or their
    letters are common ones, of several kinds where nothing else says that the rows are parts."""
    names = [name for line in named for name in line.refdes]
    fit = _quantities_fit(named)
    if fit is False:
        return False
    counted = fit and any(len(line.refdes) > 1 for line in named)
    is_of_parts = bool(found & _OF_PARTS)
    return bool(counted) or has_common_letters(names, kinds=1 if is_of_parts else 2, share=0.5 if is_of_parts else 0.6)


def _quantity_is_sure(plan: ColumnPlan) -> bool:
    position = plan.position(Field.QTY)
    return position is not None and plan.meanings[position].weights.get(Field.QTY, 0.0) >= SURE


def _are_pins(named: Sequence[BomLine]) -> bool:
    """Whether most names are a part and a pin of it, and the same parts come again and again."""
    names = [name for line in named for name in line.refdes]
    parts = [found[1] for name in names if (found := _PIN.fullmatch(name))]
    return len(parts) >= _MOSTLY * len(names) and len(set(parts)) <= _FEW * len(parts)


def _are_cables(plan: ColumnPlan, named: Sequence[BomLine]) -> bool:
    """Whether the names are those of wires, in a table that speaks of their ends, lengths or colours."""
    names = [name for line in named for name in line.refdes]
    words = {word for column in plan.columns for word in fold(column.header).split()}
    return bool(words & _OF_CABLES) and sum(prefix_of(name) == "W" for name in names) >= _MOSTLY * len(names)


def _other_list(plan: ColumnPlan) -> str | None:
    """What a table with designators lists by the names of its columns, where nothing in it says which parts to buy:
    failure rates, failures, measurements; None for none of these."""
    names = [(fold(column.header), column) for column in plan.columns if column.field in (None, Field.DNP)]
    fields = {column.field for column in plan.columns}
    counts = [sum(1 for name, _ in names if test.fullmatch(name)) for test in (_FAILURES, _MEASURED, _LIMITS)]
    failures, measured, limits = counts
    if failures > 1:
        return "failures and their effects"
    if fields & {Field.MPN, Field.MANUFACTURER, Field.PACKAGE}:
        return None
    if measured and limits and Field.QTY not in fields:
        return "measurements"
    electric = any(column.field is Field.VALUE and holds_values(column.samples) for column in plan.columns)
    rates = any(_FAILURE_RATES.fullmatch(name) and any(map(_RATE.search, column.samples)) for name, column in names)
    return "failure rates" if rates and not electric else None


def _quantities_fit(named: Sequence[BomLine]) -> bool | None:
    """Whether the quantities count the designators on most lines; None where there are none."""
    ratios = Counter(line.qty / len(line.refdes) for line in named if line.qty)
    return ratios.most_common(1)[0][1] >= 0.6 * ratios.total() if ratios else None


def _placement_without_header(draft: Draft) -> bool:
    """Whether the table has no header (found) and is one of places: named so above it, or by two columns of them."""
    table, plan = draft.tables[0], draft.plans[0]
    if table.header_row is not None:
        return False
    if any(map(is_placement_header, draft.sheet.rows[:SEARCHED_ROWS])):
        return True
    position = plan.position(Field.REFDES)
    return position is not None and is_coordinates(draft.sheet.rows, position)
