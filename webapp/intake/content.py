"""How well the cells of a column fit a field, whatever its name says. All answers are shares in 0..1."""

import re
from collections.abc import Callable, Collection, Sequence
from itertools import pairwise

from webapp.intake.designators import (
    begins_with_designator,
    is_designator_of_sheet,
    looks_like_designator,
    parse_designators,
    plain_text,
    prefix_of,
    without_comment,
)
from webapp.trade.bom import Field

MAX_SAMPLE = 300
_FIRST_LOOK = 30  # cells, to see quickly that a column holds no designators at all

_TOKEN = re.compile(r"(?:[\s,;，；、]|(?<=\s)/(?=\s))+")
_BESIDE = "*†‡'\"[](){}<>:"  # footnote marks, quotes and brackets, no part of a designator
_VALUES_SHARE = 0.3
_ELECTRIC = re.compile(r"\d+(?:[.,]\d+)?\s?(?:[kKMmRrΩ]|ohms?|[unpµμ][FH]?|[kM]Hz|к?Ом|[мнп]к?Ф)\d*", re.IGNORECASE)
_NAME = re.compile(r"[A-Z]{2,6}(?:_[A-Z0-9]{1,6})?")
_NAME_WEIGHT = 0.5
_RANGE = re.compile(r"[^\W\d]{1,8}[\w.]*\d\s*(?:[-–~～〜:]|\.{2,})\s*(?:[^\W\d]{0,8}[\w.]*)?\d+")
_NUMBER = re.compile(r"\d{1,6}(?:[.,]\d+)?\s*(?:pcs?|ea|x|шт|pz|st|stk|stck|个|只|個|本|枚|套|片)?\.?", re.IGNORECASE)
_PART_NUMBER = re.compile(r"(?=.*\d)[^\s]{3,}(?: [^\s]+){0,3}")
_PACKAGE = re.compile(
    r"(?:[A-Za-z_]*[-_ ]?(?:01005|0201|0402|0603|0805|1206|1210|1812|2010|2512))\b|.*"
    r"(?:SO[TDPJN\d]|SOIC|QF[NP]|BGA|LGA|DIP|SMA|SMB|SMC|TO-?\d|DO-?\d|MELF|DFN|SON|CSP|HDR|CONN|CASE|RES|CAP)",
    re.IGNORECASE,
)
_SIDES = frozenset(
    "top bottom bot t b both toplayer bottomlayer f.cu b.cu front back oben unten 顶层 底层 表 裏 верх низ".split()
)
_FITTING = re.compile(
    r"y|n|yes|no|true|false|[01x✓✔○×]|dn[a-z]|ja|nein|да|нет|是|否|n[fmcp]|.*(?:fit|mount|popul|stuff|plac|install|best[uü]ck|mont|贴|焊|実装)",
    re.IGNORECASE,
)


_FOOTER = re.compile(
    r"\s*(?:(?:grand\s*)?total|sub-?total|sum|summe|gesamt|component (?:count|groups)|fitted components"
    r"|number of (?:pcbs|parts|components|lines)|approved|checked|drawn|prepared|issued|revision|rev\b|date\b|page\b"
    r"|notes?\b|legend|итого|всего|合计|总计|小计|合計|備考|end of)",
    re.IGNORECASE,
)


def begins_footer(text: str) -> bool:
    """Whether a row that begins with ``text`` is one of totals, signatures or notes, no part."""
    return not text[:1].isdigit() and _FOOTER.match(text) is not None


def spread(cells: Sequence[str]) -> list[str]:
    """Up to MAX_SAMPLE filled cells, evenly over the column, so that a long table is judged by all of its length."""
    filled = [cell for cell in cells if cell and not cell.isspace()]
    step = max(1, len(filled) // MAX_SAMPLE)
    return filled[::step][:MAX_SAMPLE]


def fitness(field: Field, cells: Sequence[str]) -> float:
    """How well the filled ``cells`` (a sample) fit ``field``; 0 for an empty sample."""
    if not cells:
        return 0.0
    return _FITNESS[field](cells)


def _share(cells: Sequence[str], test: Callable[[str], object]) -> float:
    return sum(1 for cell in cells if test(cell.strip())) / len(cells)


def _refdes(cells: Sequence[str], is_name: Callable[[str], bool] = looks_like_designator) -> float:
    """Designators are short, numbered and all different; package codes ("R0603") repeat."""
    few = _refdes_in(cells[:: max(1, len(cells) // _FIRST_LOOK)], is_name) if len(cells) > 2 * _FIRST_LOOK else 1.0
    return _refdes_in(cells, is_name) if few else 0.0


def fitness_as_named(cells: Sequence[str]) -> float:
    """How well ``cells`` fit a column named as designators: names of sheets and boards may stand before them."""
    return _refdes(cells, is_designator_of_sheet) if cells else 0.0


def _refdes_in(cells: Sequence[str], is_name: Callable[[str], bool]) -> float:
    tokens: list[str] = []
    good = 0.0
    for cell in map(plain_text, cells):
        parts = [bare for part in _TOKEN.split(without_comment(cell).strip()) if (bare := part.strip(_BESIDE))]
        names = list(filter(is_name, parts))
        if len(names) < len(parts) and begins_with_designator(cell):
            listed = parse_designators(cell)
            if not listed.is_phrase and all(map(is_name, listed.names)):
                parts = names = list(listed.names)
        shaped = len(names) if len(names) == len(parts) else len(names) + sum(map(_is_range_or_word, parts))
        good += shaped / len(parts) if parts else 0.0
        tokens += names
    if not tokens:
        return 0.0
    return good / len(cells) * min(1.0, len(set(tokens)) / len(tokens) + 0.1)


def _is_range_or_word(part: str) -> float:
    """How much a part that need not look like a designator is one: a range is, a name ("POWER", "USB") may be."""
    if looks_like_designator(part):
        return 0.0
    return 1.0 if _RANGE.fullmatch(part) else _NAME_WEIGHT if _NAME.fullmatch(part) else 0.0


def letters_in(cells: Sequence[str]) -> frozenset[str]:
    """The different letters that the designators in the cells begin with."""
    return frozenset(prefix_of(part) for cell in cells for part in cell.replace(",", " ").split()[:3])


def common_share(letters: Collection[str]) -> float:
    """The share of ``letters`` that designators usually have."""
    return sum(one in _COMMON_LETTERS for one in letters) / len(letters) if letters else 0.0


def _qty(cells: Sequence[str]) -> float:
    if is_running_number(cells):
        return 0.0
    return _share(cells, _NUMBER.fullmatch)


def is_running_number(cells: Sequence[str]) -> bool:
    """Whether the cells count lines: 1, 2, 3 ... with at most a few steps left out."""
    numbers = [int(float(cell.strip())) for cell in cells if re.fullmatch(r"\s*\d{1,6}(?:\.0*)?\s*", cell)]
    if len(numbers) < 4 or len(numbers) < 0.8 * len(cells):
        return False
    rising = sum(1 for first, second in pairwise(numbers) if second > first)
    return rising >= 0.95 * (len(numbers) - 1)


def _mpn(cells: Sequence[str]) -> float:
    """A number with letters or dashes in it; words beside it make it less likely."""
    good = 0.0
    for cell in cells:
        text = cell.strip()
        if len(text) < 60 and _PART_NUMBER.fullmatch(text) and not _NUMBER.fullmatch(text):
            good += 0.5 if " " in text else 1.0
    return good / len(cells)


def _manufacturer(cells: Sequence[str]) -> float:
    return _share(cells, lambda cell: len(cell) < 60 and sum(c.isdigit() for c in cell) <= 0.3 * len(cell))


def _package(cells: Sequence[str]) -> float:
    return _share(cells, _PACKAGE.match)


def _description(cells: Sequence[str]) -> float:
    words = _share(cells, lambda cell: any(c.isalpha() for c in cell))
    return words * (0.5 + 0.5 * _share(cells, lambda cell: " " in cell or len(cell) > 12))


def holds_values(cells: Sequence[str]) -> bool:
    """Whether a good part of the cells are electric values: 10k, 4u7, 100 nF, 8 MHz."""
    return bool(cells) and _share(cells, _ELECTRIC.fullmatch) >= _VALUES_SHARE


def _value(cells: Sequence[str]) -> float:
    return 0.9 if cells else 0.0


def _side(cells: Sequence[str]) -> float:
    return _share(cells, lambda cell: cell.lower().replace(" ", "") in _SIDES)


def _dnp(cells: Sequence[str]) -> float:
    return _share(cells, _FITTING.match)


_FITNESS: dict[Field, Callable[[Sequence[str]], float]] = {
    Field.REFDES: _refdes,
    Field.QTY: _qty,
    Field.MPN: _mpn,
    Field.MANUFACTURER: _manufacturer,
    Field.VALUE: _value,
    Field.DESCRIPTION: _description,
    Field.PACKAGE: _package,
    Field.SIDE: _side,
    Field.DNP: _dnp,
}


# First letters of designators in common use (common practice; many are also those of IEEE 315 and IEC 81346).
_COMMON_LETTERS = frozenset(
    "R C L D Q U IC J P X Y K F FB T TP SW S LED CN CON JP BT RN VR ZD CR VT DA DD VD CE RV BZ BAT H ANT E M N Z V G"
    " W".split()
)


def has_common_letters(names: Sequence[str], kinds: int = 2, share: float = 0.75) -> bool:
    """Whether names carry the letters that designators usually do: that share of them, ``kinds`` kinds at least."""
    prefixes = [prefix_of(name) for name in names]
    common = [prefix for prefix in prefixes if prefix in _COMMON_LETTERS]
    return len(set(common)) >= kinds and len(common) >= share * len(prefixes)


_COORDINATE = re.compile(r"[+-]?\d{1,5}[.,]\d{1,6}\s*(?:mm|mil|in)?|[+-]?\d{2,6}(?:mm|mil)?", re.IGNORECASE)
_ANGLE = re.compile(r"[+-]?(?:\d|[1-9]\d|[12]\d\d|3[0-5]\d|360)(?:[.,]\d+)?")
_RIGHT_ANGLES = frozenset({0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0, 360.0})
_PLACES = 0.9


def is_coordinates(rows: Sequence[Sequence[str]], refdes: int) -> bool:
    """Whether rows without a header are places: one designator each, two columns of coordinates that hardly repeat, and
    a column of angles."""
    body = [row for row in rows if refdes < len(row) and looks_like_designator(row[refdes].strip())][:MAX_SAMPLE]
    if len(body) < 3 or len(body) < _PLACES * sum(map(any, rows[:MAX_SAMPLE])):
        return False
    columns = list(zip(*(" ".join(row).split() for row in body), strict=False))
    angles = [i for i, column in enumerate(columns) if all(map(_ANGLE.fullmatch, column)) and _are_right(column)]
    coordinates = [
        i
        for i, column in enumerate(columns)
        if i not in angles[-1:]
        and all(map(_COORDINATE.fullmatch, column))
        and any("." in cell or "," in cell for cell in column)
    ]
    return bool(angles) and len(coordinates) >= 2


def _are_right(column: Sequence[str]) -> bool:
    right = sum(1 for cell in column if float(cell.replace(",", ".")) in _RIGHT_ANGLES)
    return right >= 0.5 * len(column) and len(set(column)) > 1
