"""Lists without any separator that a program would write: "R1: 10k" line by line, or words under a line of names."""

import re
from collections import Counter
from collections.abc import Sequence

from webapp.intake.designators import looks_like_designator
from webapp.intake.grid import Row

_PAIR = re.compile(r"\s*([^\s:=,;][^\s:=]*(?:, ?[^\s:=,;]+)*)\s*(?:[:=]\s*|\s)(\S+)\s*")
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
