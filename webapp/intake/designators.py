"""Reference designators: from the text of one cell to a list of names.

Understood: lists with commas, semicolons, slashes, blanks or line ends ("R1, R2 R3"), ranges (webapp.intake.ranges),
numbers that go on ("R1,2,5-7"), letters apart from their number ("R 1"). Left alone: names with a slash or a hyphen of
their own ("PC3/PB8", "GPIO-4"), names without a number ("POWER").
Where a cell can be read in several ways ("X1-2" is one name or two designators) the line's quantity settles it.
"""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from webapp.intake.ranges import continue_numbers, ends_of, expand_range, is_dash, join_ranges, prefix_and_number

_PLAIN_LIST = re.compile(r"[A-Z]{1,5}\d{1,5}(?:, ?[A-Z]{1,5}\d{1,5})*")
_SEPARATOR = re.compile(
    r"[,;，；、､،|\\•·]+|\r?\n|\s+/\s+|\s+(?:and|und|et|y|e|и|&|\+)\s+|(?<=\d)\s*[&+]\s*(?=[A-Za-z])"
)
_SHAPE = re.compile(r"[^\W\d]{1,8}[-_$]?\d{1,5}(?:[A-Za-z]{1,2}|[_\-.]\w{1,4})*(?:[/-][^\W\d]{1,4}\d{1,4})?")
# The sheet or board before the name: "MAIN/R1", "A.R1", "X1:R1"; its number: "1R1", "2IC3" (but "1N4148" is a type).
_SHEET = re.compile(r"/?(?:\w{1,16}[/.:\\])+(?=[^\W\d])")
_WORDED = re.compile(r"(?:[RCLDQUJPXYKTF]|IC|FB|TP|SW|CN|JP|RN|LED)_[A-Z0-9][A-Z0-9_]{0,11}")  # "R_SHUNT", "J_USB"
_ON_NUMBERED = re.compile(r"\d{1,2}(?:[RCLDQUJPXYKTF]|IC|FB|TP|SW|CN|JP|RN|LED)\d{1,3}")
_BEGINS = re.compile(r"[\W_]{0,2}(?:\w{1,16}[/.:\\])*\d{0,2}[^\W\d]{1,8}[-_$ ]?\d")
_ARRAY = re.compile(r"\b([A-Z]{1,3})[\[(](\d{1,4}(?:\s*(?:[,;-]|\.{2,3})\s*\d{1,4})+)[\])]")  # "R[1..4]", "R(1,2)"
_APART = re.compile(r"([A-Z]{1,3})(?: {1,3}|\.)(\d{1,4})")
BRACKETS = re.compile(r"\s*[(\[（【][^()\[\]（）【】]*[)\]）】]")
_IN_BRACKETS = re.compile(r"[(\[{<]([^()\[\]{}<>]*)[)\]}>]")
_LINE_BREAK = re.compile(r"<br\s*/?>", re.IGNORECASE)
_AND_SO_ON = re.compile(r"[,;\s]+(?:etc|usw)\b\.?\s*$", re.IGNORECASE)
# What a name is for, behind it: "J1 - USB", "C1: bulk", "R1 = 10k".
_COMMENT = re.compile(
    r"(?P<names>[^\s:=]+(?:\s*,\s*[^\s:=,]+)*?)(?:\s+[-–—]+\s+|\s*:\s+|\s*=(?!>)\s*)(?P<said>.+)", re.DOTALL
)
# A count before or behind the names: "4x R1, R2", "2: C1, C2", "R1 x4".
_COUNT = re.compile(r"^\s*\d{1,4}\s*(?:[xX×]|:)\s+(?=[^\W\d])|(?<=[A-Z]\d)\s+[x×]\s?\d{1,4}\s*$")
# Words among the designators that say of them that they are not fitted: "R5 DNP", "R7, R8 - not fitted".
WORDS_OUT = re.compile(
    r"(?<![^\s,;:/-])(?:dn[pifm]|no[ -]?(?:stuff|pop|fit)|not (?:fitted|populated|placed|mounted))(?![^\s,;:/-])",
    re.IGNORECASE,
)
_WORDS_OUT_AND_COLON = re.compile(WORDS_OUT.pattern + r"\s*:?", re.IGNORECASE)
_MARKED = re.compile(r"(.*\d[A-Za-z]?)[*†‡§#^.]+")  # a footnote mark after a numbered name
_NOTE_NUMBER = re.compile(r"(?<=\w)\s+\d{1,2}\)(?=[\s,;]|$)")  # the number of a note: "R2 1), R3"
# Raised and encircled numbers, which are those of notes: "R2¹", "R2①".
_RAISED = {ord(sign): f"({number})" for number, sign in enumerate("¹²³⁴⁵⁶⁷⁸⁹", start=1)} | {
    ord("①") + number: f"({number + 1})" for number in range(20)
}
_DANGLING = re.compile(r"\A-+|(?<=[\s\d,])-+\Z")  # a dash that goes on nowhere; "VIN-" is a name
# Words that stand for parts of another kind where a designator should: they go on no pads.
_ACCESSORIES = frozenset(
    "enclosure housing case box screw screws nut nuts bolt bolts washer washers standoff standoffs spacer spacers cable"
    " cables wire wires label labels sticker stickers glue adhesive tape solder paste flux packaging bag lid cover knob"
    " knobs feet".split()
)
_CAPITALS = re.compile(r"[A-Z][A-Z0-9_+\-*?.]{0,11}")
_UNPRINTED = dict.fromkeys((0xAD, 0x200B, 0x200C, 0x200D, 0x2060, 0xFEFF), None) | dict.fromkeys(map(ord, "“”„«»"), '"')
_WORD = re.compile(r"[^\W\d]+")
_GLUED = re.compile(r"([A-Z]{1,3})\d{1,4}(?:\.?\1\d{1,4})+")  # "R1R2R3", "R1.R2.R3"
_GATE = re.compile(r"([^\W\d]{1,4}\d{1,4})[_.-]?[A-Z]")


class Designators(NamedTuple):
    """The names in a cell, and whether the cell holds designators at all (else it is a phrase, kept as words)."""

    names: tuple[str, ...]
    is_phrase: bool = False


NONE = Designators(())


def parse_designators(text: str, qty: float | None = None) -> Designators:
    """Names of the cell ``text`` in the order printed, repeats kept.

    ``qty`` (the line's quantity) chooses between readings where the text allows several; without it a hyphen between
    a designator and a larger number is a range ("C14-17"), anything else a name.
    """
    return plain_list(text) or _parse(text, qty)


def plain_list(text: str) -> Designators | None:
    """The names of a cell that can only be read in one way ("C1, C2, C3"), None for any other."""
    return Designators(tuple(text.replace(" ", "").split(","))) if _PLAIN_LIST.fullmatch(text) else None


@lru_cache(maxsize=8192)
def _parse(text: str, qty: float | None) -> Designators:
    text = plain_text(text)
    whole = _IN_BRACKETS.fullmatch(text.strip())
    text = BRACKETS.sub(" ", whole[1] if whole else text).replace('"', " ")
    if any(map(str.isdigit, text)):
        text = _NOTE_NUMBER.sub("", _COUNT.sub("", _WORDS_OUT_AND_COLON.sub(", ", text)))
        text = _AND_SO_ON.sub("", without_comment(join_ranges(text)))
    text = _DANGLING.sub("", text.strip(" \t\r\n,;.:"))
    if not text:
        return NONE
    if is_phrase(text, qty):
        return Designators(tuple(text.split()), is_phrase=True)
    readings = _readings(text)
    first = next(readings)
    if qty is None or len(first) == qty:
        return Designators(first)
    return Designators(next((names for names in readings if len(names) == qty), first))


def plain_text(text: str) -> str:
    """The text with wide and composed forms made plain, line breaks as such, and without signs that do not print."""
    text = _LINE_BREAK.sub("\n", text) if "<" in text else text
    text = _ARRAY.sub(r"\1\2", text) if "[" in text or "(" in text else text
    if text.isascii():
        return text
    return unicodedata.normalize("NFKC", text.translate(_RAISED)).translate(_UNPRINTED)


def without_comment(text: str) -> str:
    """The names of a cell without what stands behind them: "J1" of "J1 - USB"; the text where it is no such cell."""
    found = _COMMENT.fullmatch(text.strip())
    if found is None or not all(map(looks_like_designator, re.split(r"\s*,\s*", found["names"]))):
        return text
    said = found["said"]
    is_range = said[0].isdigit() and "=" not in text
    is_list = any(map(looks_like_designator, re.split(r"[\s,;]+", said)))
    return text if is_range or is_list else found["names"]


def _readings(text: str) -> Iterator[tuple[str, ...]]:
    """The ways to read ``text``, the likeliest first."""
    eager = _expand(text)
    yield eager
    yield _expand(text, eager=False)
    yield _expand(text, eager=False, backwards=True)
    for sign in "/-":
        parts = tuple(part for part in re.split(rf"[\s,;]*{sign}[\s,;]*|[\s,;]+", text) if part) if sign in text else ()
        if parts and all(map(looks_like_designator, parts)):
            yield parts
    yield tuple(part for name in eager for part in _unglued(name))
    # Gates of one part: "U1A, U1B" is one placement where the quantity says so.
    gates = [_GATE.fullmatch(name) for name in eager]
    yield tuple(dict.fromkeys(gate[1] if gate else name for gate, name in zip(gates, eager, strict=True)))


def _unglued(name: str) -> list[str]:
    found = _GLUED.fullmatch(name)
    return re.findall(rf"{found[1]}\d+", name) if found else [name]


def is_phrase(text: str, qty: float | None = None) -> bool:
    """Whether the text is words rather than designators: "White Wire", "2P latch", "spare fuses".

    A single word in capitals is a name ("POWER"), several are one phrase unless the quantity counts them.
    """
    if qty in (None, 1) and _APART.fullmatch(text):
        return False
    tokens = [token for token in re.split(r"(?:[\s,;'|\\•·]|(?<=\s)/(?=\s))+", text) if token]
    shaped = sum(map(_is_shaped, tokens))
    if shaped * 2 > len(tokens):
        return False
    if len(tokens) == 1 or "," in text or ";" in text:
        longest = max(tokens, key=len, default="")
        if tokens == [longest] and not longest.isupper() and longest.lower() in _ACCESSORIES:
            return True
        return longest.isalpha() and longest.islower() and len(longest) > 3
    if shaped and len(tokens) == qty and all(token.isdigit() for token in tokens[1:]):
        return False
    return not (all(_CAPITALS.fullmatch(token) for token in tokens) and (shaped or len(tokens) == qty))


@lru_cache(maxsize=65536)
def looks_like_designator(token: str) -> bool:
    """Whether one word has the shape of a designator: a few letters, a number, perhaps a suffix."""
    return _SHAPE.fullmatch(token) is not None


@lru_cache(maxsize=65536)
def is_designator_of_sheet(token: str) -> bool:
    """Whether a word is a designator, perhaps with its sheet or board before it; "4R7" could be a value as well."""
    token = token.lstrip("#!")  # signs of the schematic's own, the bare board
    sheet = _SHEET.match(token)
    bare = token[sheet.end() :] if sheet else token
    return looks_like_designator(bare) or bool(_ON_NUMBERED.fullmatch(token) or _WORDED.fullmatch(bare))


def begins_with_designator(cell: str) -> bool:
    """A quick look: False where a cell cannot hold a list of designators by how it begins."""
    return _BEGINS.match(cell) is not None


def _is_shaped(token: str) -> bool:
    if is_designator_of_sheet(token):
        return True
    ends = ends_of(token)
    return ends is not None and looks_like_designator(ends[0]) and (len(ends[2]) < 5 or looks_like_designator(ends[2]))


def _expand(text: str, *, eager: bool = True, backwards: bool = False) -> tuple[str, ...]:
    """All names of ``text``; ``eager`` takes "X1-2" for a range, else for a name."""
    names: list[str] = []
    pieces = list(_pieces(text))
    # Names with a hyphen of their own begin alike: "P1-1, P1-2, P1-3".
    begun = Counter(ends[0] for piece in pieces if (ends := ends_of(piece)) and is_dash(ends[1]))
    for piece in pieces:
        ends = ends_of(piece)
        is_own = ends is not None and begun[ends[0]] > 1
        names.extend(
            _expand_piece(piece, names[-1] if names else None, eager=eager and not is_own, backwards=backwards)
        )
    return tuple(names)


def _pieces(text: str) -> Iterator[str]:
    """The comma-level and blank-level parts of the text."""
    for chunk in _SEPARATOR.split(text):
        chunk = chunk.strip()
        if apart := _APART.fullmatch(chunk):
            yield apart[1] + apart[2]
        else:
            yield from chunk.split()


def _expand_piece(piece: str, before: str | None, *, eager: bool, backwards: bool) -> tuple[str, ...]:
    piece = piece.strip("'")
    piece = bare if piece[:1] in set("*†‡") and looks_like_designator(bare := piece.lstrip("*†‡")) else piece
    marked = _MARKED.fullmatch(piece)
    piece = marked[1] if marked else piece
    if not piece:
        return ()
    if piece.isdigit() and before is not None:
        return continue_numbers(before, piece, piece)
    ends = ends_of(piece)
    if ends is not None:
        first, sign, last = ends
        if first.isdigit() and last.isdigit() and before is not None:
            return continue_numbers(before, first, last)
        found = expand_range(first, sign, last, eager=eager, backwards=backwards)
        if found:
            return found
    if "/" in piece:
        return _slashed(piece, eager=eager)
    glued = _unglued(piece) if "." in piece else []
    return tuple(glued) if len(glued) > 1 else (piece,)


def _slashed(piece: str, *, eager: bool) -> tuple[str, ...]:
    """ "R1/R2/R3", "R1/2/3" and "R1-R3/R5" are lists, since all go on with one prefix; "PC3/PB8" is a name."""
    names: list[str] = []
    parts = [part for part in piece.split("/") if part]
    for part in parts if len(parts) > 1 else ():
        names += (
            continue_numbers(names[-1], part, part)
            if eager and names and part.isdigit()
            else _expand_piece(part, None, eager=False, backwards=False)
        )
    found = [prefix_and_number(name) for name in names]
    return tuple(names) if names and all(found) and len({one[0] for one in found if one}) == 1 else (piece,)


def prefix_of(name: str) -> str:
    """Letters before the first digit, in capitals: "R" of "R12", "LOGO" of "LOGO"."""
    match = _WORD.match(name)
    return match.group().rstrip("_").upper() if match else ""
