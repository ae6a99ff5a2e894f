"""The many ways in which the text of a BOM says "not fitted".

A word in a value or remark, a heading over a block, a bracket behind one designator, a list of the designators meant.
Words in English, the languages of Europe that print BOMs, Turkish, Vietnamese, Chinese, Japanese, Korean (common
practice, from memory; no standard fixes them).
"""

import re
from collections.abc import Sequence
from functools import lru_cache

from webapp.intake.designators import WORDS_OUT, parse_designators

MAX_REMARK = 60

_VERBS = r"(?:fit|mount|place|populate|install|assemble|stuff|load|solder|pop)"
_DONE = r"(?:fit|fitted|mounted|placed|populated|installed|assembled|stuffed|loaded|soldered)"
_WHERE = (
    r"(?!\s+(?:near|close|next|under|beneath|below|over|within|across|any|by\s+hand|upside|before|after|until|during"
    r"|(?:it |them )?on\s+(?:the\s+)?(?:top|bottom|solder side)|vias?|tracks?|traces?|copper)\b)"
)
_ALONE = r"(?=\s*(?:$|[^\w\s]))"  # "no load" is a remark of its own, "no load on the pins" is another
_PHRASES = (
    r"dnp|dn[ifms](?!-\d)|d([./])n\1[pifm]\b\.?",
    r"do[\s-]*n[o'’]?t[\s-]*" + _VERBS + _WHERE,
    r"don'?t\s*" + _VERBS + _WHERE,
    # What one house or machine does not fit another or a hand does.
    r"(?<!does )not[\s_-]*" + _DONE + r"(?!\s+by\s+(?!default|design)\w)",
    r"no[\s_-]*(?:populate|stuff|pop(?!-?up))",
    r"no[\s_-]*(?:fit|mount|place|load|solder|install|assemble)" + _ALONE,
    r"leave (?:it |them )?(?:empty|unfitted|unpopulated)",
    r"un(?:fitted|populated|stuffed)|un(?:mounted|placed|assembled|soldered)" + _ALONE,
    r"excluded?\s+from\s+(?:bom|board)",
    r"omit(?:ted)?" + _ALONE,
    r"n(?:icht|\.)[\s_-]*(?:best(?:ü|ue|u)ck(?:t|en)|best\.|montier(?:t|en)|einl(?:ö|oe)ten|einbauen|verbaut)",
    r"unbest(?:ü|ue)ckt|bleibt leer",
    r"ne\s+pas\s+(?:monter|implanter|placer|souder|c[âa]bler|poser|[ée]quiper)",
    r"non\s+(?:mont[ée]e?s?|implant[ée]e?s?|c[âa]bl[ée]e?s?|[ée]quip[ée]e?s?|pos[ée]e?s?|plac[ée]e?s?)",
    r"no\s+(?:montar|montado|colocar|colocado|soldar|poner|instalar|poblar|se\s+monta)",
    r"sin\s+(?:montar|poblar)",
    r"non\s+(?:montare|montat[oi]|montato|saldare|inserire)",
    r"n[ãa]o\s+(?:montar|montad[oa]|colocar|soldar|popular|populad[oa]|inserir)",
    r"niet\s+(?:geplaatst|plaatsen|monteren|gemonteerd|bestukken|bestukt)",
    r"(?:ej|inte|ikke)\s+monter\w*|monter[ae]s\s+(?:ej|inte|ikke)",
    r"nie\s+(?:montowa[ćc]|montowan[yea]|lutowa[ćc]|obsadza[ćc]|wlutowywa[ćc])",
    r"neos[aá]z\w+|neos[aá]dz\w+|nep[aá]jet|nemontovat",
    r"nu\s+se\s+(?:monteaz[ăa]|planteaz[ăa]|echipeaz[ăa])|nemontat",
    r"nem\s+(?:kell\s+)?be(?:ültet|épít)\w*",
    r"ei\s+asenneta",
    r"tak[ıi]lmayacak",
    r"không\s+(?:hàn|lắp|gắn)",
    r"не\s*(?:устанавливать|устанавливается|установлен[аоы]?|монтировать|монтируется|ставить|уст)",
    r"не\s*(?:паять|запаивать|запаян[аоы]?|распаивать|встановлювати|встановлено|монтувати)",
)
_CJK = (
    r"不[贴貼]|不[焊銲]|不[装裝]|不上件|不插|空[贴貼]|空焊|未[贴貼]|未焊|不打件|暂不焊|未実装|非実装|不実装|実装しない|実装なし|実装せず"
    r"|미\s?실장|미\s?삽|미\s?장착"
)
_STRONG = re.compile(r"(?<![^\W_])(?:" + "|".join(_PHRASES) + r")(?![^\W_])|" + _CJK, re.IGNORECASE)
_OF_PINS = re.compile(r"\b(?:pins?|pads?|leads?|contacts?)[\W\d]*(?:(?:is|are)\s+)?\Z", re.IGNORECASE)
_HINT = re.compile(
    r"dn[pifmsl]|d[./]n|n[o'’]t|\bno|\bun|ni[che]|\bne|\bnu\s+se|n[ãa]o|\bsin\b|best|monter|asenneta|lmayacak|không"
    r"|не|[不空未非実无無미]|(?<![^\W_])n\W?[fmpciblsu](?![^\W_])|x-out|entf|leer|open|empty|omit|exclu",
    re.IGNORECASE,
)
# Looking for parts of words is ten times as quick as the expression, and most rows hold none.
_HINT_PARTS = (
    *"dn d.n d/n no n't n’t un ni ne não sin best не x-out nf nm np nc nb nl ns n/ n. n-".split(),
    "nu se",
    *"monter asenneta lmayacak không entf leer open empty omit exclu".split(),
    *"不空未非実无無미",
)
_SHORT = frozenset(
    "nf nm np nc ni nl nb n/f n/m n/p n/c n.f. n.m. n.c. n.p. n.i. dnl x-out nostuff nopop nomount nofit"
    " ns n/s n.u. n.b. unused excluded entfällt entfaellt leer".split()
) | {"not used", "not required", "not needed", "do not use", "leave open", "n. b.", "no fit", "x (dnp)"}
# A value with a short form behind or before it: "10k/NC", "100n (NF)", "NL/10K". "100 NF" and "10uF NP" are values.
_VALUE = r"\d[\d.,]*\s?(?:[kKmMrRΩ]|ohms?|[unpµμ][FHfh]?)\d*"
_VALUE_OUT = re.compile(
    rf"{_VALUE}(?:[ ,]+\d+\s?[%V])?\s*(?:[/,_-]\s*|[(\[]\s*|\s)(?:NC|NM|NF|NI|NL|DNL|DNS|n\.b\.)[)\]]?"
    rf"|{_VALUE}DN[PIFM]|(?:NC|NM|NF|NI|NL)\s*[/(,_ -]\s*{_VALUE}.*"
)
_NOT_POLAR = re.compile(rf"{_VALUE}\s*[/(]\s*NP\)?|NP\s*/\s*{_VALUE}")  # a capacitor may be non-polar
_PLACE_LEFT = frozenset({"open", "empty"})
_PASSIVE = frozenset({"R", "C", "L"})
_MARKED = re.compile(r"([^\s,;()\[\]（）]*)\s*[(\[（]\s*([^)\]）]{2,40})\s*[)\]）]")
_OPENED = re.compile(rf"(?:\A\s*{WORDS_OUT.pattern}\s*[:=]?|{WORDS_OUT.pattern}\s*[:=])\s*(?=\S)", re.IGNORECASE)
_COUNT_BEFORE = re.compile(
    r"(\d{1,5})\s*(?:[x×]|pcs?\.?|pieces|stk\.?|off)?\s*(?:(?:is|are|sind|ist)\s+)?\Z", re.IGNORECASE
)
_CONDITION = re.compile(
    r"\b(?:if|when|unless|except|wenn|falls|sofern|sauf|excepto|eccetto|если|кроме)\b|\bwith\s+[A-Z]{1,3}\d"
    r"|(?:\b(?:in|on|for|with|of|bei|für|im|pour|dans|para|en|per|для|в)\s+|\()(?:(?:the|der|die|la|le|el)\s+)?"
    r"(?!(?:this|standard|default|current|base|normal|all|both|any|dieser|allen)\b)(?:[\w.]+\s+){0,2}?"
    r"(?:variants?|versions?|rev(?:ision)?s?\.?[a-z]?\d?|builds?|skus?|models?|variante[ns]?|versión|вариант\w*)\b",
    re.IGNORECASE,
)
_LEGEND = re.compile(
    r"\w\s*=|\b(?:marked|labell?ed|flagged|tagged|denotes?|means|stands for|indicates?)\b"
    r"|\b(?:bedeutet|gekennzeichnet|signifie|significa)\b",
    re.IGNORECASE,
)
_BY_LOOK = re.compile(
    r"\b(?:grey|gray|yellow|red|green|blue|orange|colou?r(?:ed)?|highlight(?:ed)?|shaded|struck|strike\w*|crossed|italics?"
    r"|grau|gelb|rot|grün|blau|farbig|markiert\w*|durchgestrichen\w*|gris|jaune|rouge|barré\w*)\b|[黄红灰绿蓝]色|划线",
    re.IGNORECASE,
)
_IN_NAME = re.compile(r"(?:^|_)DN[PIFM](?:_|$)", re.IGNORECASE)  # "R2_DNP"
_LOOSE_MARK = re.compile(r"(?<![^\W_])(?:dn[pifm]|nf|nm|n\.m\.)(?![^\W_])", re.IGNORECASE)


def may_say_not_fitted(text: str, parts: Sequence[str] = _HINT_PARTS) -> bool:
    """A quick look at a text, such as all of a row: False where none of the words below can be in it.

    ``parts`` are those of ``hints_in`` the text that it is a piece of.
    """
    return any(map(text.lower().__contains__, parts)) and _HINT.search(text) is not None


def hints_in(kinds: str) -> tuple[str, ...]:
    """The parts of words to look for in pieces of a long text; ``kinds`` is the text in small letters."""
    return tuple(part for part in _HINT_PARTS if part in kinds)


@lru_cache(maxsize=65536)
def says_not_fitted(text: str) -> bool:
    """Whether a remark, value or heading says that the whole row is not fitted: short, or beginning with it."""
    text = text.strip().replace("_", " ")
    if not text:
        return False
    found = _STRONG.search(text)
    if found is None or _OF_PINS.search(text[: found.start()]):
        return False
    return len(text) <= MAX_REMARK or found.start() <= 3


def not_fitted_parts(text: str) -> list[tuple[int, int]]:
    """Where in ``text`` it says "not fitted": start and end of each place."""
    return [found.span() for found in _STRONG.finditer(text.replace("_", " "))]


@lru_cache(maxsize=65536)
def is_not_fitted_word(text: str) -> bool:
    """Whether the whole cell is one of the short forms that mean "not fitted" where a value or a status stands."""
    return text.strip(" *()[]<>\"'").lower() in _SHORT or says_not_fitted(text)


@lru_cache(maxsize=65536)
def value_says_not_fitted(value: str, letters: str) -> bool:
    """Whether a value says that its parts are not fitted; "open" says it of parts with the ``letters`` R, C, L only."""
    value = value.strip()
    if _VALUE_OUT.fullmatch(value) or (letters != "C" and _NOT_POLAR.fullmatch(value)):
        return True
    return letters in _PASSIVE and value.lower() in _PLACE_LEFT


def marked_in(cell: str, refdes: Sequence[str]) -> tuple[str, ...]:
    """Designators marked one by one in the designator cell itself: "C3(DNP), C4", "R1-R4 [NF]", "R7, R8 (R8 DNP)",
    "R1 DNP: R2, R3"."""
    if not _LOOSE_MARK.search(cell) and not not_fitted_parts(cell):
        return ()
    marked = list(filter(_IN_NAME.search, refdes))
    rest = ""
    at = 0
    for found in _MARKED.finditer(cell):
        before, said = found[1], found[2]
        rest += cell[at : found.start()] + before
        at = found.end()
        if not is_not_fitted_word(said):
            continue
        named = _own(said, refdes) or _own(before, refdes)
        marked += named
        rest += "" if named else " DNP "  # a mark before the names: "(DNP) R3"
    rest += cell[at:]
    for line in re.split(r"(?<![,;\s])\s*[\r\n]+", rest):
        marked += _beside_words(line, refdes)
    return tuple(dict.fromkeys(marked))


def _own(text: str, refdes: Sequence[str]) -> list[str]:
    """Those of ``refdes`` that a text names, words aside."""
    named = {name for word in re.split(r"[\s,;:&+]+", text) for name in parse_designators(word).names}
    return [name for name in refdes if name in named]


def _beside_words(line: str, refdes: Sequence[str]) -> list[str]:
    """Designators with "DNP" beside them, up to the next comma; all behind "DNP:" and where it stands first; all of the
    line where it stands apart: "R1, R2 - DNP"."""
    opened = _OPENED.search(line)
    behind = _own(line[opened.end() :], refdes) if opened else []
    if opened and behind:
        return [*_beside_words(line[: opened.start()], refdes), *behind]
    found: list[str] = []
    for piece in re.split(r"[,;]+", line):
        word = WORDS_OUT.search(piece)
        if word is None:
            continue
        beside = [name for name in parse_designators(piece).names if name in refdes]
        if not beside or piece[: word.start()].rstrip()[-1:] in {"-", "–", ":"}:
            return [name for name in parse_designators(line).names if name in refdes] or list(refdes)
        found += beside
    return found


def count_not_fitted(text: str) -> int | None:
    """How many a quantity says are not fitted: 2 of "3 (2 DNP)"; None where it says that of all of them or of none."""
    for start, _ in not_fitted_parts(text):
        found = _COUNT_BEFORE.search(text[:start])
        if found and len(re.findall(r"\d+", text)) > 1:
            return int(found[1])
    return None


def is_conditional(text: str) -> bool:
    """Whether a text that says "not fitted" says so under a condition, or of some variant of the board."""
    return _CONDITION.search(text) is not None


def is_legend(text: str) -> bool:
    """Whether a text that says "not fitted" only explains how the list says it: "DNP = do not populate"."""
    return _LEGEND.search(text) is not None


def is_by_look(text: str) -> bool:
    """Whether a text that says "not fitted" says so of what has a colour or is struck through."""
    return _BY_LOOK.search(text) is not None
