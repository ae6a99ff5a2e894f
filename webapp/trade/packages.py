"""From the name of a package or land pattern to its outline: body, pitch, terminals, joints, as ranges.

Reads the ways outlines are written: named (SOT-23-5, TO-252, SMA), families with a count (LQFP-64, 8-SOIC,
BGA256), names of IPC-7351 land patterns (SOP65P640X120-20N), chip sizes inch and metric, moulded cases, cans.
What a name does not say stays a range. The figures are assumed from the name, never measured.
"""

import re
from collections.abc import Iterable
from dataclasses import replace
from functools import cache, lru_cache

from webapp.trade.chips import (
    CHIP_CODE,
    SizeSystem,
    body_only,
    can_in,
    chip_in,
    flat_coil_in,
    metric_body_in,
    moulded_in,
    round_in_words,
)
from webapp.trade.classes import PartClass
from webapp.trade.land_patterns import land_pattern
from webapp.trade.masks import Joints
from webapp.trade.package_sizes import body_of, pitch_of, with_body, with_pitch_in, with_size_of_count
from webapp.trade.package_tables import (
    Family,
    Outline,
    family_spellings,
    inch_chips,
    metric_chips,
    named_outlines,
)
from webapp.trade.ranges import NOT_NEGATIVE, Span

_CACHED_TEXTS = 20_000


@lru_cache(maxsize=_CACHED_TEXTS)
def outline_in_package(text: str, system: SizeSystem | None = None) -> Outline | None:
    """The outline a package or footprint text names; a library's name before ":" counts only if the rest says none."""
    library, _, name = _plain(text).rpartition(":")
    found = _in_name(name, system)
    return found or (_in_name(library, system) if library else None)


def _in_name(upper: str, system: SizeSystem | None) -> Outline | None:
    return (
        land_pattern(upper)
        or can_in(upper)
        or _named(upper, shortest=2)
        or _in_family(upper)
        or moulded_in(upper)
        or chip_in(upper, system, metric_alone=True)
        or metric_body_in(upper)
        or body_only(upper)
    )


@lru_cache(maxsize=_CACHED_TEXTS)
def outline_in_words(text: str, system: SizeSystem | None = None) -> Outline | None:
    """The outline a description names; more careful, for descriptions hold other numbers too."""
    upper = _plain(text)
    return (
        land_pattern(upper)
        or _named(upper, shortest=3)
        or _in_family(upper)
        or moulded_in(upper)
        or chip_in(upper, system, metric_alone=False)
        or round_in_words(upper)
        or body_only(upper)
    )


@lru_cache(maxsize=_CACHED_TEXTS)
def outline_of_coil(text: str) -> Outline | None:
    """The outline of a surface-mount coil by a code of side and height, where ``text`` gives the sides too."""
    return flat_coil_in(_plain(text))


_CODE_IN_NUMBER = re.compile(r"[A-Z]{0,6}-?(\d{4})")


@lru_cache(maxsize=_CACHED_TEXTS)
def outline_in_part_number(text: str, system: SizeSystem | None = None) -> Outline | None:
    """The chip size at the head of a part number: up to six letters, then a code ("XR0603J-10K")."""
    match = _CODE_IN_NUMBER.match(text.upper())
    if match is None or match[1] not in _USUAL_CODES:
        return None
    return chip_in(match[1], system, metric_alone=True)


_USUAL_CODES = frozenset("0201 0402 0603 0805 1206 1210 1812 2010 2220 2512 1005 1608 2012 3216 3225 4532 5750".split())


_CLEAR_MAJORITY = 4


def size_system_of(texts: Iterable[str]) -> SizeSystem | None:
    """The system of a whole list's chip codes: a list speaks one.

    Told by texts with a code that exists in one system only (0805, 1206 against 1608, 2012): ``None`` when there are
    none, or when one system has not at least four times as many as the other.
    """
    inch = metric = 0
    for text in texts:
        if "metric" in text.casefold():  # both codes are given: "0603 (1608 metric)"
            continue
        for code in CHIP_CODE.findall(text):
            inch += code in inch_chips() and code not in metric_chips()
            metric += code in metric_chips() and code not in inch_chips()
    if inch and inch >= _CLEAR_MAJORITY * metric:
        return SizeSystem.INCH
    return SizeSystem.METRIC if metric and metric >= _CLEAR_MAJORITY * inch else None


def _plain(text: str) -> str:
    return text.upper().replace("×", "X").replace("Ø", "D").strip()


# ---- named outlines --------------------------------------------------------------------------------------------

_WORD = re.compile(r"[A-Z0-9.]+(?:-[A-Z0-9.]+)*")
_STEMS = frozenset({"SOT", "SOD", "TO", "DO", "SC", "HC", "DPAK", "D2PAK"})
_SIGNS = str.maketrans("", "", "-. ")
_LEADING_COUNT = re.compile(r"^\d{1,2}-?(?=[A-Z])")


def _named(text: str, shortest: int) -> Outline | None:
    known = named_outlines()
    words = _WORD.findall(text)
    for place, word in enumerate(words):
        if word.isdigit():
            continue
        joined = f"{word} {words[place + 1]}" if word in _STEMS and place + 1 < len(words) else word
        for form in _forms(joined):
            bare = form.translate(_SIGNS)
            if len(bare) >= shortest and bare in known:
                return _counted(replace(known[bare], words=joined))
    return None


def _counted(outline: Outline) -> Outline:
    """The outline with the count before its name ("16-SOT-23"): another count means another body."""
    lead = _LEADING_COUNT.match(outline.words)
    count = int(lead[0].rstrip("-")) if lead else 0
    if not count or outline.terminals.contains(count):
        return outline
    return replace(
        outline,
        name=f"{outline.name}, {count} leads",
        length_mm=NOT_NEGATIVE,
        width_mm=NOT_NEGATIVE,
        pitch_mm=NOT_NEGATIVE,
        terminals=Span.exactly(count),
    )


def _forms(word: str) -> Iterable[str]:
    """The word as it stands, without a count before it, and with less and less of what follows its last dash."""
    yield word
    if "-" not in word and not word[0].isdigit():
        return
    bare = _LEADING_COUNT.sub("", word, count=1)
    if bare != word:
        yield bare
    while "-" in bare:
        bare = bare.rpartition("-")[0]
        yield bare


# ---- families with a count -------------------------------------------------------------------------------------


@cache
def _family_pattern() -> re.Pattern[str]:
    longest_first = sorted(family_spellings(), key=len, reverse=True)
    # The C of ceramic is the first letter: FCBGA is a flip chip on a plastic carrier, FC + BGA and not F + CBGA.
    ceramic = {name for name, family in family_spellings().items() if family.outline.classes == PartClass.HERMETIC}
    spellings = "|".join(f"(?<![A-Z]){name}" if name in ceramic else name for name in longest_first)
    return re.compile(
        r"(?:(?<![A-Z0-9.])(?P<before>\d{1,4})[-_ ]?(?:(?:PIN|LEAD|LD|BALL)S?[-_ ]?)?)?"
        rf"(?<![A-Z])(?P<prefix>[A-Z]{{0,4}}?[123]?)(?P<family>{spellings})(?:[NWSLQ](?=[-_ ]?\d))?"
        r"(?:[-_ ]?(?P<after>\d{1,4})(?!\d|[.,X]\d)|(?![A-Z0-9]))"
    )


_CODED_SIZE = re.compile(r"(?:DFN|QFN|SON)-?(\d\d)(\d\d)(?:[A-Z]{0,3}-(\d{1,2}))?(?!\d)")
_THERMAL_PAD = re.compile(
    r"\dEP(?!\d{3})|EXPOSED|PWR ?PAD|POWERPAD|[-_]PP\b|(?<![A-Z])H(?:TSSOP|SOP|TQFP|LQFP|SSOP|MSOP|SOIC)"
)
_PREFIXES = {
    "SO": frozenset({"", "P", "H", "N"}).__contains__,
    "SON": frozenset("UVWXTDHFPQS123").issuperset,
}
_ANY_PREFIX = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZ123").issuperset
"""Letters that may stand before a family's name; SO and SON end other words too (JSON, ALSO)."""
_CLEAR_PREFIXES = frozenset("U V W X X1 X2 T TD UD H HW HV VS WF VF".split())
"""With one of these before it, DFN or SON is a package even without a count."""


def _in_family(text: str) -> Outline | None:
    best: tuple[Family, re.Match[str], int | None] | None = None
    for match in _family_pattern().finditer(text):
        family = family_spellings()[match["family"]]
        if not _PREFIXES.get(match["family"], _ANY_PREFIX)(match["prefix"]):
            continue
        count = _count(family, match)
        clear = family.without_count or (family.name == "DFN" and match["prefix"] in _CLEAR_PREFIXES)
        if count is None and not clear and not _CODED_SIZE.search(text):
            continue
        if best is None or (count is not None and best[2] is None):
            best = (family, match, count)
    if best is None:
        return None
    family, match, count = best
    return _family_outline(family, match[0].strip("-_ "), count, text, match.start())


def _count(family: Family, match: re.Match[str]) -> int | None:
    for group in ("after", "before"):
        if match[group] is not None and family.outline.terminals.contains(int(match[group])):
            return int(match[group])
    return None


def _family_outline(family: Family, words: str, count: int | None, whole: str, start: int) -> Outline:
    text = whole[start:]
    outline = replace(family.outline, words=words, name=family.name if count is None else f"{family.name}-{count}")
    if count is not None:
        outline = replace(outline, terminals=Span.exactly(count))
    if _THERMAL_PAD.search(text):
        outline = replace(outline, joints=outline.joints | Joints.THERMAL_PAD)
    pitch = pitch_of(text)
    if pitch is not None:
        outline = replace(outline, pitch_mm=Span.exactly(pitch))
    coded = _CODED_SIZE.search(text)
    body = body_of(text, bare=True)
    if coded is not None and body is None:
        sides = sorted((int(coded[1]) / 10, int(coded[2]) / 10), reverse=True)
        count = int(coded[3]) if coded[3] else None
        terminals = Span.exactly(count) if count else family.outline.terminals
        outline = replace(outline, name=family.name if count is None else f"{family.name}-{count}", terminals=terminals)
        return with_body(outline, sides[0], sides[1], None)
    if body is not None:
        return with_pitch_in(whole, with_body(outline, body.length, body.width, body.height))
    outline = with_pitch_in(whole, outline)
    return outline if count is None else with_size_of_count(outline, count)
