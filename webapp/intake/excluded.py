"""What stands in a BOM with a designator but is no placement: fiducials, holes, logos, drawing frames, the bare board,
solder jumpers, net ties, test pads, loose mechanical parts. A test point or hole with a part number of its own is a
part and stays.

The words are common practice, from memory; no standard fixes them.
"""

import re
from collections.abc import Sequence
from functools import lru_cache

from webapp.intake.designators import prefix_of

# A name that begins with # is a sign of the schematic's own: a power flag, a supply.
_ALWAYS = re.compile(
    r"!?(?:PCB|PWB|BRD|BOARD|BARE_?BOARD|FID|FIDU|FIDUCIAL|LOGO|FRAME|MECH|SCREW|STANDOFF|SPACER|WASHER)[_-]?"
    r"|G\*+|REF\*+|#.*",
    re.IGNORECASE,
)
# Letters that mean no placement as long as the row carries no part number.
_UNNUMBERED = frozenset({"TP", "TEST", "TPAD", "MH", "MTG", "MNT", "HOLE", "MTGH", "SJ", "SB", "FD", "FM", "LABEL"})
_TEXT = re.compile(
    r"fiduci|^(?:FRAME(?:[_-]\w+)?|DIN_?A\d_[LP]|A[34]L-LOC|LETTER_[LP]|TABL_L|DOCFIELD)$"
    r"|passe?rmarke|bare\s*(?:pcb|board)|net[ _-]?tie|mouse[ _-]?bite|solder[ _-]?(?:jumper|bridge|link|blob)"
    r"|^(?:pan head |machine )?screws?(?=$|[ ,;]+(?:m\d|\d|pan|cross|hex|torx|steel|for|with|din|iso|\())"
    # The holes of a connector stand at the end of its name, not at the beginning: "DSUB-9_MountingHolesOffset6.3mm".
    r"|(?:^|:)(?:(?:n?pth|(?:non[ -]?)?plated|screw|pcb|m\d(?:[.,]\d)?|\d+(?:[.,]\d+)?\s?mm)[ _-]+)*"
    r"(?:mount(?:ing)?|tooling)[ _-]?holes?(?![a-z])"
    r"|befestigungs(?:loch|bohrung)|trou de fixation|mire\b|foro di fissaggio"
    r"|реперн|крепежн\w* отверст|基准点|mark点|光学点|定位孔|安装孔|螺丝孔|基準マーク|認識マーク|取付穴",
    re.IGNORECASE,
)
_TEXT_UNNUMBERED = re.compile(
    r"^(?:pcb )?stand[ _-]?offs?(?![a-z])|test[ _-]?(?:point|pad|pin)|testpunkt"
    r"|point de test|punto de prueba|(?<![a-z])logo(?![a-z])|测试点|テストポイント"
    r"|テストパッド|контрольн\w* точк|gs[23]$|jumper[ _-]?(?:pad|smd|open|closed)(?![a-z])",
    re.IGNORECASE,
)
# One of these is in any text that the two expressions above, or the packages below, find something in.
_HINT_PARTS = (
    *"fiduci frame din letter tabl docfield a3l a4l rmarke rmark bare net mouse solder screw mount tooling".split(),
    *"befestigung fixation mire foro stand test punto logo gs2 gs3 jumper mech".split(),
    *"реперн крепежн контрольн 基准 mark点 光学 定位 安装 螺丝 基準 認識 取付 测试 テスト".split(),
)
_AMBIGUOUS = frozenset({"SB", "FD", "FM"})  # also a sounder, a ferrite, a receiver
_MARK_VALUE = re.compile(r"(?:sb|fd|fm|fid|open|closed|bridge|jumper|mark|dot|n/?a|-)?[\W\d_]*\Z", re.IGNORECASE)
_HOLE_PREFIXES = frozenset({"H", "HOLE", "MH"})
_PLAIN = frozenset({"R", "C", "L", "D", "U", "Q", "J"})  # most names have these letters, which say nothing
_DIGITS = "0123456789"
_NOTHING = (False, False, False)
_HOLE_SIZE = re.compile(r"(?:M\d(?:[.,]\d)?|\d{1,2}(?:[.,]\d+)?\s*mm|hole.*|drill.*)", re.IGNORECASE)


def texts_may_say(kinds: str) -> bool:
    """Whether words of a table could say that something is no placement; ``kinds`` is all of it in small letters."""
    return any(map(kinds.__contains__, _HINT_PARTS))


def letters_may_say(names: Sequence[str]) -> bool:
    """Whether the letters of one of the names could say that it is no placement."""
    for name in names:
        letters = name.rstrip(_DIGITS)
        if letters not in _PLAIN and _letters_say(letters) != _NOTHING:
            return True
    return False


def no_placements(
    names: Sequence[str], *, value: str, package: str, description: str, has_number: bool
) -> tuple[str, ...]:
    """Those of the row's ``names`` that are no placement, by their letters and by what the row says of them.

    ``has_number``: the row carries a maker's part number.
    """
    if _package_says(package, has_number=has_number) or _TEXT.match(description):
        return tuple(names)
    if not has_number and _TEXT_UNNUMBERED.match(description):
        return tuple(names)
    values = _values_by_name(tuple(names), value) if "," in value and len(names) > 1 else {}
    if not values and _value_says(value, has_number=has_number):
        return tuple(names)
    if not values and not letters_may_say(names):
        return ()
    return tuple(name for name in names if _is_none(name, values.get(name, value), has_number=has_number))


@lru_cache(maxsize=8192)
def _package_says(package: str, *, has_number: bool) -> bool:
    """Package anywhere, description only at its start: "USB socket with mounting holes" is a socket."""
    return package[:5].upper() in {"MECH_", "MECH "} or _value_says(package, has_number=has_number)


@lru_cache(maxsize=8192)
def _value_says(value: str, *, has_number: bool) -> bool:
    return bool(_TEXT.search(value)) or (not has_number and bool(_TEXT_UNNUMBERED.search(value)))


def _is_none(name: str, value: str, *, has_number: bool) -> bool:
    always, unnumbered, hole = _letters_say(name.rstrip(_DIGITS))
    if always or has_number:
        return always or _value_says(value, has_number=True)
    if unnumbered and prefix_of(name) in _AMBIGUOUS:
        return _MARK_VALUE.match(value.strip()) is not None or _value_says(value, has_number=False)
    return unnumbered or (hole and bool(_HOLE_SIZE.fullmatch(value.strip()))) or _value_says(value, has_number=False)


@lru_cache(maxsize=8192)
def _letters_say(letters: str) -> tuple[bool, bool, bool]:
    """Whether a name's letters mean no placement always, without a part number, or with the size of a hole."""
    prefix = prefix_of(letters)
    return _ALWAYS.fullmatch(letters) is not None, prefix in _UNNUMBERED, prefix in _HOLE_PREFIXES


def _values_by_name(names: tuple[str, ...], value: str) -> dict[str, str]:
    """One value a designator, where a row lumps unlike parts: "F1, F2, H1, P1" with "fiducial, 4mm, header".

    The values go with the runs of one prefix, in order; a single run may be split where that makes the count fit.
    Where they do not fit, no value counts for any; empty when there is one run only, whose value is the whole text.
    """
    values = [part.strip() for part in value.split(",")]
    runs: list[list[str]] = []
    for name in names:
        if runs and prefix_of(runs[-1][0]) == prefix_of(name):
            runs[-1].append(name)
        else:
            runs.append([name])
    if len(runs) < 2:
        return {}
    missing = len(values) - len(runs)
    if missing:
        splittable = [i for i, run in enumerate(runs) if len(run) == missing + 1]
        if len(splittable) != 1:
            return dict.fromkeys(names, "")
        at = splittable[0]
        runs[at : at + 1] = [[name] for name in runs[at]]
    return {name: part for run, part in zip(runs, values, strict=True) for name in run}
