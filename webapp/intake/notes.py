"""What the text around the tables says of their lines: "* not fitted", "DNP: R1, R2", "R5 and R6 are not fitted"."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from webapp.intake.statements import statement
from webapp.intake.unfitted import is_not_fitted_word, may_say_not_fitted

_FOOTNOTE = re.compile(r"\W{0,2}(\*{1,3}|[†‡])\W*(\w(?:.*[^*\s])?)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Notes:
    """``mark`` is the footnote mark that means "not fitted", "" if there is none; ``names`` are the designators that
    the text lists as not fitted; ``unclear`` are the rows and texts that say so under a condition or with more words
    than are understood."""

    mark: str = ""
    names: frozenset[str] = frozenset()
    unclear: tuple[tuple[int, str], ...] = ()

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


def read_notes(texts: Iterable[tuple[int, str]]) -> Notes:
    """What ``texts``, with their rows, say of single designators and of marks."""
    mark = ""
    names: set[str] = set()
    unclear = []
    for row, text in texts:
        if not may_say_not_fitted(text):
            continue
        found = _FOOTNOTE.fullmatch(text.strip())
        if found and is_not_fitted_word(found[2]):
            mark = found[1]
        said = statement(text)
        if said.is_sure:
            names.update(said.names)
        elif said.names:
            unclear.append((row, text))
    return Notes(mark, frozenset(names), tuple(unclear))


def is_about_single_parts(text: str, rows: Iterable[Sequence[str]]) -> bool:
    """Whether a text that says "not fitted" heads no block: it names designators, or explains a mark that stands behind
    something in ``rows``."""
    found = _FOOTNOTE.fullmatch(text.strip())
    if found is None:
        return bool(statement(text).names)
    carried = re.compile(rf"\w{re.escape(found[1])}(?![\w*†‡])")
    return any(found[1] in cell and carried.search(cell) for cells in rows for cell in cells)
