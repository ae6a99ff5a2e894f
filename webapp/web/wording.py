"""How values read on a screen: numbers, counts, dates, sizes, lists of designators. All are Jinja filters.

Typography: true minus (U+2212), no-break space before a unit, narrow no-break space between groups of three from
10 000 on (ISO 80000-1). ``None`` reads "not known".
"""

import math
from collections.abc import Callable, Iterable
from datetime import UTC, date, datetime
from typing import Any

from webapp.trade.order import ordered

NOT_KNOWN = "not known"
MINUS = "\N{MINUS SIGN}"
NBSP = "\N{NO-BREAK SPACE}"
GROUP = "\N{NARROW NO-BREAK SPACE}"

_SIGNIFICANT = 4


def number(value: float | None, unit: str | None = None, places: int | None = None) -> str:
    """``value`` with at most four significant digits (whole digits are never rounded away), or exactly ``places``
    decimals, and its unit. What is not finite reads "not known"."""
    if value is None or not math.isfinite(value):
        return NOT_KNOWN
    size = abs(value)
    if places is None:
        whole = math.floor(math.log10(size)) + 1 if size else 1
        text = f"{size:.{max(0, _SIGNIFICANT - whole)}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
    else:
        text = f"{size:.{places}f}"
    sign = MINUS if value < 0 and text.strip("0.") else ""
    return f"{sign}{_grouped(text)}" + (f"{NBSP}{unit}" if unit else "")


def _grouped(text: str) -> str:
    whole, point, decimals = text.partition(".")
    if len(whole) > 4:
        whole = f"{int(whole):,}".replace(",", GROUP)
    return whole + point + decimals


def percent(fraction: float | None, places: int = 0) -> str:
    """A share (0-1) in per cent. What is not whole never reads 100 %, and what is not nothing never 0 %."""
    if fraction is None or not math.isfinite(fraction):
        return NOT_KNOWN
    step = 10.0**-places
    if 0 < fraction < 1:
        rounded = round(fraction * 100, places)
        if rounded >= 100:
            return f"> {100 - step:.{places}f}{NBSP}%"
        if rounded <= 0:
            return f"< {step:.{places}f}{NBSP}%"
    return number(fraction * 100, "%", places)


def plural(count: int, singular: str, many: str | None = None) -> str:
    """A count with its noun: "1 line", "3 lines"; ``many`` where adding an s is not enough."""
    noun = singular if count == 1 else many or f"{singular}s"
    return f"{number(count)}{NBSP}{noun}"


def iso_date(moment: date | None) -> str:
    """The date as 2026-11-25."""
    return NOT_KNOWN if moment is None else f"{moment:%Y-%m-%d}"


def iso_time(moment: datetime | None) -> str:
    """Date and time to the minute in UTC; a moment without zone is taken as UTC, as the database keeps it."""
    if moment is None:
        return NOT_KNOWN
    utc = moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
    return f"{utc:%Y-%m-%d %H:%M}{NBSP}UTC"


def file_size(size: int | None) -> str:
    """A size in bytes, in the largest binary unit that keeps it at 1 or above."""
    if size is None:
        return NOT_KNOWN
    if size < 1024:
        return plural(size, "byte")
    value, unit = size / 1024, "KiB"
    for larger in ("MiB", "GiB"):
        if value < 1024:
            break
        value, unit = value / 1024, larger
    return number(round(value, 1 if value < 10 else 0), unit)


def short_list(names: Iterable[str], keep: int = 8) -> str:
    """The first ``keep`` names and how many more there are: "C1, C2, … +31 more"."""
    every = list(names)
    if len(every) <= keep:
        return ", ".join(every)
    return ", ".join([*every[:keep], f"…{NBSP}+{len(every) - keep}{NBSP}more"])


FILTERS: dict[str, Callable[..., Any]] = {
    "number": number,
    "percent": percent,
    "plural": plural,
    "iso_date": iso_date,
    "iso_time": iso_time,
    "file_size": file_size,
    "natural_sort": ordered,
    "short_list": short_list,
}
