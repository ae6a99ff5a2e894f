"""Units as people write them behind a number: the one that a field is kept in, and its multiples.

Factors between units of the SI are exact (ISO 80000); a year, a day and a pass are counted.
"""

import re

_MINUTE, _HOUR = 60.0, 3600.0
_SPELLINGS: dict[str, dict[str, float]] = {
    "s": {"sec": 1, "second": 1, "seconds": 1, "min": _MINUTE, "minute": _MINUTE, "minutes": _MINUTE, "h": _HOUR},
    "h": {"hour": 1, "hours": 1, "hr": 1, "hrs": 1, "min": 1 / 60, "minutes": 1 / 60, "d": 24, "day": 24, "days": 24},
    "g": {"gram": 1, "grams": 1, "mg": 1e-3, "kg": 1e3},
    "V": {"volt": 1, "volts": 1, "mv": 1e-3, "kv": 1e3},
    "A": {"amp": 1, "amps": 1, "ampere": 1, "ma": 1e-3},
    "N": {"newton": 1, "newtons": 1, "kn": 1e3},
    "K": {"kelvin": 1},
    "%": {"percent": 1, "per cent": 1, "pct": 1},
    "ppm/K": {"ppm/°c": 1, "ppm/c": 1, "ppm/ k": 1, "ppm": 1, "e-6/k": 1},
    "years": {"year": 1, "yr": 1, "yrs": 1, "y": 1, "a": 1},
    "/day": {"a day": 1, "per day": 1, "/d": 1, "/ day": 1, "cycles/day": 1, "cycles a day": 1, "cycles per day": 1},
    "layers": {"layer": 1},
    "passes": {"pass": 1, "x": 1, "×": 1, "times": 1, "reflows": 1},
}
_DEGREES = frozenset({"c", "f", "°c", "°f", "celsius", "fahrenheit", "deg c", "deg f", "℃", "℉"})
_IN_NAMES = {
    "wt_pct": "wt%", "mm3": "mm³", "pct": "%", "mm": "mm", "um": "µm", "c": "°C", "k": "K", "h": "h", "s": "s",
    "a": "A", "n": "N",
}  # fmt: skip
_ENDING = re.compile(rf"_({'|'.join(_IN_NAMES)})$")


def name_and_unit(name: str) -> tuple[str, str]:
    """A field's name without the unit at its end, and that unit: "limit_c" is ("limit", "°C"); "" for none."""
    ending = _ENDING.search(name)
    return (name[: ending.start()], _IN_NAMES[ending[1]]) if ending else (name, "")


def factor_of(written: str, unit: str) -> float | None:
    """By how much a number in the ``written`` unit is multiplied to be in ``unit``; None where that is another kind of
    unit. Nothing written is ``unit`` itself."""
    bare = " ".join(written.casefold().split()).rstrip(".")
    if bare in ("", unit.casefold()):
        return 1.0
    return _SPELLINGS.get(unit, {}).get(bare)


def is_degrees(written: str) -> bool:
    """Whether the unit is one of temperatures, which a difference is not written in."""
    return written.casefold().strip() in _DEGREES
