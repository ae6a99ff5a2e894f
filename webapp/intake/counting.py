"""Which column counts the designators: the quantity is where the numbers agree with them."""

from collections.abc import Sequence

from webapp.intake.names import MAYBE, SURE
from webapp.intake.quantity import parse_quantity
from webapp.intake.variants import FoundColumns
from webapp.trade.bom import Field

_COUNTED, _ALL_COUNTED = 0.6, 0.95  # of the cells are the number of designators beside them


def count_right(found: FoundColumns, fields: dict[int, tuple[Field, float]], sizes: Sequence[int]) -> None:
    """Put the quantity where the cells count the designators, if the column taken for it does not and another does.

    ``fields`` (position -> field and confidence) is changed; ``sizes`` are the numbers of designators, row by row.
    """
    taken = next((i for i, (field, _) in fields.items() if field is Field.QTY), None)
    if taken is not None and _agreement(found.cells[taken], sizes) >= _COUNTED:
        return
    is_sure = taken is not None and found.meanings[taken].weights.get(Field.QTY, 0.0) >= SURE
    shares = {}
    for i, known in enumerate(found.meanings):
        if i in fields or known.order > 1:
            continue
        share = _agreement(found.cells[i], sizes)
        if Field.QTY in known.weights and share >= _COUNTED:
            shares[i] = 1 + share
        elif not (known.known or is_sure) and share >= _ALL_COUNTED and _counts_several(found.cells[i], sizes):
            shares[i] = share
    if shares:
        if taken is not None:
            del fields[taken]
        fields[max(shares, key=lambda i: shares[i])] = (Field.QTY, MAYBE)


def _agreement(cells: Sequence[str], sizes: Sequence[int]) -> float:
    """Share of the filled cells beside designators that are the number of these; nought does not count."""
    filled = [(parse_quantity(cell), size) for cell, size in zip(cells, sizes, strict=True) if size and cell.strip()]
    counts = [(count, size) for count, size in filled if count != 0]
    return sum(1 for count, size in counts if count == size) / len(counts) if len(counts) > 1 else 0.0


def _counts_several(cells: Sequence[str], sizes: Sequence[int]) -> bool:
    """Whether every row has a count, and some a count above one."""
    beside = [parse_quantity(cell) for cell, size in zip(cells, sizes, strict=True) if size]
    return all(beside) and any(count is not None and count > 1 for count in beside)
