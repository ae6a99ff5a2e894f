"""Delimited text to rows: finds the delimiter by how evenly it cuts the lines, and survives quotes that never close."""

import csv
import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from webapp.intake.grid import Note, Row

DELIMITERS = (",", ";", "\t", "|", "^")
"""The delimiters looked for, the likelier first."""

_ONE_CELL = re.compile(r'"((?:[^"\r\n]|"")*)"\s*')
_WIDE_COMMA = "，"  # of Chinese and Japanese keyboards
_SAMPLE_LINES = 1_000
_LONGEST_RECORD = 100
"""Physical lines that one quoted record may span; a quote open for longer was never closed."""
_END = "\ue000end of text\ue000"
_SEP_LINE = re.compile(r"\ufeff?\"?sep=(.)\"?\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Cut:
    """How a delimiter cuts a text: the usual number of cells, and the share (0-1) of the lines that have it."""

    delimiter: str
    width: int
    share: float

    @property
    def score(self) -> float:
        """Evenness, weighed by how much it explains."""
        return self.share * (1 + math.log2(self.width)) if self.width > 1 else 0.0

    @property
    def convincing(self) -> bool:
        """Whether this is a table: two columns may be chance, so they need more evidence than many."""
        return self.share >= (0.4 if self.width > 2 else 0.75)


@dataclass(frozen=True, slots=True)
class Table:
    """Records as read, blank ones included as empty lists."""

    rows: list[Row]
    notes: tuple[Note, ...] = ()


def lines_of(text: str) -> list[str]:
    """Physical lines with their ends, which may be CR, LF or CRLF, mixed."""
    if "\r" not in text:
        return text.splitlines(keepends=True) if _only_plain_breaks(text) else _cut_at_newlines(text)
    return [line for line in re.split(r"(?<=\n)|(?<=\r)(?!\n)", text) if line]


def sep_line(text: str) -> str | None:
    """The delimiter that a first line such as ``sep=;`` names, None without one."""
    found = _SEP_LINE.fullmatch(text.split("\n", 1)[0].split("\r", 1)[0])
    return found.group(1) if found else None


def find_delimiter(lines: list[str]) -> Cut | None:
    """The delimiter that cuts the lines most evenly, None if none cuts them into two columns or more."""
    sample = [line for line in lines[:_SAMPLE_LINES] if line.strip()]
    cuts = [_cut(sample, delimiter) for delimiter in DELIMITERS]
    records = _records(sample)
    if len(records) < len(sample):
        cuts += [_cut(records, delimiter) for delimiter in DELIMITERS]
    if any(_WIDE_COMMA in line for line in sample):
        cuts.append(_cut(sample, _WIDE_COMMA))
    best = max(cuts, key=lambda cut: cut.score)
    return best if best.convincing and best.width > 1 else None


def read_delimited(lines: list[str], delimiter: str) -> Table:
    """All records. A quote that is never closed is taken as a plain character of its line, and noted."""
    if not any('"' in line for line in lines):
        rows = list(csv.reader(lines, delimiter=delimiter, quoting=csv.QUOTE_NONE))
        return Table(rows)
    return _read_quoted(lines, delimiter)


def unwrapped(lines: list[str]) -> list[str]:
    """Lines that are each one cell in quotation marks, as a spreadsheet saves what it took for one column, without
    these; any others as they are."""
    found = [_ONE_CELL.fullmatch(line) for line in lines]
    if len(lines) < 2 or not all(one or not line.strip() for one, line in zip(found, lines, strict=True)):
        return lines
    return [one[1].replace('""', '"') + "\n" if one else line for one, line in zip(found, lines, strict=True)]


def _only_plain_breaks(text: str) -> bool:
    # str.splitlines also cuts at form feeds, line separators and the like, which are text to a CSV reader.
    return not re.search(r"[\v\f\x1c-\x1e\x85\u2028\u2029]", text)


def _cut_at_newlines(text: str) -> list[str]:
    return [line + "\n" for line in text.split("\n")[:-1]] + ([last] if (last := text.rsplit("\n", 1)[-1]) else [])


def _plain(line: str, delimiter: str) -> Row:
    stripped = line.rstrip("\r\n")
    return stripped.split(delimiter) if stripped else []


def _cut(sample: Iterable[str], delimiter: str) -> Cut:
    widths = [_width(line, delimiter) for line in sample]
    several = Counter(width for width in widths if width > 1)
    if not several:
        return Cut(delimiter, 1, 0.0)
    # Of two widths that are about as frequent, the wider is the table and the narrower its ragged rows.
    width = max(several, key=lambda wide: several[wide] * (1 + math.log2(wide)))
    first = widths.index(width)
    last = len(widths) - widths[::-1].index(width)
    # Evenness inside the table counts, and so does how much of the text the table is: one odd line proves nothing.
    share = several[width] / math.sqrt((last - first) * len(widths))
    return Cut(delimiter, width, share)


def _width(line: str, delimiter: str) -> int:
    if '"' not in line:
        return line.count(delimiter) + 1
    try:
        return len(next(csv.reader([line], delimiter=delimiter, strict=True, skipinitialspace=True)))
    except csv.Error:
        return len(_plain(line, delimiter))


def _records(lines: list[str]) -> list[str]:
    """Lines joined where a quotation mark stays open over the end of one."""
    records: list[str] = []
    spanned = 0
    for line in lines:
        if spanned:
            records[-1] += line
        else:
            records.append(line)
        is_open = records[-1].count('"') % 2 == 1
        spanned = spanned + 1 if is_open and spanned < _LONGEST_RECORD else 0
    return records


class _Feed(Iterator[str]):
    """Hands lines to a reader from ``at`` up to ``stop``, then one end mark: it comes back inside a cell exactly when
    a quote is still open."""

    def __init__(self, lines: list[str]) -> None:
        self.lines = lines
        self.at = 0
        self.stop = 0
        self.ended = False

    def go_to(self, at: int) -> None:
        """Continue at that line."""
        self.at = at
        self.ended = False

    def __next__(self) -> str:
        if self.at >= self.stop:
            if self.ended:
                raise StopIteration
            self.ended = True
            return _END
        line = self.lines[self.at]
        self.at += 1
        return line


def _read_quoted(lines: list[str], delimiter: str) -> Table:
    width = _cut([line for line in lines[:_SAMPLE_LINES] if line.strip()], delimiter).width
    rows: list[Row] = []
    open_quotes: list[int] = []
    feed = _Feed(lines)
    # A blank between delimiter and quotation mark belongs to neither: 2, "R1, R2"
    blanks = any(f'{delimiter} "' in line for line in lines)
    reader = csv.reader(feed, delimiter=delimiter, skipinitialspace=blanks)
    while feed.at < len(lines):
        start = feed.at
        feed.stop = min(len(lines), start + _LONGEST_RECORD)
        record = _next_record(reader)
        if record is None or _is_swallowed(lines[start : feed.at], delimiter, width):
            record = _plain(lines[start], delimiter)
            open_quotes.append(len(rows) + 1)
            feed.go_to(start + 1)
            reader = csv.reader(feed, delimiter=delimiter, skipinitialspace=blanks)
        rows.append(record)
    return Table(rows, _quote_notes(open_quotes))


def _quote_notes(rows: list[int]) -> tuple[Note, ...]:
    if not rows:
        return ()
    where = f"row {rows[0]}" if len(rows) == 1 else f"{len(rows)} rows, the first being row {rows[0]},"
    return (Note("open_quote", f"A quotation mark in {where} is never closed; it was read as plain text.", rows[0]),)


def _next_record(reader: Iterator[Row]) -> Row | None:
    """The next record, None if a quote is still open at the end mark or the cell is too long to be meant."""
    try:
        record = next(reader)
    except csv.Error:
        return None
    return None if record and record[-1].endswith(_END) else record


def _is_swallowed(lines: list[str], delimiter: str, width: int) -> bool:
    """Whether a record of several lines is really several records glued by a stray quote."""
    if len(lines) < 2 or _is_strict(lines, delimiter):
        return False
    return sum(len(_plain(line, delimiter)) == width for line in lines) * 2 > len(lines)


def _is_strict(lines: list[str], delimiter: str) -> bool:
    """Whether every closing quote stands at the end of its cell."""
    try:
        next(csv.reader(lines, delimiter=delimiter, strict=True))
    except csv.Error:
        return False
    return True
