"""How likely bytes are text in one encoding: judged by what letters, signs and words they turn into.

Own judgement of common practice, no published source: letter shares are rounded from general knowledge of the
languages, the word lists are headings and part kinds as BOMs print them. The tests hold a table of sentences.
"""

import re
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from typing import NamedTuple

ALPHABETS = {
    "cp1252": (
        "äöüß",
        "éèêëàâçîïôûùüœ",
        "áéíóúüñ",
        "àèéìíòóù",
        "áâãàçéêíóôõúü",
        "åäöé",
        "æøåéö",
        "ëïéèöü",
        "ðþæöáéíóúý",
    ),
    "cp1250": ("ąćęłńóśźż", "áčďéěíňóřšťúůýž", "áäčďéíĺľňóôŕšťúýž", "áéíóöőúüű", "ăâîşţ", "čćđšž"),
}
"""Letters beyond a-z of one language each; a real text keeps to one of them."""

_CYRILLIC = {letter: 0.9 - 0.06 * place for place, letter in enumerate("оеаинтсрвлкмдпуяыьгзбчйхжшюцщэфёъ")}
_CYRILLIC |= dict.fromkeys("іїєґўј", 0.3)
_CJK_COMMON = frozenset(
    "的一是不了在有个和中大为上用国位号数量型名称封装电容阻感器件元料描述说明厂家商规格备注贴片二三极管芯稳压晶振"
    "接插座头连线开关继保险丝光发红绿蓝白黄色灯直排针母公单双面板序编物品牌供应链参考值误差精度耐功率温度无铅替代可选焊"
    "号數電裝廠規備註極體壓開關連線單雙廠商晶振繼電器燈紅綠藍黃類別項次料號"
    "部品番号数量抵抗品名型番定格電圧備考製造会社社名仕様実装未表裏面積層固定形小信用高低周波可変半導体集積回路基板端子"
)
_TRADE_WORDS = (
    *("обозначение", "наименование", "количество", "примечание", "конденсатор", "резистор", "диод", "микросхема"),
    *("транзистор", "разъем", "номинал", "корпус", "производитель", "кол", "поз", "плата", "мкф", "ком", "мгн"),
    *("wartość", "ilość", "oznaczenie", "montować", "označení", "počet", "výrobce", "součástka"),
    *("ﾁｯﾌﾟ", "ｺﾝﾃﾞﾝｻ", "ﾀﾝﾀﾙ", "ﾀﾞｲｵｰﾄﾞ", "ｺﾈｸﾀ", "ﾒｰｶｰ", "ﾄﾗﾝｼﾞｽﾀ", "ｾﾗﾐｯｸ"),
    *(
        "저항",
        "콘덴서",
        "커패시터",
        "부품",
        "수량",
        "번호",
        "위치",
        "제조사",
        "품명",
        "규격",
        "비고",
        "다이오드",
        "코일",
        "커넥터",
    ),
)
_UNITS = frozenset(
    ("мкФ", "нФ", "пФ", "кОм", "МОм", "мОм", "мкГн", "мГн", "нГн", "кГц", "МГц", "мА", "мВ", "кВ", "мВт")
)
_LEVEL_ONE = {"gb18030": (0xB0, 0xD7), "big5": (0xA4, 0xC6), "cp932": (0x88, 0x97), "cp949": (0xB0, 0xC8)}
"""Lead bytes of the characters in daily use, in each standard's own order."""


class _Place(NamedTuple):
    """Where a character stands: its neighbours, the next character that is no blank, and how it was decoded."""

    before: str
    after: str
    nearest: str
    codec: str
    alphabet: str


_RUN = re.compile(r"[^\W\d_]*[^\x00-\x7f](?:[^\W\d_]|[^\x00-\x7f])*")
_BLANKS = " \t\xa0"


def plausibility(lines: list[bytes], codec: str) -> float:
    """Between about -2 (cannot be) and 1 (reads like a BOM), averaged over the bytes that are not ASCII.

    ``lines`` must decode in ``codec``, but for a character cut off at the end of one; 0 if all are ASCII.
    """
    total = weight = 0.0
    alphabets = ALPHABETS.get(codec, ALPHABETS["cp1252"])
    texts = [line.decode(codec, "ignore") for line in lines]
    letters = {char for text in texts for char in text.lower() if char > "\x7f" and _script(char) == "latin"}
    alphabet = max(alphabets, key=lambda known: len(letters & set(known)))
    for text in texts:
        for run in _RUN.finditer(text):
            word = run.group()
            size = len(word.encode(codec)) - sum(char < "\x80" for char in word)
            before = text[max(0, run.start() - 1) : run.start()]
            total += size * _judge(word, before, text[run.end() : run.end() + 2], codec, alphabet)
            weight += size
    return total / weight if weight else 0.0


def _judge(run: str, before: str, after: str, codec: str, alphabet: str) -> float:
    """Mean over the non-ASCII characters of one run of letters and signs, seen with what stands beside it."""
    if any(word in run.lower() for word in _TRADE_WORDS):
        return 1.0
    text = f"{before:>1}{run}{after:<2}"
    scores = [
        _SCRIPTS[_script(char)](
            char, _Place(text[at - 1], text[at + 1], text[at + 1 :].lstrip(_BLANKS)[:1], codec, alphabet)
        )
        for at, char in enumerate(text[1:-2], start=1)
        if char > "\x7f"
    ]
    return sum(scores) / len(scores) + _case(run)


def _case(run: str) -> float:
    """A penalty for small and capital letters jumbled as no language does."""
    letters = "".join(char for char in run if char.isalpha() and _script(char) in ("latin", "cyrillic", "ascii"))
    if len(letters) < 2 or letters in _UNITS or any(unit in letters for unit in _UNITS):
        return 0.0
    if any(small.islower() and large.isupper() and large > "\x7f" for small, large in pairwise(letters)):
        return -1.0
    return 0.0 if letters[1:].islower() or letters.isupper() or min(letters) < "\x80" else -0.6


@cache
def _script(char: str) -> str:
    code = ord(char)
    if code < 0x80:
        return "ascii"
    for script, first, last in _BLOCKS:
        if first <= code <= last:
            return script
    return "sign" if char in _SIGNS else "latin" if code < 0x250 and char.isalpha() else "other"


_BLOCKS = (
    ("sign", 0xAA, 0xAA), ("sign", 0xB5, 0xB5), ("sign", 0xBA, 0xBA),
    ("control", 0x80, 0x9F), ("control", 0xE000, 0xF8FF), ("control", 0xFFF0, 0xFFFF),
    ("cyrillic", 0x400, 0x45F), ("cyrillic", 0x490, 0x491),
    ("kana", 0x3041, 0x30FF), ("han", 0x4E00, 0x9FFF), ("hangul", 0xAC00, 0xD7A3),
    ("wide", 0x3001, 0x3011), ("wide", 0xFF01, 0xFF5E), ("half_kana", 0xFF61, 0xFF9F), ("control", 0x10000, 0x10FFFF),
)  # fmt: skip
_SIGNS = frozenset("±°®™©²³¹×÷·–—…“”‘’•«»½¼¾¿¡£€¥§¢\xa0№ΩμωφΦ℃㎜")


def _sign(char: str, place: _Place) -> float:
    rule = _SIGN_RULES.get(char)
    if rule is None:
        return 0.4
    return 1.0 if rule(place) else -0.6


def _of_a_number(place: _Place) -> bool:
    return not place.before.isalpha() and not place.after.isalpha()


def _after_a_word(place: _Place) -> bool:
    return place.before.isalnum() and not place.after.isalpha()


def _power(place: _Place) -> bool:
    return place.before.isascii() and place.before.isalpha() and not place.after.isalpha()


def _opening(place: _Place) -> bool:
    return not place.before.isalnum() and place.after.isalpha()


def _prefix(place: _Place) -> bool:
    return not place.before.isalpha() and place.after in "FHAVWmsglSJNPfhavw "


def _degree(place: _Place) -> bool:
    return place.before.isdigit() or place.after in "CFK" or place.before in "nN "


_SIGN_RULES: dict[str, Callable[[_Place], bool]] = {
    **dict.fromkeys("½¼¾£€¥÷", _of_a_number),
    **dict.fromkeys("®™", _after_a_word),
    **dict.fromkeys("²³¹", _power),
    **dict.fromkeys("¿¡", _opening),
    **dict.fromkeys("µμ", _prefix),
    **dict.fromkeys("°ºª", _degree),
    "Ω": lambda place: not place.after.isalpha() or place.before in "kKMmR",
    "±": lambda place: not place.before.isalpha() and (place.nearest.isdigit() or place.nearest in ".,"),
    "×": lambda place: all(beside.isdigit() or beside == " " for beside in (place.before, place.after)),
    "§": lambda place: not place.before.isalnum(),
    "¢": lambda place: place.before.isdigit() and not place.after.isalnum(),
    "№": lambda place: not place.before.isalpha(),
    "’": lambda place: place.before.isalnum() or place.after.isalnum(),
    "–": lambda place: place.before < "\x80" or place.after < "\x80",
}
"""Where each sign stands in a BOM when it is meant: "10 µF", "±5 %", "85 °C", "mm²"."""


def _latin(char: str, place: _Place) -> float:
    before, after = place.before, place.after
    if char in "Øø" and (after.isdigit() or after == " "):
        return 0.8
    if char.lower() not in place.alphabet or (char in "œŒ" and after not in "iuIU"):
        return -0.5
    beside = [other for other in (before, after) if other.isalpha()]
    if not beside:
        return -0.3
    # Neighbours outside ASCII are rare in the Latin languages: a chain of them is another script misread.
    return 0.8 if any(other < "\x80" for other in beside) else -0.6


def _cyrillic(char: str, place: _Place) -> float:
    before, after = place.before, place.after
    if "a" <= before.lower() <= "z" or "a" <= after.lower() <= "z":
        return -0.5
    alone = _script(before) != "cyrillic" and _script(after) != "cyrillic"
    if alone:  # a unit or a one-letter word at best
        return 0.2 if char.lower() in "ваисукофгн" else -0.3
    return _CYRILLIC.get(char.lower(), -0.5)


def _cjk(char: str, place: _Place) -> float:
    codec = place.codec
    if codec == "cp949" and _script(char) == "han":
        return -0.4
    if char in _CJK_COMMON:
        return 1.0
    first, last = _LEVEL_ONE.get(codec, (0, 0))
    code = char.encode(codec)
    common = first <= code[0] <= last and (codec in ("big5", "cp932") or code[1] >= 0xA1)
    return 0.45 if common else -0.4 if code[-1] >= 0xA1 else -1.0


_SCRIPTS: dict[str, Callable[[str, _Place], float]] = {
    "sign": _sign,
    "latin": _latin,
    "cyrillic": _cyrillic,
    "han": _cjk,
    "hangul": _cjk,
    "kana": lambda _, place: 0.9 if place.codec == "cp932" else 0.1,
    "wide": lambda *_: 0.7,
    "half_kana": lambda *_: -0.5,
    "control": lambda *_: -2.0,
    "other": lambda *_: -0.8,
}
