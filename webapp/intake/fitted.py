"""Whether a part is on the board: the many ways in which a BOM says "not fitted".

A column of its own, a word in a value or remark, a heading over a block, a bracket behind one designator, a list of
the designators meant, a quantity of zero. Words in English, German, French, Spanish, Italian, Portuguese, Russian,
Chinese, Japanese (common practice, from memory; no standard fixes them).
"""

import re
from collections.abc import Iterable, Sequence
from functools import lru_cache

from webapp.intake.designators import looks_like_designator
from webapp.intake.names import fold

MAX_REMARK = 60

_VERBS = r"(?:fit|mount|place|populate|install|assemble|stuff|load|solder|pop)"
_DONE = r"(?:fit|fitted|mounted|placed|populated|installed|assembled|stuffed|loaded|soldered)"
_PHRASES = (
    r"dn[pifm]",
    r"do\s*n[o'’]?t\s*" + _VERBS,
    r"don'?t\s*" + _VERBS,
    r"not[\s_-]*" + _DONE,
    r"no[\s_-]*" + _VERBS,
    r"un(?:fitted|mounted|placed|populated|stuffed|assembled)",
    r"nicht[\s_-]*(?:best(?:ü|ue|u)ck(?:t|en)|montier(?:t|en)|einl(?:ö|oe)ten|einbauen|verbaut)",
    r"unbest(?:ü|ue)ckt",
    r"n\.\s?b\.",
    r"ne\s+pas\s+(?:monter|implanter|placer|souder|c[âa]bler|poser|[ée]quiper)",
    r"non\s+(?:mont[ée]e?s?|implant[ée]e?s?|c[âa]bl[ée]e?s?|[ée]quip[ée]e?s?|pos[ée]e?s?|plac[ée]e?s?)",
    r"no\s+(?:montar|montado|colocar|colocado|soldar|poner|instalar|poblar|se\s+monta)",
    r"sin\s+(?:montar|poblar)",
    r"non\s+(?:montare|montat[oi]|montato|saldare|inserire)",
    r"n[ãa]o\s+(?:montar|montado|colocar|soldar)",
    r"не\s*(?:устанавливать|устанавливается|установлен[аоы]?|монтировать|монтируется|ставить)",
    r"не\s*(?:паять|запаивать|запаян[аоы]?|распаивать)",
)
_CJK = r"不贴|不焊|不装|不上件|不插|空贴|空焊|未贴|未焊|不打件|未実装|非実装|不実装|実装しない|実装なし|実装せず"
_STRONG = re.compile(r"(?<![^\W_])(?:" + "|".join(_PHRASES) + r")(?![^\W_])|" + _CJK, re.IGNORECASE)
_HINT = re.compile(
    r"dn[pifm]|n[o'’]t|\bno|\bun|nich|\bne\b|n[ãa]o|\bsin\b|best|не|[不空未非実无無]|\b[nd]\W?[fmpcibls]\b|x-out",
    re.IGNORECASE,
)
# Looking for parts of words is ten times as quick as the expression, and most rows hold none.
_HINT_PARTS = (
    *"dn no n't n’t un ni ne não sin best не x-out nf nm np nc nb nl ns n/ n. n- dl ds d- d. d/".split(),
    *"不空未非実无無",
)
_SHORT = frozenset(
    "nf nm np nc ni nl nb n/f n/m n/p n/c n.f. n.m. n.c. n.p. n.i. dnl dns x-out nostuff nopop nomount nofit"
    " unused".split()
)
_SHORT_LIST = re.compile(r"(?<![^\W_])(?:n[fmp]|n\.[fmp]\.|n/[fmp])\s*[:(\[（]\s*([^)\]）]*)", re.IGNORECASE)
_MARKED = re.compile(r"([^\s,;()\[\]]+)\s*[(\[（]\s*([^)\]）]{2,30})\s*[)\]）]")
_LOOSE_MARK = re.compile(r"(?<![^\W_])(?:dn[pifm]|nf|nm|n\.m\.)(?![^\W_])", re.IGNORECASE)

_YES = frozenset("yes y 1 true x ja oui si sí sim да д 是 ○ 〇 有 ✓ ✔ v ok j √ 1.0 on".split())
_NO = frozenset("no n 0 false nein non nao não нет н 否 × ✗ ✘ 無 なし nope 0.0 off not none".split())
_MARKS = frozenset("x ✓ ✔ v √ ● ○ 〇 1 *".split())


def may_say_not_fitted(row: str) -> bool:
    """A quick look at a whole row as one text: False where none of the words below can be in it."""
    small = row.lower()
    return any(map(small.__contains__, _HINT_PARTS)) and _HINT.search(row) is not None


@lru_cache(maxsize=65536)
def says_not_fitted(text: str) -> bool:
    """Whether a remark, value or heading says that the whole row is not fitted: short, or beginning with it."""
    text = text.strip()
    if not text:
        return False
    found = _STRONG.search(text)
    return found is not None and (len(text) <= MAX_REMARK or found.start() <= 3)


@lru_cache(maxsize=65536)
def is_not_fitted_word(text: str) -> bool:
    """Whether the whole cell is one of the short forms that mean "not fitted" where a value or a status stands."""
    return text.strip().lower() in _SHORT or says_not_fitted(text)


def named_in(text: str, refdes: Sequence[str]) -> tuple[str, ...]:
    """Designators of the row that a remark names as not fitted: "NF(C341 C342)", "DNP: R1, R2", "R5 not fitted"."""
    if not text or not (says_not_fitted(text) or _SHORT_LIST.search(text)):
        return ()
    own = {name.upper(): name for name in refdes}
    lists = _SHORT_LIST.findall(text) or [text]
    words = {word.upper() for part in lists for word in re.split(r"[\s,;:()\[\]（）]+", part)}
    return tuple(name for upper, name in own.items() if upper in words and looks_like_designator(name))


def marked_in(cell: str, refdes: Sequence[str]) -> tuple[str, ...]:
    """Designators marked one by one in the designator cell itself: "C3(DNP), C4", "R5 [NF]"."""
    if not _LOOSE_MARK.search(cell) and not says_not_fitted(cell):
        return ()
    own = set(refdes)
    return tuple(
        dict.fromkeys(name for name, mark in _MARKED.findall(cell) if name in own and is_not_fitted_word(mark))
    )


class FittedColumn:
    """The sense of a "fitted" or "not fitted" column, told from its name and all its cells."""

    def __init__(self, header: str, cells: Iterable[str], *, yes_is_fitted: bool) -> None:
        plain = fold(header)
        self._negative = says_not_fitted(plain) or is_not_fitted_word(plain) or "exclude" in plain
        self._positive = yes_is_fitted and not self._negative
        values = [cell.strip().lower() for cell in cells]
        filled = [value for value in values if value]
        # A column of ticks only: what is not ticked is not fitted, if enough is ticked for that to be meant.
        ticks_only = bool(filled) and all(value in _MARKS for value in filled)
        self._blank_is_out = self._positive and ticks_only and 0.4 * len(values) <= len(filled) < len(values)

    def says(self, cell: str) -> bool | None:
        """True: fitted. False: not fitted. None: the cell does not say."""
        plain = cell.strip().lower()
        if not plain:
            return False if self._blank_is_out else None
        if is_not_fitted_word(plain):
            return False
        if plain in _YES:
            return self._positive if self._positive or self._negative else None
        if plain in _NO:
            return not self._positive if self._positive or self._negative else None
        return None
