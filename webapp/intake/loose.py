"""Lists without any separator that a program would write: "R1: 10k" line by line, words under a line of names, or all
of a line of the BOM told in one text: "2 x R1 R2 10k", "C1, C2 (2x) - 100n 0603", "2x 10k resistor (R1, R2)"."""

import re
from collections import Counter
from collections.abc import Sequence

from webapp.intake.designators import looks_like_designator, parse_designators, prefix_of
from webapp.intake.grid import Row

_PAIR = re.compile(r"\s*([^\s:=,;][^\s:=]*(?:, ?[^\s:=,;]+)*)\s*(?:[:=]\s*|\s)(\S+)\s*")
_AROUND = ' \t\r\n"*•·–—-'
_COUNT = r"\d{1,4}\s?(?:x|×|pcs?\.?|off|stk\.?|st\.)"
_BEFORE = re.compile(rf"({_COUNT}|\d{{1,4}}(?=\s))\s*[:-]?\s*(?=\S)", re.IGNORECASE)
_BEHIND = re.compile(rf"\s*[(\[]?({_COUNT}|[x×]\s?\d{{1,4}})[)\]]?", re.IGNORECASE)
_SIGN = re.compile(r"\s*(?:[-–—:=|]+|→)?\s*")
_IN_BRACKETS_LAST = re.compile(r"(.*\S)\s*[(\[]\s*([^()\[\]]+?)\s*[)\]]")
_AFTER_COLON = re.compile(r"(.*\S)\s*:\s*([^:]+)")
_WORD = re.compile(r"([,;&\s]*)([^\s,;&]+)")
_RANGE = re.compile(r"\b([A-Z]{1,4})(\d+)\s+(?:-|–|to|bis|\.{2,3})\s+\1(\d+)\b")
_AND = re.compile(r"(?<=\d)\s+(?:and|und|et|y|e|и|\+)\s+(?=[A-Z]{1,4}\d)")
_TOLD = 0.8  # share of the filled texts
_PAIRS = 0.9  # share of the filled lines
_SAME_WIDTH = 0.8
_LEAST_LINES = 3
_SAMPLE_LINES = 500


def read_pairs(lines: Sequence[str]) -> list[Row] | None:
    """Lines of designators and one word as rows of two cells; None if the text is not of such lines."""
    filled = [line for line in lines[:_SAMPLE_LINES] if line.strip()]
    if len(filled) < _LEAST_LINES or sum(map(_is_pair, filled)) < _PAIRS * len(filled):
        return None
    return [_pair(line) for line in lines]


def read_words(lines: Sequence[str]) -> list[Row] | None:
    """Lines of about the same number of words as rows of words; None where their numbers differ."""
    filled = [line.split() for line in lines[:_SAMPLE_LINES] if line.strip()]
    widths = Counter(map(len, filled))
    if len(filled) < _LEAST_LINES:
        return None
    width, count = widths.most_common(1)[0]
    return [line.split() for line in lines] if width > 2 and count >= _SAME_WIDTH * len(filled) else None


def _is_pair(line: str) -> bool:
    found = _PAIR.fullmatch(line)
    return found is not None and all(map(looks_like_designator, re.split(r", ?", found[1])))


def _pair(line: str) -> Row:
    found = _PAIR.fullmatch(line)
    return [found[1], found[2]] if found else [text] if (text := line.strip()) else []


def told_in_full(texts: Sequence[str]) -> list[Row] | None:
    """Texts that each tell a line of the BOM as rows of count, designators, first word of the rest, and rest; texts of
    another kind stay in a cell. None where not most of them tell lines, titles and footers aside."""
    found = [_told(text) for text in texts]
    at = [i for i, row in enumerate(found) if row is not None]
    if len(at) < _LEAST_LINES or len(at) < _TOLD * sum(1 for text in texts[at[0] : at[-1] + 1] if text.strip()):
        return None
    return [row or ([bare] if (bare := text.strip()) else []) for row, text in zip(found, texts, strict=True)]


def _told(text: str) -> Row | None:
    bare = _RANGE.sub(r"\1\2-\1\3", _AND.sub(", ", text)).strip(_AROUND)
    if '"' in bare:  # a cell in quotation marks among others
        return None
    before = _BEFORE.match(bare)
    at = before.end() if before else 0
    count = before[1] if before else ""
    end = _end_of_names(bare, at)
    last = _IN_BRACKETS_LAST.fullmatch(bare, at) or (_AFTER_COLON.fullmatch(bare, at) if end == at else None)
    if last and _end_of_names(last[2], 0) == len(last[2]):
        return [count, last[2], *_split(last[1])]
    if end == at:
        return None
    behind = None if count else _BEHIND.match(bare, end)
    rest_at = behind.end() if behind else end
    sign = _SIGN.match(bare, rest_at)
    rest = bare[sign.end() if sign else rest_at :]
    if not rest or rest[0] in ",;" or prefix_of(rest) == prefix_of(bare[at:]):
        return None
    return [count or (behind[1] if behind else ""), bare[at:end], *_split(rest)]


def _end_of_names(text: str, at: int) -> int:
    """Where the designators end that ``text`` lists from ``at`` on: of names with nothing but blanks between them,
    those that begin alike ("R1 R2" of "R1 R2 ZX7001"); numbers go on behind a comma alone ("R1,2,3")."""
    end, prefix = at, ""
    while (word := _WORD.match(text, end)) is not None:
        sign, name = word[1], word[2].rstrip(":=")
        goes_on = end > at and sign == "," and name.isdigit()
        names = parse_designators(name).names
        if not goes_on and not (names and all(map(looks_like_designator, names))):
            break
        if end > at and not sign.strip() and prefix_of(name) != prefix:
            break
        end = word.start(2) + len(name)
        prefix = prefix if goes_on else prefix_of(name)
        if name != word[2]:
            break
    return end


def _split(rest: str) -> Row:
    first, _, more = rest.strip().partition(" ")
    return [first.rstrip(","), more.strip()]
