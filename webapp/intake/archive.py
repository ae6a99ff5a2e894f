"""A zipped workbook looked at before it is opened: sizes, kind, and how far its cells reach.

The workbook library allots the whole rectangle up to the last cell filled and aborts the process if that is too large,
so the reach is found first, by a scan of the sheets' XML that never holds more than one piece of it.
"""

import io
import re
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from webapp.errors import UnreadableFileError
from webapp.intake.grid import Marks, Note
from webapp.intake.hidden import HiddenScan
from webapp.intake.limits import Limits
from webapp.intake.reach import check_reach
from webapp.intake.signatures import other_kind

_PIECE = 256 * 1024
_LONGEST_TAG = 8 * 1024 * 1024
_ODS = b"application/vnd.oasis.opendocument.spreadsheet"
_OTHERS = (
    ("word/", "a text document"),
    ("ppt/", "a presentation"),
    ("visio/", "a drawing"),
    ("AndroidManifest.xml", "a program for Android"),
    ("META-INF/MANIFEST.MF", "a Java archive"),
    ("Index/Document.iwa", "a Numbers document"),
)

# Only references past column Z or row 9,999 are looked at: the rest cannot reach far. A cell without content, such as
# a formatted blank, does not count.
_FAR_CELL = re.compile(rb"<(?:\w+:)?c [^>]*?\br=[\"'](?:([A-Z]{2,3})(\d+)|([A-Z])(\d{5,7}))[\"'][^>]*?(?<!/)>(?!</)")
_FAR_HINT = re.compile(rb"r=[\"'](?:[A-Z]{2}|[A-Z]\d{5})")
_NO_RESULT = re.compile(rb"(?:</(?:\w+:)?f>|<(?:\w+:)?f(?: [^>]*)?/>)(?:<v/>|<v></v>)?</(?:\w+:)?c>")
_FORMULA = re.compile(rb"<(?:\w+:)?f[ />]")
_ODS_TAG = re.compile(rb"<table:(table|table-row|table-cell|covered-table-cell)(?=[ />])([^>]*)>")
_ODS_REPEAT = re.compile(rb"number-(?:rows|columns)-repeated=[\"'](\d+)")


@dataclass(frozen=True, slots=True)
class Survey:
    """What a zipped workbook is ("xlsx", "xlsb", "ods"), what a person should know of it, and what its sheets hide, by
    their names."""

    kind: str
    notes: tuple[Note, ...] = ()
    marks: Mapping[str, Marks] = field(default_factory=dict)


def survey(content: bytes, limits: Limits) -> Survey:
    """Look through the archive without opening it as a workbook.

    Raises UnreadableFileError: damaged, not_a_table, protected, too_many_parts, unpacks_too_large, too_many_rows,
    too_many_columns, too_many_cells.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = archive.infolist()
            _check_sizes(parts, len(content), limits)
            kind = _kind(archive)
            scan = HiddenScan(archive) if kind == "xlsx" else None
            notes = _scan_ods(archive, limits) if kind == "ods" else _scan_parts(archive, scan, limits)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError, ValueError) as broken:
        if isinstance(broken, RuntimeError) and "password" in str(broken):
            raise protected() from broken
        raise damaged() from broken
    return Survey(kind, notes, scan.marks() if scan else {})


def damaged() -> UnreadableFileError:
    """The error for a workbook that does not open."""
    return UnreadableFileError("The workbook is damaged or incomplete and cannot be opened.", code="damaged")


def protected() -> UnreadableFileError:
    """The error for a workbook that asks for a password."""
    return UnreadableFileError(
        "The workbook is protected by a password. Save a copy without one and upload that.", code="protected"
    )


def _check_sizes(parts: list[zipfile.ZipInfo], packed: int, limits: Limits) -> None:
    if len(parts) > limits.parts:
        raise UnreadableFileError(
            f"The workbook has {len(parts):,} parts; more than {limits.parts:,} are not read.", code="too_many_parts"
        )
    unpacked = sum(part.file_size for part in parts)
    if unpacked > limits.unpacked_bytes or (
        unpacked > limits.ratio_from_bytes and unpacked > packed * limits.unpack_ratio
    ):
        raise _too_large_unpacked(limits)


def _too_large_unpacked(limits: Limits) -> UnreadableFileError:
    return UnreadableFileError(
        "The workbook unpacks to far more than it holds as a file "
        f"(limits: {limits.unpacked_bytes // 2**20} MiB, {limits.unpack_ratio} times its size), so it is not opened.",
        code="unpacks_too_large",
    )


def _kind(archive: zipfile.ZipFile) -> str:
    names = set(archive.namelist())
    if "mimetype" in names:
        with archive.open("mimetype") as part:
            if part.read(len(_ODS)) == _ODS:
                return "ods"
        raise other_kind("an office document")
    if any(name.startswith("xl/") for name in names):
        return "xlsb" if "xl/workbook.bin" in names else "xlsx"
    for mark, what in _OTHERS:
        if any(name.startswith(mark) for name in names):
            raise other_kind(what)
    raise UnreadableFileError(
        "This is a zip archive, not a table. Unpack it and upload the parts list inside.", code="not_a_table"
    )


def _pieces(archive: zipfile.ZipFile, name: str, end: bytes, limits: Limits) -> Iterator[bytes]:
    """The part's bytes in pieces cut after ``end``, or after any tag where that is too rare.

    Stops where the size in the archive's directory was a lie: zipfile reads no further and finds the sum wrong.
    """
    tail = b""
    size = 0
    with archive.open(name) as part:
        while data := part.read(_PIECE):
            size += len(data)
            if size > limits.unpacked_bytes:
                raise _too_large_unpacked(limits)
            tail += data
            cut = tail.rfind(end) + len(end) if end in tail else tail.rfind(b">") + 1 if len(tail) > 4 * _PIECE else 0
            if cut:
                yield tail[:cut]
                tail = tail[cut:]
            if len(tail) > _LONGEST_TAG:
                raise damaged()
    yield tail


def _scan_parts(archive: zipfile.ZipFile, scan: HiddenScan | None, limits: Limits) -> tuple[Note, ...]:
    names = archive.namelist()
    formulas = without = 0
    if scan is not None:
        for name in names:
            if name.endswith(".xml") and not name.endswith("haredStrings.xml"):
                found, empty = _scan_sheet(archive, name, scan, limits)
                formulas += found
                without += empty
    notes = list(_formula_notes(formulas, without))
    if any(name.startswith("xl/externalLinks/") for name in names):
        notes.append(Note("external_links", "The workbook refers to other files; they are not opened."))
    if "xl/vbaProject.bin" in names:
        notes.append(Note("macros", "The workbook holds macros; they are not run."))
    return tuple(notes)


def _scan_sheet(archive: zipfile.ZipFile, name: str, scan: HiddenScan, limits: Limits) -> tuple[int, int]:
    """Formulas, and those without a stored result, in one part; refuses a sheet that reaches too far."""
    rows = columns = formulas = without = 0
    for piece in _pieces(archive, name, b"</row>", limits):
        if _FAR_HINT.search(piece):
            for wide, wide_row, narrow, narrow_row in _FAR_CELL.findall(piece):
                rows = max(rows, int(wide_row or narrow_row))
                columns = max(columns, _column(wide or narrow))
            check_reach(rows, columns, limits)
        scan.look(name, piece)
        if b"<f" in piece or b":f" in piece:
            formulas += len(_FORMULA.findall(piece))
            without += len(_NO_RESULT.findall(piece))
    return formulas, without


def _scan_ods(archive: zipfile.ZipFile, limits: Limits) -> tuple[Note, ...]:
    if "META-INF/manifest.xml" in archive.namelist() and b"encryption-data" in archive.read("META-INF/manifest.xml"):
        raise protected()
    formulas = 0
    reach = _OdsReach()
    for piece in _pieces(archive, "content.xml", b"</table:table-row>", limits):
        formulas += piece.count(b"table:formula=")
        for tag, attributes in _ODS_TAG.findall(piece):
            reach.take(tag, attributes)
        check_reach(reach.rows, reach.columns, limits)
    return _formula_notes(formulas, 0)


class _OdsReach:
    """How far the filled cells of the tables reach, from their tags in file order; repeats count."""

    def __init__(self) -> None:
        self.rows = self.columns = 0
        self._row = self._row_repeat = self._column = 0

    def take(self, tag: bytes, attributes: bytes) -> None:
        """Move on by one tag."""
        found = _ODS_REPEAT.search(attributes) if b"repeated" in attributes else None
        repeat = int(found[1][:9]) if found else 1
        if tag == b"table":
            self._row = self._row_repeat = 0
        elif tag == b"table-row":
            self._row += self._row_repeat
            self._row_repeat, self._column = repeat, 0
        else:
            self._column += repeat
            if not attributes.endswith(b"/"):
                self.rows = max(self.rows, self._row + self._row_repeat)
                self.columns = max(self.columns, self._column)


def _formula_notes(formulas: int, without: int) -> tuple[Note, ...]:
    notes = []
    if formulas:
        notes.append(Note("formulas", f"Cells with formulas: {formulas:,}. Their stored results are read."))
    if without:
        notes.append(Note("formulas_without_result", f"Formulas without a stored result, read as empty: {without:,}."))
    return tuple(notes)


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number
