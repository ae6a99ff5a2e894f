"""What the text around the tables says of their lines: footnotes ("* not fitted", "2) not fitted") and lists of
designators not fitted."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from webapp.intake.designators import parse_designators, plain_text
from webapp.intake.statements import statement
from webapp.intake.unfitted import (
    is_by_look,
    is_conditional,
    is_legend,
    is_not_fitted_word,
    may_say_not_fitted,
    says_not_fitted,
)

_SIGNS = "*†‡§#"
_SIGNED = re.compile(r"[^\w*†‡§#]{0,2}(\*{1,3}|[†‡§#])\W*(\w(?:.*[^*\s])?)", re.DOTALL)
_NOTE = (
    r"(?:foot)?notes?|remarks?|anm(?:erkung)?\.?|hinweis|bem(?:erkung)?\.?|remarque|nota|прим(?:ечание)?\.?"
    r"|注|備考|备注|※"
)
_NUMBERED = re.compile(
    rf"(?:(?:{_NOTE})\s*[(\[]?(\d{{1,2}})[)\]]?\s*[:.=–-]?|[(\[]?(\d{{1,2}})[)\].:]|[(\[](\d{{1,2}})[)\]])\s*(?=\D)(.+)",
    re.IGNORECASE | re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class Notes:
    """``marks`` are the footnote marks, signs or numbers, that mean "not fitted"; ``names`` are the designators that
    the text lists as not fitted; ``unclear`` are the rows and texts that say so under a condition, of what has a colour
    or with more words than are understood."""

    marks: frozenset[str] = frozenset()
    names: frozenset[str] = frozenset()
    unclear: tuple[tuple[int, str], ...] = ()

    def __bool__(self) -> bool:
        return bool(self.marks or self.names)

    def out(self, refdes: str, others: Iterable[str], remarks: Iterable[str], names: Sequence[str]) -> tuple[str, ...]:
        """Those of a line's ``names`` that are not fitted: listed, or marked in the designator cell ``refdes``, or all
        where one of the ``others`` cells ends with a mark or one of the ``remarks`` is one."""
        listed = {name for name in names if name in self.names}
        if self.marks:
            others, remarks = tuple(others), tuple(remarks)
            for mark in self.marks:
                if any(_is_marked(text, mark) for text in others) or any(_is_mark(text, mark) for text in remarks):
                    return tuple(names)
                listed.update(_marked_names(refdes, mark))
        return tuple(name for name in names if name in listed)


def read_notes(texts: Iterable[tuple[int, str]]) -> Notes:
    """What ``texts``, with their rows, say of single designators and of marks."""
    marks: set[str] = set()
    names: set[str] = set()
    unclear = []
    for row, text in texts:
        if not may_say_not_fitted(text):
            continue
        said = statement(text)
        if says_not_fitted(text) and (is_by_look(text) or (is_conditional(text) and not said.names)):
            unclear.append((row, text))
            continue
        mark, note = footnote(text)
        if mark and is_not_fitted_word(note):
            marks.add(mark)
        if said.is_sure:
            names.update(said.names)
        elif said.names:
            unclear.append((row, text))
    return Notes(frozenset(marks), frozenset(names), tuple(unclear))


def footnote(text: str) -> tuple[str, str]:
    """The mark that a footnote explains ("*", "2") and what it says of it; two empty texts where it is none."""
    text = plain_text(text).strip()
    signed = _SIGNED.fullmatch(text)
    if signed:
        return signed[1], signed[2]
    found = _NUMBERED.fullmatch(text)
    return (found[1] or found[2] or found[3], found[4].strip()) if found else ("", "")


def is_about_single_parts(text: str, rows: Iterable[Sequence[str]], remarks: Iterable[int] = ()) -> bool:
    """Whether a text that says "not fitted" heads no block: it names designators, says so of variants or colours,
    explains a word, or a mark that stands behind something in ``rows`` or alone in one of their columns ``remarks``."""
    if is_conditional(text) or is_by_look(text) or is_legend(text):
        return True
    mark, _ = footnote(text)
    if not mark:
        return bool(statement(text).names)
    at = tuple(remarks)
    return any(
        any(_is_marked(cell, mark) for cell in cells) or any(i < len(cells) and _is_mark(cells[i], mark) for i in at)
        for cells in rows
    )


def _is_marked(cell: str, mark: str) -> bool:
    """Whether the footnote mark stands behind something in a cell: "10k*", "10k (2)", "10k 2)", "10k see note 2"."""
    if mark[0] in _SIGNS:
        sign = re.escape(mark)
        return mark in cell and re.search(rf"\w{sign}(?![\w{_SIGNS}])|[\w)]\s+{sign}\s*(?:$|[,;\n])", cell) is not None
    if mark not in (text := plain_text(cell)):
        return False
    return re.search(rf"\S\s*[(\[]{mark}[)\]]|\S\s+{mark}\)|\b(?:{_NOTE})\s*[(\[]?{mark}\b", text, re.I) is not None


def _is_mark(cell: str, mark: str) -> bool:
    """Whether a cell of a column of remarks holds the mark alone or among others: "2", "(2)", "1, 2", "see note 2"."""
    text = plain_text(cell).strip()
    if mark[0] in _SIGNS:
        return text == mark
    bare = re.sub(rf"\b(?:see|siehe|s\.|voir|vedi|ver|см\.?)\s|(?:{_NOTE})", " ", text, flags=re.I)
    return mark in re.findall(r"\d+", bare) and re.fullmatch(r"[\s\d,;/&+()\[\].]+", bare) is not None


def _marked_names(refdes: str, mark: str) -> set[str]:
    """Designators that carry the mark in their own cell: "C1, C2*", "R2 (1), R3", "R2¹"."""
    if mark[0] in _SIGNS:
        words = re.split(r"[\s,;、]+", refdes) if mark in refdes else ()
        return {word.strip(_SIGNS) for word in words if "".join(sign for sign in word if sign in _SIGNS) == mark}
    marked = re.findall(rf"([^\s,;()\[\]]+)\s*(?:[(\[]{mark}[)\]]|(?<=\s){mark}\))", plain_text(refdes))
    return {name for word in marked for name in parse_designators(word).names}
