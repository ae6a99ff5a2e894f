"""The few of the data wanted: what one declaration would give stands once, not part by part and product by product."""

from collections.abc import Sequence
from dataclasses import replace

from webapp.desk.wanted import Wanted


def few_of(wanted: Sequence[Wanted]) -> list[Wanted]:
    """``wanted`` with rows of one declaration, and of one datum of several products, put together; single parts that
    such a declaration covers in all their products are left out. What frees most placements stands first.

    A row put together has its products' sums; ``parts`` counts each part once; ``label`` is "" for several products.
    """
    declared: dict[str, set[str]] = {}
    for item in wanted:
        if item.claim is not None:
            declared.setdefault(item.need, set()).update(item.products)
    together: dict[tuple[str, bool], list[Wanted]] = {}
    found: list[Wanted] = []
    for item in wanted:
        if item.part_id is None:
            together.setdefault((item.need, item.claim is not None), []).append(item)
        elif not declared.get(item.need, set()).issuperset(item.products):
            found.append(item)
    for (need, is_declared), items in together.items():
        covered = sum(1 for item in wanted if item.part_id is not None and item.need == need)
        found.append(_joined(items, covered if is_declared else 0))
    return sorted(found, key=lambda item: (-item.freed, -item.placements, item.label.casefold(), item.need))


def _joined(items: Sequence[Wanted], parts: int) -> Wanted:
    first = items[0]
    if len(items) == 1:
        return first
    return replace(
        first,
        label="",
        parts=parts,
        placements=sum(item.placements for item in items),
        freed=sum(item.freed for item in items),
        products=tuple(sorted({code for item in items for code in item.products})),
    )
