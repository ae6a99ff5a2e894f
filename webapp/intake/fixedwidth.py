"""Text whose columns are aligned by blanks, as part lists print: finds where columns begin and cuts there."""

import re
import unicodedata
from collections import Counter

from webapp.intake.grid import Row
from webapp.intake.names import meaning

_RULE = re.compile(r"\s*[-=_*+~|]{2}[-=_*+~|\s]*")
_GAP = re.compile(r"\s{2,}")
_PIECE = re.compile(r"\S+(?: \S+)*")
_WORD = re.compile(r"\S+")
_CROSSED = 0.03
"""Share of the lines that may run over a gap between columns, such as one overlong text."""
_EMPTY_COLUMN = 0.1
_UNALIGNED = 0.8
_SAMPLE_LINES = 2_000
_TITLE_LINES = 10
_FILLER = "\ue001"  # a private sign: behind one as wide as two


def read_fixed(lines: list[str]) -> list[Row] | None:
    """Physical lines as rows of trimmed cells, aligned by column; None if the text has no columns.

    Lines outside the table (titles, footers) that do not keep to its columns become one cell. Chinese and Japanese
    signs are as wide as two, where the columns are aligned so.
    """
    flat = [line.rstrip("\r\n").expandtabs(8).rstrip() for line in lines]
    rows = _read(flat)
    wide = [_widened(line) for line in flat]
    if wide == flat:
        return rows
    by_width = _read(wide)
    if by_width is None or (rows is not None and _evenness(rows) >= _evenness(by_width)):
        return rows
    return [[cell.replace(_FILLER, "") for cell in row] for row in by_width]


def _widened(line: str) -> str:
    """The line with a filler behind each sign that is printed as wide as two."""
    if line.isascii():
        return line
    return "".join(char + _FILLER if unicodedata.east_asian_width(char) in "WF" else char for char in line)


def _evenness(rows: list[Row]) -> tuple[int, int]:
    """How many cells stand in rows with the usual number of them, and how many columns there are."""
    widths = Counter(sum(map(bool, row)) for row in rows)
    return max(width * count for width, count in widths.items()), max(map(len, rows))


def _read(flat: list[str]) -> list[Row] | None:
    rule = next((at for at, line in enumerate(flat) if _starts_by_rule(line)), 0)  # titles above it are no columns
    core = [at for at in _core(flat) if at >= rule - 1]
    if len(core) < 2:
        return None
    header = _header(flat, core)
    core = [at for at in core if at >= header]
    starts = _starts_by_rule(flat[rule]) or _starts_by_gaps(
        [flat[at] for at in core], flat[header] if header >= 0 else ""
    )
    usual = Counter(len(_pieces(flat[at])) for at in core).most_common(1)[0]
    if usual[0] > max(2, len(starts)) and usual[1] >= _UNALIGNED * len(core):
        return [_pieces(line) for line in flat]
    if len(starts) < 2:
        return None
    last = core[-1]
    while last + 1 < len(flat) and _keeps_to(flat[last + 1], starts):
        last += 1
    inside = range(core[0], last + 1)
    texts = {at for at in inside if usual[0] > 2 and len(_pieces(flat[at])) == 1}  # a heading, unless in one column
    names = header if header >= 0 and len(flat[header].split()) == len(starts) else -1
    return [
        [line.strip()]
        if _RULE.fullmatch(line)
        else _cut(line, starts, strict=at in texts or (at not in inside and at != names))
        for at, line in enumerate(flat)
    ]


def _pieces(line: str) -> Row:
    return _GAP.split(line.strip()) if line.strip() else []


def _core(lines: list[str]) -> list[int]:
    """Numbers of the lines that surely belong to the table: those with about as many columns as most."""
    counts = {at: len(_pieces(line)) for at, line in enumerate(lines[:_SAMPLE_LINES]) if not _RULE.fullmatch(line)}
    several = Counter(count for count in counts.values() if count > 1)
    if not several:
        return []
    usual = max(several, key=lambda count: several[count] * count)
    least = max(2, (usual + 1) // 2)
    return [at for at, count in counts.items() if count >= least]


def _header(lines: list[str], core: list[int]) -> int:
    """Number of the line that names the columns, -1 without one: names have no digits in them. It may be too tightly
    set to count as part of the table and stand just above."""
    usual = Counter(len(_pieces(lines[at])) for at in core).most_common(1)[0][0]
    likely = [at for at in core[:_TITLE_LINES] if len(_pieces(lines[at])) >= usual]
    above = [at for at in range(core[0]) if lines[at] and not _RULE.fullmatch(lines[at])]
    for at in (*likely, core[0], *above[-1:]):
        if not any(map(str.isdigit, lines[at])) and len(lines[at].split()) > 1:
            return at
    return -1


def _starts_by_rule(line: str) -> list[int]:
    """Column starts from a line of dashes broken by blanks, one group a column; none if it is no such line."""
    groups = [found.start() for found in _WORD.finditer(line)]
    return [0, *groups[1:]] if _RULE.fullmatch(line) and len(groups) > 1 else []


def _starts_by_gaps(body: list[str], header: str) -> list[int]:
    """Column starts at the right edge of each gap that runs down the table, where the header agrees."""
    width = max(map(len, body))
    filled = [0] * (width + 1)
    for line in body:
        for at, char in enumerate(line):
            filled[at] += char != " "
    allowed = int(_CROSSED * len(body))
    named = header if header in body else ""
    blank = [count <= allowed and (named[at : at + 1] or " ") == " " for at, count in enumerate(filled[:width])]
    starts = [0]
    gap = 0
    for at in range(width):
        if blank[at]:
            gap += 1
            continue
        if gap and at - gap > 0 and _is_border(body, header, starts[-1], at, gap):
            starts.append(at)
        gap = 0
    return starts


def _is_border(body: list[str], header: str, left: int, at: int, gap: int) -> bool:
    """Whether a gap before ``at`` parts two columns rather than the words of one cell."""
    begins = header[at : at + 1].strip() != "" and header[at - 1 : at].strip() == ""
    if (gap == 1 and not begins) or (begins and _is_in_name(header, at)):
        return False
    here = sum(bool(line[at : at + 1].strip()) for line in body[1:])
    before = sum(bool(line[left : at - gap].strip()) for line in body)
    if begins and gap > 1:
        return True
    return before > _EMPTY_COLUMN * len(body) and (gap > 1 or here > _EMPTY_COLUMN * len(body))


def _is_in_name(header: str, at: int) -> bool:
    """Whether the word that begins at ``at`` of the header goes on with a name of several: "Part Reference"."""
    piece = next(found for found in _PIECE.finditer(header) if found.start() <= at < found.end())
    before, after = header[piece.start() : at], header[at : piece.end()].split(" ")[0]
    two_names = meaning(before).known and meaning(after).known
    return bool(before) and not two_names and bool(meaning(piece.group()).weights)


def _cut(line: str, starts: list[int], *, strict: bool) -> Row:
    """The line's cells. A word across a border belongs to the side that holds most of it; ``strict`` leaves a line
    whole that has text running on across a border."""
    cells = []
    left = 0
    for start in [*starts[1:], len(line)]:
        right = min(start, len(line))
        if strict and 0 < right < len(line) and line[max(0, right - 2) : right].strip():
            return [line.strip()]
        if 0 < right < len(line) and line[right - 1] != " ":
            right = _word_border(line, right, left)
        cells.append(_bare(line[left:right].strip()))
        left = right
    while cells and not cells[-1]:
        cells.pop()
    return cells


def _bare(cell: str) -> str:
    """The cell without quotation marks around all of it, which some programs print beside aligning."""
    return cell[1:-1] if len(cell) > 1 and cell[0] == cell[-1] == '"' and '"' not in cell[1:-1] else cell


def _keeps_to(line: str, starts: list[int]) -> bool:
    """Whether a line right below the table goes on with it: its cells may fill their columns but for one blank."""
    borders = [start for start in starts[1:] if start < len(line)]
    return len(borders) > 1 and all(line[start - 1] == " " for start in borders)


def _word_border(line: str, at: int, left: int) -> int:
    """The end or the start of the word across ``at``, whichever leaves the larger part of it where it is."""
    if line[at] == " ":
        return at
    begin = line.rfind(" ", left, at) + 1 or left
    end = line.find(" ", at)
    end = len(line) if end < 0 else end
    return end if at - begin >= end - at or begin <= left else begin
