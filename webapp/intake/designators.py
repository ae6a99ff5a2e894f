"""Reference designators: from the text of one cell to a list of names.

Understood: lists with commas, semicolons, blanks or line ends ("R1, R2 R3"), ranges ("R1-R4", "R1..4", "C14-17",
"R1 to R4"), numbers that go on ("R1,2,5-7"), letters apart from their number ("R 1"). Left alone: names with a slash
or a hyphen of their own ("PC3/PB8", "GPIO-4"), names without a number ("POWER").
Where a cell can be read in two ways ("X1-2" is one name or two designators) the line's quantity settles it.
"""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

MAX_RANGE = 2000
MAX_NAME_LENGTH = 40

_PLAIN_LIST = re.compile(r"[A-Z]{1,5}\d{1,5}(?:, ?[A-Z]{1,5}\d{1,5})*")
_DASH = r"[-–—‐‑−~～]"
_DOTS = r"(?:\.{2,}|…|:|" + _DASH + r"+|\b(?:to|thru|through|bis|à|a|al|do)\b|至|到|から)"
_SEPARATOR = re.compile(r"[,;，；、､،|]+|\r?\n|\s+(?:and|und|et|y|e|и|&|\+)\s+|(?<=\d)\s*[&+]\s*(?=[A-Za-z])")
_TO = re.compile(r"(?<=[A-Za-z0-9_])\s*(" + _DOTS + r")\s*(?=[A-Za-z0-9])", re.IGNORECASE)
_NUMBERED = re.compile(r"(?P<prefix>[^\W\d](?:[\w.$/+]*?[^\W\d]|[\w.$/+]*_)?|[^\W\d])(?P<number>\d+)")
_SHAPE = re.compile(r"[^\W\d]{1,8}[-_]?\d{1,5}(?:[A-Za-z]{1,2}|[_\-.]\w{1,4})*(?:[/-][^\W\d]{1,4}\d{1,4})?")
_APART = re.compile(r"\b([A-Z]{1,3})[ .](\d{1,4})\b")
BRACKETS = re.compile(r"\s*[(\[（【][^()\[\]（）【】]*[)\]）】]")
_IN_BRACKETS = re.compile(r"[(\[{]([^()\[\]{}]*)[)\]}]")
# Words among the designators that say of them that they are not fitted: "R5 DNP", "R7, R8 - not fitted".
WORDS_OUT = re.compile(
    r"(?<![^\s,;:/-])(?:dn[pifm]|no[ -]?(?:stuff|pop|fit)|not (?:fitted|populated|placed|mounted))(?![^\s,;:/-])",
    re.IGNORECASE,
)
_MARKED = re.compile(r"(.*\d[A-Za-z]?)[*†‡^.]+")  # a footnote mark after a numbered name
_CAPITALS = re.compile(r"[A-Z][A-Z0-9_+\-*?.]{0,11}")
_WORD = re.compile(r"[^\W\d]+")


@dataclass(frozen=True, slots=True)
class Designators:
    """The names in a cell, and whether the cell holds designators at all (else it is a phrase, kept as words)."""

    names: tuple[str, ...]
    is_phrase: bool = False


NONE = Designators(())


def parse_designators(text: str, qty: float | None = None) -> Designators:
    """Names of the cell ``text`` in the order printed, repeats kept.

    ``qty`` (the line's quantity) chooses between readings where the text allows two; without it a hyphen between
    a designator and a larger number is a range ("C14-17"), anything else a name.
    """
    if _PLAIN_LIST.fullmatch(text):
        return Designators(tuple(text.replace(" ", "").split(",")))
    return _parse(text, qty)


@lru_cache(maxsize=8192)
def _parse(text: str, qty: float | None) -> Designators:
    text = unicodedata.normalize("NFKC", text) if not text.isascii() else text
    whole = _IN_BRACKETS.fullmatch(text.strip())
    text = BRACKETS.sub(" ", whole[1] if whole else text).replace('"', " ")
    if any(map(str.isdigit, text)):
        text = WORDS_OUT.sub(" ", text)
    text = text.strip(" \t\r\n,;.:-")
    if not text:
        return NONE
    if is_phrase(text, qty):
        return Designators(tuple(text.split()), is_phrase=True)
    readings = [_expand(text, eager=eager) for eager in (True, False)]
    if qty is not None and len(readings[0]) != qty and len(readings[1]) == qty:
        return Designators(readings[1])
    if qty is not None and len(readings[0]) != qty and _splits_by_slash(text, qty):
        return Designators(tuple(re.split(r"\s*/\s*", text)))
    return Designators(readings[0])


def is_phrase(text: str, qty: float | None = None) -> bool:
    """Whether the text is words rather than designators: "White Wire", "2P latch", "spare fuses".

    A single word in capitals is a name ("POWER"), several are one phrase unless the quantity counts them.
    """
    tokens = [token for token in re.split(r"[\s,;]+", text) if token]
    shaped = sum(1 for token in tokens if looks_like_designator(token) or _is_range(token))
    if shaped * 2 > len(tokens):
        return False
    if len(tokens) == 1 or "," in text or ";" in text:
        longest = max(tokens, key=len)
        return longest.isalpha() and longest.islower() and len(longest) > 3
    return not (all(_CAPITALS.fullmatch(token) for token in tokens) and (shaped or len(tokens) == qty))


@lru_cache(maxsize=65536)
def looks_like_designator(token: str) -> bool:
    """Whether one word has the shape of a designator: a few letters, a number, perhaps a suffix."""
    return _SHAPE.fullmatch(token) is not None


def _is_range(token: str) -> bool:
    ends = _TO.split(token)
    return len(ends) == 3 and looks_like_designator(ends[0]) and (ends[2].isdigit() or looks_like_designator(ends[2]))


def _splits_by_slash(text: str, qty: float) -> bool:
    parts = re.split(r"\s*/\s*", text)
    return len(parts) == qty > 1 and all(looks_like_designator(part) for part in parts)


def _expand(text: str, *, eager: bool) -> tuple[str, ...]:
    """All names of ``text``; ``eager`` takes "X1-2" for a range, else for a name."""
    names: list[str] = []
    for piece in _pieces(text):
        names.extend(_expand_piece(piece, names[-1] if names else None, eager=eager))
    return tuple(names)


def _pieces(text: str) -> Iterator[str]:
    """The comma-level and blank-level parts of the text, ranges kept together."""
    for chunk in _SEPARATOR.split(text):
        chunk = chunk.strip()
        if not chunk:
            continue
        if " " not in chunk:
            yield chunk
            continue
        if _APART.fullmatch(chunk):
            yield chunk.replace(" ", "")
            continue
        # Blanks around a range sign belong to the range: "R1 - R4", "R1 to R4".
        yield from _TO.sub(lambda found: _sign(found.group(1)), chunk).split()


def _sign(text: str) -> str:
    return ".." if text.strip().isalpha() else text.strip()


def _expand_piece(piece: str, before: str | None, *, eager: bool) -> tuple[str, ...]:
    piece = piece.strip("'")
    if not piece:
        return ()
    piece = bare if piece[:1] in "*†‡" and looks_like_designator(bare := piece.lstrip("*†‡")) else piece
    marked = _MARKED.fullmatch(piece)
    piece = marked[1] if marked else piece
    if piece.isdigit() and before is not None:
        return _continue_numbers(before, piece, piece)
    ends = _TO.split(piece)
    if len(ends) == 3:
        first, sign, last = ends
        if first.isdigit() and last.isdigit() and before is not None:
            return _continue_numbers(before, first, last)
        found = _range(first, sign, last, eager=eager)
        if found:
            return found
    if "/" in piece:
        return _slashed(piece)
    return (piece,)


def _continue_numbers(before: str, first: str, last: str) -> tuple[str, ...]:
    """ "R1,2,5-7": numbers alone go on with the prefix of the name before."""
    match = _NUMBERED.fullmatch(before)
    if match is None:
        return (first,) if first == last else (f"{first}-{last}",)
    prefix = match["prefix"]
    return _span(prefix, first, last) or (prefix + first,)


def _range(first: str, sign: str, last: str, *, eager: bool) -> tuple[str, ...]:
    """Names from ``first`` to ``last`` or nothing, when they are no ends of one range."""
    start = _NUMBERED.fullmatch(first)
    if start is None:
        return ()
    stop = _NUMBERED.fullmatch(last)
    if stop is not None:
        same = stop["prefix"].upper() == start["prefix"].upper()
        return _span(start["prefix"], start["number"], stop["number"]) if same else ()
    is_dash = re.fullmatch(_DASH, sign) is not None
    if last.isdigit() and (eager or not is_dash):
        return _span(start["prefix"], start["number"], last)
    return ()


def _span(prefix: str, first: str, last: str) -> tuple[str, ...]:
    low, high = int(first[-9:]), int(last[-9:])
    if not low <= high or high - low >= MAX_RANGE or (low == high and first != last):
        return ()
    width = len(first) if first.startswith("0") else 0
    return tuple(f"{prefix}{number:0{width}d}" for number in range(low, high + 1))


def _slashed(piece: str) -> tuple[str, ...]:
    """ "R1/R2/R3" is a list, since all go on with one prefix; "PC3/PB8" is a name."""
    parts = [part for part in piece.split("/") if part]
    matches = [_NUMBERED.fullmatch(part) for part in parts]
    prefixes = {match["prefix"].upper() for match in matches if match}
    if len(parts) > 1 and all(matches) and len(prefixes) == 1:
        return tuple(parts)
    return (piece,)


def prefix_of(name: str) -> str:
    """Letters before the first digit, in capitals: "R" of "R12", "LOGO" of "LOGO"."""
    match = _WORD.match(name)
    return match.group().rstrip("_").upper() if match else ""
