"""Ranges of designators: "R1-R4", "C14-17", "R101A-D", "R100-04", "R1 to R5" become the names they stand for."""

import re

MAX_RANGE = 2000

DASH = r"[-–—‐‑−~～∼→÷]+>?|=>"
# Words between the first and the last of a range, in the languages that part lists are written in.
_WORDS = r"to|thru|through|until|till|bis|à|a|al|ate|até|do|tot|t/m|til|до|по"
SIGN = rf"(?:\.{{2,}}|…|:|{DASH}|至|到|から)"
_JOINED = re.compile(
    rf"(?<=\d)(?P<suffix>[A-Za-z]?)(?:\s*(?P<sign>{SIGN})\s*|\s+(?P<word>{_WORDS})\s+)"
    r"(?=(?:\d{0,2}[^\W\d][\w.$]*)?\d[A-Za-z]?(?!\w|\.\w)|[^\W\d][\w.$]*\d+-)",
    re.IGNORECASE,
)
_ENDS = re.compile(rf"(?P<first>[\w.$/+#]*[^\W_])(?P<sign>{SIGN})(?P<last>[\w.$/+#]+)")
_IS_DASH = re.compile(DASH)
_NUMBERED = re.compile(
    r"(?P<prefix>\d{0,2}[^\W\d](?:[\w.$/+]*[^\W\d]|[\w.$/+]*[_$])?)(?P<number>\d+)(?P<suffix>[A-Za-z]?)"
)
_LETTERED = re.compile(r"(?P<stem>[^\W\d][\w.$]*\d_?)(?P<letter>[A-Za-z])")
_SHORT_TAIL = 3  # digits that a number needs before its end may be written alone: "R100-04"


def join_ranges(text: str) -> str:
    """The text with the blanks and words between the ends of a range replaced by a sign: "R1 to R5" is "R1..R5"."""
    return _JOINED.sub(lambda found: found["suffix"] + (found["sign"] or ".."), text)


def ends_of(piece: str) -> tuple[str, str, str] | None:
    """First end, sign and last end of a word that may be a range; None where there is no sign in it."""
    found = _ENDS.fullmatch(piece)
    return (found["first"], found["sign"], found["last"]) if found else None


def is_dash(sign: str) -> bool:
    """Whether a sign between two ends is a dash, which may also belong to a name."""
    return _IS_DASH.fullmatch(sign) is not None


def expand_range(first: str, sign: str, last: str, *, eager: bool, backwards: bool = False) -> tuple[str, ...]:
    """Names from ``first`` to ``last``, or nothing when they are no ends of one range.

    ``eager`` takes "X1-2" and "R1A-C" for ranges, else for names; ``backwards`` takes "R9-R1" for one too.
    """
    eager = eager or not is_dash(sign)
    letters = _letter_range(first, last, eager=eager)
    if letters:
        return letters
    start = _NUMBERED.fullmatch(first)
    if start is None:
        return ()
    if last.isdigit():
        end = _full_number(start["number"], last)
        return (
            _span(start["prefix"], start["number"], end) if eager and int(end[-9:]) > int(start["number"][-9:]) else ()
        )
    stop = _NUMBERED.fullmatch(last)
    if stop is None or stop["prefix"].upper() != start["prefix"].upper() or stop["suffix"] != start["suffix"]:
        return ()
    low, high = start["number"], stop["number"]
    if backwards and int(low[-9:]) > int(high[-9:]):
        low, high = high, low
    return _span(start["prefix"], low, high, start["suffix"])


def continue_numbers(before: str, first: str, last: str) -> tuple[str, ...]:
    """Numbers alone go on with the prefix of the name before: "R1,2,5-7"."""
    match = _NUMBERED.fullmatch(before)
    if match is None:
        return (first,) if first == last else (f"{first}-{last}",)
    return _span(match["prefix"], first, last) or (match["prefix"] + first,)


def prefix_and_number(name: str) -> tuple[str, str] | None:
    """ "R" and "12" of "R12" or "R12A"; None for a name without a number at its end."""
    match = _NUMBERED.fullmatch(name)
    return (match["prefix"].upper(), match["number"]) if match else None


def _letter_range(first: str, last: str, *, eager: bool) -> tuple[str, ...]:
    """ "R101A" to "R101D", or to "D" alone."""
    start = _LETTERED.fullmatch(first)
    if start is None:
        return ()
    stop = _LETTERED.fullmatch(last)
    if stop is not None and stop["stem"].upper() == start["stem"].upper():
        end = stop["letter"]
    elif eager and len(last) == 1 and last.isalpha():
        end = last
    else:
        return ()
    low, high = ord(start["letter"]), ord(end)
    return tuple(start["stem"] + chr(code) for code in range(low, high + 1)) if low < high <= low + 25 else ()


def _full_number(first: str, last: str) -> str:
    """ "104" for "04" or "4" after "100": the digits that differ may be written alone."""
    if len(first) >= _SHORT_TAIL and len(last) < len(first) and int(last[-9:]) <= int(first[-9:]):
        return first[: -len(last)] + last
    return last


def _span(prefix: str, first: str, last: str, suffix: str = "") -> tuple[str, ...]:
    low, high = int(first[-9:]), int(last[-9:])
    if not low <= high or high - low >= MAX_RANGE or (low == high and first != last):
        return ()
    width = len(first) if first.startswith("0") else 0
    return tuple(f"{prefix}{number:0{width}d}{suffix}" for number in range(low, high + 1))
