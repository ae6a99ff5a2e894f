"""What a column's name says it holds.

The vocabulary is ``names.toml``; this module folds a name to its plain form and answers for which fields it speaks.
No list of sellers is needed: a qualifier that is not the maker's makes a part number somebody else's.
"""

import re
import tomllib
import unicodedata
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from pathlib import Path

from rapidfuzz import fuzz, process

from webapp.intake.unfitted import says_not_fitted
from webapp.trade.bom import Field

SURE = 1.0
MAYBE = 0.6
LIKELY = 0.85
_ALIKE_CUTOFF = 90  # per cent, rapidfuzz ratio: one wrong letter in ten
_ALIKE_MIN_LENGTH = 6
_MAX_NAME_LENGTH = 60


@dataclass(frozen=True, slots=True)
class NameMeaning:
    """What one header text stands for.

    ``weights`` gives each field the name may stand for a weight in (0, 1]; empty with ``known`` means "a column of
    another kind". ``order`` 2, 3 ... marks a second, third ... source. ``both`` is set for one column that holds
    maker and number; ``is_note`` for remarks; ``yes_is_fitted`` tells the sense of a fitted / not fitted column.
    """

    weights: dict[Field, float]
    known: bool = False
    order: int = 1
    both: bool = False
    is_note: bool = False
    yes_is_fitted: bool = False


UNKNOWN = NameMeaning({})
_SOMEBODYS = (
    "编号",
    "编码",
    "料号",
    "編號",
    "料號",
)  # "... number": of the maker where listed, else a shop's or the house's
_ORDER = frozenset({"order", "ordering"})

_ONE_WORD = re.compile(r"[A-Za-z][A-Za-z0-9]+")
_LATIN = re.compile(r"[A-Za-zÀ-ɏ]+")
_NOT_LATIN = re.compile(r"[^\W\d_A-Za-zÀ-ɏ]+")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z]{2})")  # PartNumber, MfrPN, PCBFootprint


def fold(text: str) -> str:
    """Plain form of a name: NFKC, lower case, accents dropped, punctuation as single blanks, # and № as "no"."""
    text = unicodedata.normalize("NFKC", text).replace("ß", "ss").strip()
    text = _CAMEL.sub(" ", text) if _ONE_WORD.fullmatch(text) else text
    text = text.lower().replace("#", " no ").replace("№", " no ")
    decomposed = unicodedata.normalize("NFD", text)
    # Japanese sound marks and the Cyrillic short sign make other letters; over Latin letters all marks are dropped.
    kept = "".join(c for c in decomposed if not unicodedata.combining(c) or c in "\u3099\u309a\u0306")
    kept = re.sub(r"(?<=[a-z])\u0306", "", kept)
    text = unicodedata.normalize("NFC", kept)
    return re.sub(r"[\W_]+", " ", text).strip()


@dataclass(frozen=True)
class _Vocabulary:
    names: dict[str, dict[Field, float]]
    other: frozenset[str]
    notes: frozenset[str]
    yes_is_fitted: frozenset[str]
    words: dict[str, frozenset[str]]


@cache
def _vocabulary() -> _Vocabulary:
    raw = tomllib.loads(Path(__file__).with_name("names.toml").read_text(encoding="utf-8"))
    names: dict[str, dict[Field, float]] = {}
    for field in Field:
        for weight, key in ((MAYBE, "maybe"), (SURE, "sure")):
            for name in raw[field.value][key]:
                names.setdefault(name, {})[field] = weight
    return _Vocabulary(
        names=names,
        other=frozenset(raw["other"]["names"]),
        notes=frozenset(raw["other"]["notes"]),
        yes_is_fitted=frozenset(raw["dnp"]["yes_is_fitted"]),
        words={key: frozenset(value) for key, value in raw["words"].items()},
    )


@lru_cache(maxsize=4096)
def meaning(header: str) -> NameMeaning:
    """What the header text ``header`` stands for; ``UNKNOWN`` when it says nothing."""
    if not header or len(header) > _MAX_NAME_LENGTH:
        return UNKNOWN
    header = header.lstrip("#* ") or header  # a comment sign or a mark "required" before the name
    plain = fold(header)
    if not plain:
        return UNKNOWN
    base, order = _order(plain)
    found = (
        _combined(header)
        or _exact(plain)
        or _exact(base)
        or _either(header)
        or _fitting(base)
        or _without_remark(header)
        or _counting(base)
        or _bilingual(header)
        or _composed(base)
        or _alike(base)
        or _placed(base)
        or UNKNOWN
    )
    is_note = found.is_note or (not found.weights and bool(_vocabulary().words["note"] & set(plain.split())))
    return replace(found, known=found.known or is_note, is_note=is_note, order=max(order, found.order))


def meaning_under(group: str, header: str) -> NameMeaning:
    """What the header text ``header`` stands for under ``group``, the name over several columns.

    A group matters if it is the maker or a seller and the header leaves open whose name or number it is.
    """
    words = _vocabulary().words
    plain = set(fold(group).split())
    if not plain or not header or not set(fold(header).split()) <= words["number"] | words["filler"]:
        return meaning(header)
    if plain & words["seller"] or plain == {"vendor"}:
        return NameMeaning({}, known=True)
    return meaning(f"{group} {header}") if plain & words["maker"] else meaning(header)


def _order(plain: str) -> tuple[str, int]:
    """The name without its order, and the order: "mpn 2" and "alternate mpn" are second sources."""
    words = re.sub(r"(?<=[^\W\d])(\d)$", r" \1", plain).split()
    digits = [int(word) for word in words if word.isdigit() and len(word) == 1]
    alternate = _vocabulary().words["alternate"]
    rest = [word for word in words if not (word.isdigit() and len(word) == 1) and word not in alternate]
    is_alternate = len(rest) < len(words) - len(digits)
    if not rest or plain in _vocabulary().names or plain in _vocabulary().other:
        return plain, 1
    return " ".join(rest), max([*digits, 1 + is_alternate])


def _exact(plain: str) -> NameMeaning | None:
    words = _vocabulary()
    weights = words.names.get(plain)
    is_somebodys = plain.endswith(_SOMEBODYS) and not _LATIN.search(plain)
    if weights is None and plain not in words.other and not is_somebodys:
        return None
    return NameMeaning(
        dict(weights or {}),
        known=True,
        is_note=plain in words.notes,
        yes_is_fitted=plain in words.yes_is_fitted,
    )


def _combined(header: str) -> NameMeaning | None:
    """One column for maker and number: "Manufacturer / MPN", "Maker & Part No."."""
    parts = re.split(r"\s*(?:[/&+|,]|\band\b|\bund\b|\bet\b|\by\b|\be\b)\s*", header.strip(), flags=re.IGNORECASE)
    if len(parts) != 2:
        return None
    exact = [_vocabulary().names.get(fold(part), {}) for part in parts]
    for maker, number in (exact, exact[::-1]):
        is_maker = maker.get(Field.MANUFACTURER, 0) >= SURE and Field.MPN not in maker
        if is_maker and Field.MPN in number and Field.REFDES not in number:
            return NameMeaning({Field.MPN: SURE}, known=True, both=True)
    return None


def _either(header: str) -> NameMeaning | None:
    """Two names with a slash between them: "Description / Value", "MPN / Shop SKU"; the first says what it is."""
    parts = [fold(part) for part in header.split("/")]
    if len(parts) != 2 or min(map(len, parts)) < 3:
        return None
    first, second = (_exact(part) or _composed(part) for part in parts)
    if first is None or second is None or not first.known:
        return None
    weights = {name: weight * LIKELY for name, weight in first.weights.items()}
    return replace(first, weights=weights)


def _counting(plain: str) -> NameMeaning | None:
    """Longer names for designators and quantities: "component reference designators", "quantity per assembly"."""
    sets = _vocabulary().words
    words = set(plain.split())
    for field, kind in ((Field.REFDES, "designator"), (Field.QTY, "quantity")):
        if words & sets[kind] and words <= sets[kind] | sets["harmless"] | sets["filler"]:
            return NameMeaning({field: LIKELY}, known=True)
    return None


def _placed(plain: str) -> NameMeaning | None:
    """Any name that speaks of references, locations or labels: "main board ref", "label on the board"."""
    sets = _vocabulary().words
    words = set(plain.split())
    is_place = bool(words & sets["place"]) and not words & sets["seller"]
    return NameMeaning({Field.REFDES: MAYBE}, known=True) if is_place else None


def _fitting(plain: str) -> NameMeaning | None:
    """Longer names of a column that says what is fitted: "component fitted", "do not populate", "not fitted refs"."""
    words = _vocabulary().words
    rest = " ".join(word for word in plain.split() if word not in words["filler"] | words["part"])
    if rest != plain and (found := _exact(rest)) and Field.DNP in found.weights:
        return found
    return NameMeaning({Field.DNP: SURE}, known=True) if says_not_fitted(plain) else None


def _bilingual(header: str) -> NameMeaning | None:
    """A name in two languages with scripts of their own: the Latin letters first, then the others."""
    if not (_LATIN.search(header) and _NOT_LATIN.search(header)):
        return None
    found, other = meaning(_NOT_LATIN.sub(" ", header)), meaning(_LATIN.sub(" ", header))
    is_number = Field.MPN in other.weights or (other.known and not other.weights)
    if Field.MANUFACTURER in found.weights and is_number:
        return NameMeaning({Field.MPN: SURE}, known=True)
    return found if found.known else other


def _composed(plain: str) -> NameMeaning | None:
    """Longer names made of a maker's word and a number's word: "component manufacturer part code"."""
    sets = _vocabulary().words
    words = plain.split()
    makers = [word for word in words if word in sets["maker"]]
    sellers = [word for word in words if word in sets["seller"]]
    if sellers and not (
        set(makers) - {"vendor"} and set(sellers) <= _ORDER
    ):  # a maker's order code is the maker's number
        return NameMeaning({}, known=True)
    numbers = [word for word in words if word in sets["number"]]
    strangers = [word for word in words if word not in sets["maker"] | sets["number"] | sets["filler"] | _ORDER]
    if strangers:
        # "X part number" with an X that is no maker's word is a seller's or the house's own number.
        is_number = bool({"number", "pn", "part"} & set(numbers)) and len(strangers) <= 2
        return (_alike(plain) if makers else None) or (NameMeaning({}, known=True) if is_number else None)
    if makers and numbers:
        return NameMeaning({Field.MPN: SURE}, known=True)
    if makers:
        return NameMeaning({Field.MANUFACTURER: LIKELY}, known=True)
    if {"mpn", "pn"} & set(numbers) or len(numbers) > 1:
        return NameMeaning({Field.MPN: MAYBE}, known=True)
    return None


def _without_remark(header: str) -> NameMeaning | None:
    """The name without a remark in brackets, or written as one word: "Qty (per board)", "Part Value"."""
    bare = fold(re.sub(r"[(\[（【].*?[)\]）】]", " ", header))
    return (_exact(bare) if bare else None) or _exact(bare.replace(" ", ""))


def _alike(plain: str) -> NameMeaning | None:
    """A known name with a slip of the pen: one wrong letter in ten."""
    if len(plain) < _ALIKE_MIN_LENGTH:
        return None
    best = process.extractOne(plain, _long_names(), scorer=fuzz.ratio, score_cutoff=_ALIKE_CUTOFF)
    if best is None:
        return None
    found = _exact(best[0]) or UNKNOWN
    return replace(found, weights={name: weight * LIKELY for name, weight in found.weights.items()}, known=True)


@cache
def _long_names() -> tuple[str, ...]:
    vocabulary = _vocabulary()
    return tuple(name for name in {*vocabulary.names, *vocabulary.other} if len(name) >= _ALIKE_MIN_LENGTH)
