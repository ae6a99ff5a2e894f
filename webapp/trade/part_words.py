"""Words in many languages that say what a part is, and how it is mounted.

The words stand in tables/part_words.csv and tables/mounting_words.csv. Strength 1 settles the kind, 2 is the usual
noun, 3 a hint only.
"""

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TypeVar

from webapp.trade.classes import PartClass
from webapp.trade.masks import Mounting
from webapp.trade.tables import rows

Value = TypeVar("Value")

_CACHED_TEXTS = 20_000
_HEADS = frozenset(
    "ic conn connector res resistor cap capacitor led diode switch fuse relay xtal crystal ind mosfet "
    "transistor".split()
)
"""Nouns that settle the kind when they stand first, as distributors write: "IC SWITCH", "CONN HEADER"."""
_GERMAN_ENDS = (
    "widerstand kondensator elko stecker buchse schalter taster diode transistor relais sicherung leiste klemme spule "
    "drossel quarz modul sensor halter kabel verstarker regler wandler treiber"
).split()
_WORD = re.compile(r"[^\W_]+")
_PIECE = re.compile(r"[^\W\d_]+|\d+")
_CJK = "\u3040"


@dataclass(frozen=True, slots=True)
class Kind:
    """What a part is called, and the classes it may belong to."""

    key: str
    name: str
    classes: PartClass


@dataclass(frozen=True, slots=True)
class Hit:
    """A kind found in a text: the words, how strongly they say it, and where they stand."""

    kind: Kind
    words: str
    strength: int
    position: int


@cache
def kinds() -> Mapping[str, Kind]:
    """All kinds by key."""
    return {
        row.text("kind"): Kind(row.text("kind"), row.text("name"), PartClass.from_keys(row.text("classes")))
        for row in rows("part_kinds")
    }


@cache
def kind_of_prefix(prefix: str) -> Kind | None:
    """What a designator's letters usually stand for (IEEE 315 and practice): weak evidence; ``None`` for others."""
    return _prefixes().get(prefix.upper())


@cache
def _prefixes() -> Mapping[str, Kind]:
    return {row.text("prefix"): kinds()[row.text("kind")] for row in rows("designator_prefixes")}


@lru_cache(maxsize=_CACHED_TEXTS)
def kind_hits(text: str) -> tuple[Hit, ...]:
    """All kinds named in ``text``, the one that settles it first."""
    found = [*_phrase_hits(text), *_cjk_hits(text)]
    return tuple(sorted(found, key=lambda hit: (hit.strength, hit.position)))


@lru_cache(maxsize=_CACHED_TEXTS)
def mounting_of(text: str) -> tuple[Mounting, str]:
    """How ``text`` says the part is mounted, and the words; several kinds of mounting named are all kept."""
    words, cjk = _mounting_words()
    found = Mounting(0)
    said: list[str] = []
    for _, phrase, value in words.found_in(_tokens(text)):
        found |= value
        said.append(phrase)
    if text and max(text) >= _CJK:
        for word, value in cjk.items():
            if word in text:
                found |= value
                said.append(word)
    return found, ", ".join(dict.fromkeys(said))


def _phrase_hits(text: str) -> Iterator[Hit]:
    for position, phrase, (kind, strength) in _kind_words()[0].found_in(_tokens(text)):
        settled = position == 0 and phrase in _HEADS
        yield Hit(kind, phrase, 0 if settled else strength, position)


def _cjk_hits(text: str) -> Iterator[Hit]:
    if not text or max(text) < _CJK:
        return
    for word, (kind, strength) in _kind_words()[1].items():
        place = text.find(word)
        if place >= 0:
            yield Hit(kind, word, strength, place)


class _Phrases(Mapping[str, Value]):
    """Phrases of one to four words and what they mean, found in a row of words."""

    def __init__(self, meanings: Mapping[str, Value]) -> None:
        self._meanings = meanings
        self._longest: dict[str, int] = {}
        for phrase in meanings:
            first, *rest = phrase.split()
            self._longest[first] = max(self._longest.get(first, 0), 1 + len(rest))

    def __getitem__(self, phrase: str) -> Value:
        return self._meanings[phrase]

    def __iter__(self) -> Iterator[str]:
        return iter(self._meanings)

    def __len__(self) -> int:
        return len(self._meanings)

    def found_in(self, tokens: tuple[str, ...]) -> Iterator[tuple[int, str, Value]]:
        """The longest phrases with their positions, none inside another."""
        free = 0
        for place, token in enumerate(tokens):
            if place < free or token not in self._longest:
                continue
            for length in range(min(self._longest[token], len(tokens) - place), 0, -1):
                phrase = token if length == 1 else " ".join(tokens[place : place + length])
                if phrase in self._meanings:
                    yield place, phrase, self._meanings[phrase]
                    free = place + length
                    break


@cache
def _kind_words() -> tuple[_Phrases[tuple[Kind, int]], Mapping[str, tuple[Kind, int]]]:
    """Phrases of languages with blanks between words (folded), and words of those without."""
    spaced: dict[str, tuple[Kind, int]] = {}
    run: dict[str, tuple[Kind, int]] = {}
    for row in rows("part_words"):
        value = (kinds()[row.text("kind")], int(row.text("strength")))
        into = run if row.text("language") in ("zh", "ja") else spaced
        into.setdefault(row.text("words") if into is run else " ".join(_split(row.text("words"))), value)
    return _Phrases(spaced), dict(sorted(run.items(), key=lambda item: -len(item[0])))


@cache
def _mounting_words() -> tuple[_Phrases[Mounting], Mapping[str, Mounting]]:
    spaced: dict[str, Mounting] = {}
    run: dict[str, Mounting] = {}
    for row in rows("mounting_words"):
        value = Mounting.from_keys(row.text("mounting"))
        into = run if row.text("language") in ("zh", "ja") else spaced
        into.setdefault(row.text("words") if into is run else " ".join(_split(row.text("words"))), value)
    return _Phrases(spaced), run


@cache
def _vocabulary() -> frozenset[str]:
    """Every single word of the tables: what a token is kept whole for."""
    phrases = (*_kind_words()[0], *_mounting_words()[0])
    return frozenset(word for phrase in phrases for word in phrase.split())


@lru_cache(maxsize=_CACHED_TEXTS)
def _tokens(text: str) -> tuple[str, ...]:
    known = _vocabulary()
    tokens: list[str] = []
    for word in _split(text):
        if word in known:
            tokens.append(word)
        elif word.isalpha():
            tokens.append(_stem(word, known))
        else:
            tokens.extend(_stem(piece, known) for piece in _PIECE.findall(word))
    return tuple(tokens)


def _split(text: str) -> list[str]:
    """Words in small letters, accents of Latin letters taken off."""
    folded = text.casefold()
    if not folded.isascii():
        apart = unicodedata.normalize("NFKD", folded)
        folded = "".join(letter for letter in apart if not unicodedata.combining(letter))
    return _WORD.findall(folded)


def _stem(word: str, known: frozenset[str]) -> str:
    """The word as the tables have it: without the s of the plural, or the last part of a German compound."""
    if word in known:
        return word
    if word.endswith("s") and word[:-1] in known:
        return word[:-1]
    if len(word) > 8:
        return next((end for end in _GERMAN_ENDS if word.endswith(end)), word)
    return word
