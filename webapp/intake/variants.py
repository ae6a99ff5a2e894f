"""Columns that say what is fitted on each of several variants of a board, and which of them is read."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from webapp.intake.fitted import is_fitted_or_not, is_fitting_word, is_tick
from webapp.intake.names import SURE, NameMeaning, fold
from webapp.intake.unfitted import says_not_fitted
from webapp.trade.bom import Field

_SPEAKS = re.compile(
    r"(?<![^\W_])(?:variants?|var|version|versions|config|configuration|option|options|build|builds|assembly|assemblies"
    r"|model|sku|edition|variante|varianten|varianti|variantes|ausfuhrung|вариант|исполнение)(?![^\W_])|版本|机型|仕様"
)
_IN_BRACKETS = re.compile(r"\s*[(\[][^()\[\]]+[)\]]\s*\Z")
_OF_PARTS = frozenset({Field.VALUE, Field.MPN, Field.MANUFACTURER, Field.DESCRIPTION})
_WHOLE = re.compile(r"\d{1,6}(?:\.0*)?")
_COUNTED = 0.6  # share of the rows whose quantity is the number of designators, or none
_QUANTITY = re.compile(r"\b(?:qty|quantity|menge|anzahl|qte|cantidad|pcs)\b")

_BOUGHT = re.compile(
    r"\b(?:orders?|ordered|stock|buy|spares?|extra|total|have|needed|avail\w*|min|moq|purchase\w*|reel)\b"
)


Kind = Literal["fits", "flags", "counts", "values"]


@dataclass(frozen=True, slots=True)
class Variants:
    """``positions`` of the columns of the variants, ``labels`` beside them; ``chosen`` is the one read, None if none.

    ``kind`` is what they hold: "fits" words and ticks, "flags" ones and noughts, "counts" quantities, "values" values
    or part numbers.
    """

    positions: tuple[int, ...]
    labels: tuple[str, ...]
    chosen: int | None
    kind: Kind

    @property
    def others(self) -> tuple[int, ...]:
        """Positions of the variants that are not read."""
        return tuple(position for position in self.positions if position != self.chosen)


@dataclass(frozen=True, slots=True)
class FoundColumns:
    """A table's columns by position: names, what they mean, names over groups of them, cells row by row."""

    names: Sequence[str]
    meanings: Sequence[NameMeaning]
    groups: Sequence[str]
    cells: Sequence[Sequence[str]]


def find_variants(
    columns: FoundColumns, taken: Mapping[int, Field], sizes: Sequence[int], titles: Iterable[str]
) -> Variants | None:
    """The variants, None where there are none. ``sizes``: designators of each row; ``taken``: columns of other fields.

    Read is the variant that a title names ("Variant: Pro"), else the first.
    """
    # Titles and totals beside the table are no cells of a variant.
    cells = [[cell for cell, size in zip(column, sizes, strict=True) if size] for column in columns.cells]
    columns, sizes = replace(columns, cells=cells), [size for size in sizes if size]
    could_be = [i for i in range(len(columns.names)) if _is_free(i, columns, taken)]
    spoken = [i for i in could_be if _speaks(columns, i)]
    others = [i for i in could_be if i not in spoken]
    fits = _several(i for i in spoken if _is_fits(columns.cells[i])) or _plain_fits(others, columns)
    qualified = [i for i in others if _is_quantity(columns.names[i]) and not _is_sure(columns, i)]  # "Qty Lite"
    counted = sorted(i for i in (*spoken, *qualified) if _is_counts(columns.cells[i], sizes))
    counts = _several(counted) or _plain_counts(others, columns, sizes)
    values = _of_one_field(columns, taken)
    found = fits or counts or values
    if not found:
        return None
    labels = tuple(" ".join(columns.names[i].split()) for i in found)
    chosen = next((i for i in values if i in taken), None) if found is values else _stated(columns, found, titles)
    chosen = found[0] if chosen is None else chosen
    numbers: Kind = "counts" if _agree(columns.cells[chosen], sizes) else "flags"
    return Variants(tuple(found), labels, chosen, "fits" if fits else numbers if counts else "values")


def _several(positions: Iterable[int]) -> list[int]:
    found = list(positions)
    return found if len(found) > 1 else []


def _plain_fits(others: Sequence[int], columns: FoundColumns) -> list[int]:
    """Columns whose names say nothing, but whose cells say "fitted" and "not fitted" in words, or ticks side by side of
    which a row often has several (one each would sort the parts)."""
    free = [i for i in others if not columns.meanings[i].known and any(map(str.strip, columns.cells[i]))]
    group = [i for i in free if _is_fits(columns.cells[i])]
    if not _differ(columns, group):
        return []
    if all(any(map(is_fitted_or_not, columns.cells[i])) for i in group):
        return group
    if group != list(range(group[0], group[-1] + 1)):
        return []
    if not all(is_tick(cell) for i in group for cell in columns.cells[i] if cell.strip()):
        return []
    rows = zip(*(columns.cells[i] for i in group), strict=True)
    ticked = [sum(bool(cell.strip()) for cell in row) for row in rows]
    meant = bool(ticked) and sum(count > 1 for count in ticked) > len(ticked) / 2 and min(ticked) > 0
    return group if meant else []


def _plain_counts(others: Sequence[int], columns: FoundColumns, sizes: Sequence[int]) -> list[int]:
    """Columns of quantities that count the designators of each row or none, and leave out different ones."""
    group = [i for i in others if not columns.meanings[i].known or _is_quantity(columns.names[i])]
    group = [i for i in group if not _BOUGHT.search(fold(columns.names[i])) and _counts_all(columns.cells[i], sizes)]
    group = [i for i in group if not _is_sure(columns, i)]  # "Qty" beside "Lite" and "Pro" is of the whole line
    several = any(_WHOLE.fullmatch(cell.strip()) and float(cell) > 1 for i in group for cell in columns.cells[i])
    return group if several and _differ(columns, group) else []


def _is_sure(columns: FoundColumns, i: int) -> bool:
    return columns.meanings[i].weights.get(Field.QTY, 0.0) >= SURE


def _counts_all(cells: Sequence[str], sizes: Sequence[int]) -> bool:
    """Whether every cell that is not empty or nought is the row's number of designators, and some are."""
    counts = [(cell.strip(), size) for cell, size in zip(cells, sizes, strict=True)]
    placed = [(float(cell), size) for cell, size in counts if _WHOLE.fullmatch(cell) and float(cell)]
    whole = all(not cell or _WHOLE.fullmatch(cell) for cell, _ in counts)
    return whole and bool(placed) and all(count == size for count, size in placed)


def _of_one_field(columns: FoundColumns, taken: Mapping[int, Field]) -> list[int]:
    """Columns named after variants that mean what one taken column means: "Value (variant A)", "Value (variant B)", or
    that differ in what stands in brackets: "Value (EU)", "Value (US)"."""
    named = [i for i in range(len(columns.names)) if _speaks(columns, i)]
    bracketed = [i for i, name in enumerate(columns.names) if _IN_BRACKETS.search(name)]
    for group in (named, bracketed):
        for i in group:
            same = [j for j in group if taken.get(i) in columns.meanings[j].weights]
            same = same if group is named else [j for j in same if _bare(columns.names[j]) == _bare(columns.names[i])]
            if taken.get(i) in _OF_PARTS and len(same) > 1:
                return same
    return []


def _bare(name: str) -> str:
    return fold(_IN_BRACKETS.sub("", name))


def _is_free(i: int, columns: FoundColumns, taken: Mapping[int, Field]) -> bool:
    if taken.get(i, Field.DNP) not in (Field.DNP, Field.QTY):
        return False
    found = columns.meanings[i]
    is_named = bool({Field.DNP, Field.QTY} & found.weights.keys()) or _is_quantity(columns.names[i])
    return not found.known or is_named or _speaks(columns, i)


def _speaks(columns: FoundColumns, i: int) -> bool:
    return any(map(speaks_of_variants, (columns.names[i], columns.groups[i])))


def speaks_of_variants(name: str) -> bool:
    """Whether a name of a column speaks of variants of a board."""
    return bool(name) and _SPEAKS.search(fold(name)) is not None


def _is_quantity(name: str) -> bool:
    plain = fold(name)
    return _QUANTITY.search(plain) is not None and _BOUGHT.search(plain) is None and not says_not_fitted(plain)


def _is_fits(cells: Sequence[str]) -> bool:
    filled = [cell for cell in cells if cell.strip()]
    return all(map(is_fitting_word, filled)) and not (filled and all(_WHOLE.fullmatch(cell.strip()) for cell in filled))


def _is_counts(cells: Sequence[str], sizes: Sequence[int]) -> bool:
    """Whether the cells are mostly the row's number of designators, or none; or nothing but 1 and 0."""
    filled = [(float(cell), size) for cell, size in zip(cells, sizes, strict=True) if _WHOLE.fullmatch(cell.strip())]
    if not filled or sum(bool(cell.strip()) for cell in cells) != len(filled):
        return False
    return _agree(cells, sizes) or all(count == 1 for count, size in filled if count and size)


def _agree(cells: Sequence[str], sizes: Sequence[int]) -> bool:
    """Whether most numbers above nought are the row's number of designators."""
    filled = [(float(cell), size) for cell, size in zip(cells, sizes, strict=True) if _WHOLE.fullmatch(cell.strip())]
    placed = [(count, size) for count, size in filled if count]
    return sum(count == size for count, size in placed) >= _COUNTED * len(placed)


def _differ(columns: FoundColumns, group: Sequence[int]) -> bool:
    """Whether several columns say different things of some row."""
    if len(group) < 2:
        return False
    rows = zip(*(columns.cells[i] for i in group), strict=True)
    return any(len({cell.strip().lower() for cell in row}) > 1 for row in rows)


def _stated(columns: FoundColumns, group: Sequence[int], titles: Iterable[str]) -> int | None:
    """The variant that a title names, if it names just one."""
    said = [fold(title) for title in titles]
    said = [title for title in said if _SPEAKS.search(title)]
    named = [i for i in group if (own := _own_name(columns.names[i])) and any(own in title.split() for title in said)]
    return named[0] if len(named) == 1 else None


def _own_name(name: str) -> str:
    """ "pro" of "Variant Pro" and of "Qty Pro"; "" where several words are left."""
    words = [word for word in _QUANTITY.sub(" ", _SPEAKS.sub(" ", fold(name))).split() if word]
    return words[0] if len(words) == 1 else ""
