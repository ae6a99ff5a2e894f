"""What values and standard part numbers say of the kind: units, and the registered numbering of semiconductors."""

import re
from functools import lru_cache

from webapp.trade.part_words import Kind, kinds

_CACHED_TEXTS = 20_000
_NUM = r"\d+(?:[.,]\d+)?"
_UNITS = (
    (re.compile(rf"{_NUM}\s?[pnuµμm]F\b|{_NUM}\s?F\b", re.IGNORECASE), "capacitor"),
    (re.compile(rf"{_NUM}\s?[npuµμm]H\b", re.IGNORECASE), "inductor"),
    (re.compile(rf"{_NUM}\s?[RkM]?(?:Ω|ohms?)?\s?@\s?{_NUM}\s?MHz", re.IGNORECASE), "ferrite"),
    (re.compile(rf"{_NUM}\s?[kM]?Hz\b", re.IGNORECASE), "crystal"),
    (re.compile(rf"{_NUM}\s?[mkM]?(?:Ω|\u2126|ohms?\b)", re.IGNORECASE), "resistor"),
)
_NUMBERS = (
    (
        re.compile(r"1N\d{2,4}|1S[SRVZ]?\d{2,4}|BA[STVWXRY]\d{2}|BB\d{3}|BY[VWMQTG]\d{2}|BZ[XVTGWY]\d{2}|LL41\d\d"),
        "diode",
    ),
    (re.compile(r"(?:P[46]|1\.5)?(?:SM[ABCDF]|KE)J?\d+(?:\.\d)?C?A|MM(?:SZ|BZ|BD)\d|SM[ABC]J\d|P6SM[AB]"), "diode"),
    (re.compile(r"2N\d{3,4}|2S[ABCDKJ]\d{2,4}|B[CDF]\d{3}(?!\d)|BSS\d{2,3}|MMBTA?\d|BFR\d{2}|3N\d{3}"), "transistor"),
    (re.compile(r"4N\d{2}|6N1\d\d|MOC30\d\d"), "opto"),
    (re.compile(r"(?:SN|MC)?[57]4(?:AC|ACT|AHC|AHCT|ALS|AUC|AUP|F|HC|HCT|LS|LV|LVC|LVT|S|VHC)[A-Z0-9]*\d"), "ic"),
)
_CAPACITANCE = re.compile(rf"(?P<n>{_NUM})\s?(?P<unit>[pnuµμPNU]|m(?=[Ff]))(?P<decimals>\d+)?[Ff]?(?![A-Za-z0-9])")
_FACTORS = {"p": 1e-6, "n": 1e-3, "u": 1.0, "µ": 1.0, "μ": 1.0, "m": 1e3}


@lru_cache(maxsize=_CACHED_TEXTS)
def kind_in_value(value: str) -> Kind | None:
    """The kind a value's unit says: "100 nF", "4.7uH", "600R@100MHz", "12 MHz", "10 kΩ"; ``None`` without one."""
    text = value.strip()
    return next((kinds()[key] for pattern, key in _UNITS if pattern.match(text)), None)


@lru_cache(maxsize=_CACHED_TEXTS)
def kind_in_number(number: str) -> Kind | None:
    """The kind a registered or industry-wide number says: 1N4148, 2N7002, BC847, 74HC00; ``None`` for others."""
    text = number.strip().upper()
    return next((kinds()[key] for pattern, key in _NUMBERS if pattern.match(text)), None)


def capacitance_uf(text: str) -> float | None:
    """The capacitance at the head of a value, µF: "100n", "4.7 uF", "4n7"; ``None`` without one."""
    match = _CAPACITANCE.match(text.strip())
    if match is None:
        return None
    number = match["n"].replace(",", ".") + (f".{match['decimals']}" if match["decimals"] else "")
    return None if number.count(".") > 1 else float(number) * _FACTORS[match["unit"].lower()]
