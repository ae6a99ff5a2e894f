"""What stands in a BOM with a designator but is no placement: fiducials, holes, logos, the bare board, solder jumpers,
net ties, test pads, loose mechanical parts. A test point or hole with a part number of its own is a part and stays.

The words are common practice, from memory; no standard fixes them.
"""

import re
from collections.abc import Sequence

from webapp.intake.designators import prefix_of

_ALWAYS = re.compile(
    r"(?:PCB|PWB|BRD|BOARD|BARE_?BOARD|FID|FIDU|FIDUCIAL|LOGO|MECH|SCREW|STANDOFF|SPACER|WASHER)[_-]?\d{0,4}|#?G\*+|REF\*+",
    re.IGNORECASE,
)
# Letters that mean no placement as long as the row carries no part number.
_UNNUMBERED = frozenset({"TP", "TEST", "TPAD", "MH", "MTG", "MNT", "HOLE", "MTGH", "SJ", "SB", "FD", "FM", "LABEL"})
_TEXT = re.compile(
    r"fiduci|passe?rmarke|bare\s*(?:pcb|board)|net[ _-]?tie|solder[ _-]?(?:jumper|bridge|link|blob)"
    r"|mount(?:ing)?[ _-]?hole|tooling[ _-]?hole|befestigungs(?:loch|bohrung)|trou de fixation|mire\b|foro di fissaggio"
    r"|реперн|крепежн\w* отверст|基准点|mark点|光学点|定位孔|安装孔|螺丝孔|基準マーク|認識マーク|取付穴",
    re.IGNORECASE,
)
_TEXT_UNNUMBERED = re.compile(
    r"test[ _-]?(?:point|pad|pin)|testpunkt|point de test|punto de prueba|(?<![a-z])logo(?![a-z])|测试点|テストポイント"
    r"|テストパッド|контрольн\w* точк|gs[23]$|jumper[ _-]?(?:pad|smd|open|closed)(?![a-z])",
    re.IGNORECASE,
)
_HOLE_PREFIXES = frozenset({"H", "HOLE", "MH"})
_HOLE_SIZE = re.compile(r"(?:M\d(?:[.,]\d)?|\d{1,2}(?:[.,]\d+)?\s*mm|hole.*|drill.*)", re.IGNORECASE)


def no_placements(
    names: Sequence[str], *, value: str, package: str, description: str, has_number: bool
) -> tuple[str, ...]:
    """Those of the row's ``names`` that are no placement, by their letters and by what the row says of them.

    ``has_number``: the row carries a maker's part number.
    """
    if _speaks_of_none(package, description, has_number=has_number):
        return tuple(names)
    values = _values_by_name(tuple(names), value) if "," in value else {}
    return tuple(name for name in names if _is_none(name, values.get(name, value), has_number=has_number))


def _speaks_of_none(package: str, description: str, *, has_number: bool) -> bool:
    """Package anywhere, description only at its start: "USB socket with mounting holes" is a socket."""
    if package[:5].upper() in {"MECH_", "MECH "} or _TEXT.search(package) or _TEXT.match(description):
        return True
    return not has_number and bool(_TEXT_UNNUMBERED.search(package) or _TEXT_UNNUMBERED.match(description))


def _is_none(name: str, value: str, *, has_number: bool) -> bool:
    if _ALWAYS.fullmatch(name) or _TEXT.search(value):
        return True
    if has_number:
        return False
    prefix = prefix_of(name)
    if prefix in _UNNUMBERED or (prefix in _HOLE_PREFIXES and _HOLE_SIZE.fullmatch(value.strip())):
        return True
    return _TEXT_UNNUMBERED.search(value) is not None


def _values_by_name(names: tuple[str, ...], value: str) -> dict[str, str]:
    """One value a designator, where a row lumps unlike parts: "F1, F2, H1, P1" with "fiducial, 4mm, header".

    The values go with the runs of one prefix, in order; a single run may be split where that makes the count fit.
    Empty when they do not fit, so that the row's whole value counts for all.
    """
    values = [part.strip() for part in value.split(",")]
    runs: list[list[str]] = []
    for name in names:
        if runs and prefix_of(runs[-1][0]) == prefix_of(name):
            runs[-1].append(name)
        else:
            runs.append([name])
    missing = len(values) - len(runs)
    if len(runs) < 2 or missing < 0:
        return {}
    if missing:
        splittable = [i for i, run in enumerate(runs) if len(run) == missing + 1]
        if len(splittable) != 1:
            return {}
        at = splittable[0]
        runs[at : at + 1] = [[name] for name in runs[at]]
    return {name: part for run, part in zip(runs, values, strict=True) for name in run}
