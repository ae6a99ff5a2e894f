"""What a file is, by its first bytes: a workbook, text, or something that is no table and is refused by name."""

from typing import Literal

from webapp.errors import UnreadableFileError

Container = Literal["zip", "ole", "text"]

_FOREIGN = (
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"II*\x00", "a picture (TIFF)"),
    (b"MM\x00*", "a picture (TIFF)"),
    (b"RIFF", "a sound, film or picture"),
    (b"MZ", "a program for Windows"),
    (b"\x7fELF", "a program for Linux"),
    (b"\xcf\xfa\xed\xfe", "a program for macOS"),
    (b"7z\xbc\xaf", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"BZh", "a bzip2 archive"),
    (b"\xfd7zXZ", "an xz archive"),
    (b"{\\rtf", "a text document (RTF)"),
    (b"SQLite format 3", "a database (SQLite)"),
    (b"%!PS", "a PostScript document"),
    (b"\x09\x00\x04\x00", "a workbook older than Excel 5"),
    (b"\x09\x02\x06\x00", "a workbook older than Excel 5"),
    (b"\x09\x04\x06\x00", "a workbook older than Excel 5"),
)
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_MZ_HEADER = 64
_ADVICE = "Save the table as xlsx, xls, ods or csv and upload that."


def container_of(content: bytes) -> Container:
    """How to open the file: a zip archive, an OLE file, or text.

    Raises UnreadableFileError: empty_file, not_a_table (named: a PDF, a picture, a program, an archive ...).
    """
    if not content.strip(b" \t\r\n\x00\xef\xbb\xbf\xff\xfe"):
        raise UnreadableFileError("The file is empty.", code="empty_file")
    for mark, name in _FOREIGN:
        if content.startswith(mark) and not _is_text_after_all(content, mark):
            raise other_kind(name)
    if content.startswith(b"PK\x03\x04"):
        return "zip"
    return "ole" if content.startswith(_OLE) else "text"


def other_kind(name: str) -> UnreadableFileError:
    """The error for a file of another kind, saying which."""
    return UnreadableFileError(f"This is {name}, not a table. {_ADVICE}", code="not_a_table")


def _is_text_after_all(content: bytes, mark: bytes) -> bool:
    """A table may begin with the letters MZ, BZh, RIFF ...: those bytes alone prove nothing if plain text follows."""
    return mark.isalnum() and not any(byte < 9 for byte in content[:_MZ_HEADER])
