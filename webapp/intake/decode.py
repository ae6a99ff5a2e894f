"""Bytes to text: which encoding a file is in, line by line if need be."""

import codecs
import unicodedata
from dataclasses import dataclass

from webapp.errors import UnreadableFileError
from webapp.intake.charsets import plausibility
from webapp.intake.grid import Note

_LEGACY = ("cp1252", "cp1251", "gb18030", "cp932", "cp1250", "koi8-r", "big5", "cp949", "cp866", "mac-roman", "cp850")
ENCODINGS = ("utf-8", "utf-16-le", "utf-16-be", "utf-32-le", "utf-32-be", *_LEGACY, "latin-1")
"""The encodings that a person may choose from, and all that are ever reported, but for mixtures."""

_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_MIXED = "mixed: "
_SAMPLE_LINES = 400
_SAMPLE_BYTES = 2_000
_SURE = 0.25
"""Below this plausibility the guess is worth a word to the person."""


@dataclass(frozen=True, slots=True)
class Decoded:
    """Text, the encoding as reported ("mixed: cp1252, utf-8" if lines differ), and what was odd."""

    text: str
    encoding: str
    notes: tuple[Note, ...] = ()


def decode(content: bytes, encoding: str | None = None) -> Decoded:
    """Text of ``content``; a chosen ``encoding`` always wins, with what it cannot read as U+FFFD and a note.

    Raises UnreadableFileError (unknown_encoding) for a name that is not offered.
    """
    if encoding is not None:
        return _as_chosen(content, encoding)
    for mark, codec in _MARKS:
        if content.startswith(mark):
            note = Note("byte_order_mark", f"The file begins with the mark of {codec}.")
            return _forced(content[len(mark) :], codec, (note,))
    wide = _wide_codec(content)
    if wide is not None:
        return Decoded(content.decode(wide), wide)
    try:
        return Decoded(content.decode("utf-8"), "utf-8")
    except UnicodeDecodeError:
        return _by_evidence(content)


def _as_chosen(content: bytes, encoding: str) -> Decoded:
    if encoding.startswith(_MIXED):
        codec = encoding.removeprefix(_MIXED).split(",", 1)[0].strip()
        if codec in _LEGACY or codec == "latin-1":
            return Decoded(_line_by_line(content, codec), encoding)
    try:
        codec = next(name for name in ENCODINGS if codecs.lookup(name).name == codecs.lookup(encoding).name)
    except (LookupError, StopIteration, ValueError):
        raise UnreadableFileError(
            f"The encoding “{encoding}” is not known here; choose one of {', '.join(ENCODINGS)}.",
            field="encoding",
            code="unknown_encoding",
        ) from None
    mark = next((mark for mark, marked in _MARKS if marked == codec and content.startswith(mark)), b"")
    return _forced(content[len(mark) :], codec, ())


def _forced(content: bytes, codec: str, notes: tuple[Note, ...]) -> Decoded:
    text = content.decode(codec, "replace")
    at = text.find("\ufffd")
    if at >= 0 and _lossy(content, codec):
        line = text.count("\n", 0, at) + 1
        message = f"Some characters cannot be read as {codec} and were replaced, the first in line {line}."
        notes = (*notes, Note("replaced_characters", message, line))
    return Decoded(text, codec, notes)


def _lossy(content: bytes, codec: str) -> bool:
    try:
        content.decode(codec)
    except UnicodeDecodeError:
        return True
    return False


def _wide_codec(content: bytes) -> str | None:
    """UTF-16 or UTF-32 without a mark: NUL bytes stand at the same place of nearly every unit."""
    head = content[: 64 * 1024]
    nuls = head.count(0)
    if nuls * 20 < len(head) or len(content) % 2:
        return None
    for codec, unit, places in (
        ("utf-32-le", 4, (2, 3)),
        ("utf-32-be", 4, (0, 1)),
        ("utf-16-le", 2, (1,)),
        ("utf-16-be", 2, (0,)),
    ):
        there = sum(head[place::unit].count(0) for place in places)
        # Text is mostly ASCII signs and line ends, whose high bytes are NUL; a low byte never is.
        if there * 10 >= nuls * 9 - (nuls // 3 if unit == 4 else 0) * 9 and _fits(content, codec):
            return codec
    return None


def _fits(content: bytes, codec: str) -> bool:
    text = content[: 64 * 1024].decode(codec, "ignore")
    return not _lossy(content, codec) and "\x00" not in text and _is_assigned(text[:4096])


def _is_assigned(text: str) -> bool:
    """Whether nearly all characters are ones that Unicode knows: any four bytes with zeros make *some* UTF-32."""
    unknown = sum(1 for character in text if unicodedata.category(character) in {"Cn", "Co", "Cs"})
    return unknown * 20 <= len(text)


def _by_evidence(content: bytes) -> Decoded:
    """A file that is not UTF-8 throughout: one older encoding, or UTF-8 with some lines in an older one."""
    lines = [line for line in content.splitlines() if not line.isascii()]
    utf8 = [line for line in lines if not _lossy(line, "utf-8")]
    rest = [line for line in lines if _lossy(line, "utf-8")]
    single, score = _likeliest(content, lines)
    if utf8:
        legacy, rest_score = _likeliest(b"\n".join(rest), rest)
        together = (_weight(utf8) * plausibility(_sample(utf8), "utf-8") + _weight(rest) * rest_score) / _weight(lines)
        if together > score:
            note = Note("mixed_encoding", _mixed_message(legacy, content))
            return Decoded(_line_by_line(content, legacy), f"{_MIXED}{legacy}, utf-8", (note,))
    notes = () if score >= _SURE else (Note("encoding_unsure", f"The encoding is not certain; {single} was taken."),)
    return Decoded(content.decode(single), single, notes)


def _mixed_message(legacy: str, content: bytes) -> str:
    lines = content.splitlines()
    first = next(number for number, line in enumerate(lines, start=1) if _lossy(line, "utf-8"))
    return f"Lines are in different encodings: {legacy} (first in line {first}) and utf-8."


def _likeliest(content: bytes, lines: list[bytes]) -> tuple[str, float]:
    """The older encoding in which the lines make most sense, and how much; latin-1 takes any byte."""
    sample = _sample(lines)
    fitting = [codec for codec in (*_LEGACY, "latin-1") if not _lossy(content, codec)]
    scores = {codec: plausibility(sample, codec) for codec in fitting}
    best = max(fitting, key=lambda codec: scores[codec])
    # Without evidence for any, the most common one; a single odd byte is no reason to think of another alphabet.
    return (best if scores[best] >= _SURE else "cp1252" if "cp1252" in fitting else "latin-1"), scores[best]


def _sample(lines: list[bytes]) -> list[bytes]:
    step = max(1, len(lines) // _SAMPLE_LINES)
    return [line[:_SAMPLE_BYTES] for line in lines[::step]]


def _weight(lines: list[bytes]) -> int:
    return sum(len(line.translate(None, _ASCII)) for line in lines)


_ASCII = bytes(range(128))


def _line_by_line(content: bytes, legacy: str) -> str:
    return "".join(_either(line, legacy) for line in content.splitlines(keepends=True))


def _either(line: bytes, legacy: str) -> str:
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError:
        return line.decode(legacy, "replace")
