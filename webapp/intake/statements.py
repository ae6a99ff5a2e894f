"""Sentences that say of single designators that they are not fitted: "DNP: R1, R5-R7", "R5 and R6 are not fitted"."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from webapp.intake.designators import looks_like_designator, parse_designators
from webapp.intake.ranges import join_ranges
from webapp.intake.unfitted import not_fitted_parts, says_not_fitted

_SHORT_LIST = re.compile(r"(?<![^\W_])(?:n[fmp]|n\.[fmp]\.|n/[fmp])(?=\s*[:(\[（])", re.IGNORECASE)
_COUNTED = re.compile(r"\A\W*\d{1,2}[.)]\s+")
_TOKEN = re.compile(r"\0|[^\s,;:=()\[\]（）\"*\0]+|[,;:=()\[\]（）*]")
_PACKAGE = re.compile(r"[RCLD](?:01005|0201|0402|0603|0805|1206|1210|1812|2010|2512)", re.IGNORECASE)
_OUT = "\0"  # stands for "not fitted" in a list of tokens
_OPENS = frozenset(":=([（")
_BREAKS = frozenset(",;")
# Words of a sentence that change nothing about what it says.
_FILLER = frozenset(
    "a an and are as be by been board boards component components default designators following for has have here is"
    " it item items line lines note notes on part parts pcb placement please positions remark remarks shall should that"
    " the these this those to were will at all assembly production location locations - – — & + und sind ist wird"
    " werden folgende bauteile die der das hinweis et est sont les composants suivants y e los las componentes"
    " siguientes son sono componenti i seguenti os и компоненты".split()
)


@dataclass(frozen=True, slots=True)
class Statement:
    """Designators that a text says are not fitted; ``is_sure``: it says nothing else of them, no "if", no "rev B"."""

    names: tuple[str, ...] = ()
    is_sure: bool = True


NOTHING = Statement()


def named_in(text: str, refdes: Sequence[str]) -> tuple[str, ...]:
    """Those of the row's own designators ``refdes`` that a remark in the row names as not fitted: "NF(C341 C342)",
    "DNP: R1, R5-R7", "R8 not fitted"; none where it speaks of the whole row or of nothing."""
    if not text or not (says_not_fitted(text) or _SHORT_LIST.search(text)):
        return ()
    named = {name.upper() for name in statement(text).names}
    return tuple(name for name in refdes if name.upper() in named) if named else ()


@lru_cache(maxsize=4096)
def statement(text: str) -> Statement:
    """What ``text`` says of single designators. The list stands behind "not fitted" ("DNP: R1, R2") or before it."""
    spans = [*not_fitted_parts(text), *(found.span() for found in _SHORT_LIST.finditer(text))]
    if not spans:
        return NOTHING
    marked = text
    for start, end in sorted(spans, reverse=True):
        marked = f"{marked[:start]} {_OUT} {marked[end:]}"
    tokens = [token for token in _TOKEN.findall(join_ranges(_COUNTED.sub("", marked))) if token.strip(".")]
    lists = [_names(token) for token in tokens]
    taken: dict[int, None] = {}
    for at in (i for i, token in enumerate(tokens) if token == _OUT):
        behind = _run(tokens, lists, at + 1, 1)
        before = _run(tokens, lists, at - 1, -1)[::-1]
        opens = tokens[at + 1 : at + 2] and tokens[at + 1] in _OPENS
        taken.update(dict.fromkeys((behind or before) if opens else (before or behind)))
    names = tuple(dict.fromkeys(name for i in taken for name in lists[i]))
    rest = [
        token for i, token in enumerate(tokens) if i not in taken and token not in _OPENS | _BREAKS | set(")]）*\0")
    ]
    return Statement(names, is_sure=all(token.strip(".").lower() in _FILLER for token in rest))


def _run(tokens: Sequence[str], lists: Sequence[tuple[str, ...]], start: int, step: int) -> list[int]:
    """Places of the designators that stand next to a "not fitted", from ``start`` on; a comma before them parts them
    from it."""
    found: list[int] = []
    at = start
    while 0 <= at < len(tokens) and tokens[at] != _OUT:
        token = tokens[at]
        if lists[at]:
            found.append(at)
        elif (token in _BREAKS and not found) or not (token in _OPENS | _BREAKS or token.strip(".").lower() in _FILLER):
            break
        at += step
    return found


def _names(token: str) -> tuple[str, ...]:
    names = parse_designators(token.strip("._")).names
    is_list = names and all(map(looks_like_designator, names)) and not _PACKAGE.fullmatch(token.strip("._"))
    return names if is_list else ()
