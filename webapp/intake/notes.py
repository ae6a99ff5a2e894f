"""What the text around the table says of its lines: "* not fitted", "DNP: R1, R2", "R5 and R6 are not fitted"."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from webapp.intake.designators import looks_like_designator, parse_designators
from webapp.intake.fitted import is_not_fitted_word, may_say_not_fitted, not_fitted_part

_FOOTNOTE = re.compile(r"\W{0,2}(\*{1,3}|[†‡])\W*(\w(?:.*[^*\s])?)", re.DOTALL)
_BEFORE = re.compile(r"\W*(?:notes?|remarks?|hinweis|parts?|components?|the following)?\W*", re.IGNORECASE)
_COUNTED = re.compile(r"\A\W*\d{1,2}[.)]\s+")
_VERB = re.compile(r"\s*(?:\b(?:are|is|sind|ist|sont|est)\b|[:=–-])?\s*\Z", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Notes:
    """``mark`` is the footnote mark that means "not fitted", "" if there is none; ``names`` are the designators that
    the text lists as not fitted."""

    mark: str = ""
    names: frozenset[str] = frozenset()

    def __bool__(self) -> bool:
        return bool(self.mark or self.names)

    def out(self, refdes: str, others: Iterable[str], names: Sequence[str]) -> tuple[str, ...]:
        """Those of a line's ``names`` that are not fitted: listed, or marked in the designator cell ``refdes``, or all
        where one of the line's ``others`` cells carries the mark."""
        listed = {name for name in names if name in self.names}
        if self.mark and any(text.endswith(self.mark) and text != self.mark for text in others):
            return tuple(names)
        if self.mark in refdes and self.mark:
            words = re.split(r"[\s,;、]+", refdes)
            listed.update(word.strip("*†‡") for word in words if _mark_of(word) == self.mark)
        return tuple(name for name in names if name in listed)


def _mark_of(word: str) -> str:
    return "".join(sign for sign in word if sign in "*†‡")


def read_notes(texts: Iterable[str]) -> Notes:
    """What ``texts``, the rows that are no lines, say of single designators and of marks."""
    mark = ""
    names: set[str] = set()
    for text in filter(may_say_not_fitted, texts):
        found = _FOOTNOTE.fullmatch(text.strip())
        if found and is_not_fitted_word(found[2]):
            mark = found[1]
        names.update(listed_in(text))
    return Notes(mark, frozenset(names))


def is_about_single_parts(text: str, rows: Iterable[Sequence[str]]) -> bool:
    """Whether a text that says "not fitted" heads no block: it lists designators, or explains a mark that stands behind
    something in ``rows``."""
    found = _FOOTNOTE.fullmatch(text.strip())
    if found is None:
        return bool(listed_in(text))
    carried = re.compile(rf"\w{re.escape(found[1])}(?![\w*†‡])")
    return any(found[1] in cell and carried.search(cell) for cells in rows for cell in cells)


@lru_cache(maxsize=4096)
def listed_in(text: str) -> tuple[str, ...]:
    """The designators of a sentence that says "not fitted" of a list and nothing else; none otherwise."""
    cut = not_fitted_part(text)
    if cut is None:
        return ()
    before, after = _COUNTED.sub("", text[: cut[0]]).strip(), text[cut[1] :].strip(" \t:=.-–()[]*")
    if after and _BEFORE.fullmatch(before):
        listed = after
    elif before and not after:
        listed = _VERB.sub("", before)
    else:
        return ()
    names = parse_designators(listed).names
    return names if names and all(map(looks_like_designator, names)) else ()
