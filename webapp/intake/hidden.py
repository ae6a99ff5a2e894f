"""What a workbook shows to the eye only: rows and columns that are hidden, cells that are struck through."""

import html
import posixpath
import re
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field

from webapp.intake.grid import Marks

_SHEET = re.compile(r"<(?:\w+:)?sheet\b([^>]*)>")
_RELATION = re.compile(r"<(?:\w+:)?Relationship\b([^>]*)>")
_ATTRIBUTE = re.compile(r"([\w:]+)\s*=\s*[\"']([^\"']*)[\"']")
_HIDDEN = re.compile(rb"\bhidden=[\"'](?:1|true)[\"']")
_ROW = re.compile(rb"<(?:\w+:)?row\b([^>]*)>")
_COL = re.compile(rb"<(?:\w+:)?col\b([^>]*)>")
_NUMBER = re.compile(rb"\b(r|min|max)=[\"'](\d{1,7})[\"']")
_CELL = re.compile(rb"<(?:\w+:)?c\b([^>]*?)(?:/>|>(?:<(?:\w+:)?f\b[^<]*</(?:\w+:)?f>)?(?:<(?:\w+:)?v>([^<]*)</)?)")
_PLACE = re.compile(rb"\br=[\"']([A-Z]{1,3})(\d{1,7})[\"']")
_STYLE = re.compile(rb"\bs=[\"'](\d{1,6})[\"']")
_SHARED = re.compile(rb"\bt=[\"']s[\"']")
_STRIKE = re.compile(rb"<(?:\w+:)?strike(?:\s*/>|\s+val=[\"'](?:1|true)[\"']\s*/>)")
_MOST_COLUMNS = 16_384


@dataclass(slots=True)
class _Found:
    rows: set[int] = field(default_factory=set)
    columns: set[int] = field(default_factory=set)
    struck: dict[int, list[str]] = field(default_factory=dict)


class HiddenScan:
    """Gathers what the parts of an xlsx hide or strike through, piece by piece; a piece holds whole rows."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        names = set(archive.namelist())
        self._styles = _struck_styles(archive.read("xl/styles.xml")) if "xl/styles.xml" in names else frozenset()
        texts = archive.read("xl/sharedStrings.xml") if "xl/sharedStrings.xml" in names else b""
        self._texts = _struck_texts(texts)
        self._names = _sheet_names(archive, names)
        self._found: dict[str, _Found] = {}

    def look(self, part: str, piece: bytes) -> None:
        """Take in one piece of the part of that name."""
        name = self._names.get(part)
        if name is None:
            return
        found = self._found.setdefault(name, _Found())
        if b"hidden=" in piece:
            found.rows.update(
                int(number) for row in _ROW.findall(piece) if _HIDDEN.search(row) for _, number in _NUMBER.findall(row)
            )
            for column in _COL.findall(piece):
                if _HIDDEN.search(column):
                    ends = {key: int(number) for key, number in _NUMBER.findall(column)}
                    last = min(ends.get(b"max", 0), _MOST_COLUMNS)
                    found.columns.update(range(ends.get(b"min", 1) - 1, last))
        if self._styles or self._texts:
            self._strike(found, piece)

    def marks(self) -> Mapping[str, Marks]:
        """What was found, by the name of the sheet."""
        return {
            name: Marks(frozenset(found.rows), frozenset(found.columns), found.struck)
            for name, found in self._found.items()
            if found.rows or found.columns or found.struck
        }

    def _strike(self, found: _Found, piece: bytes) -> None:
        for cell, value in _CELL.findall(piece):
            style = _STYLE.search(cell)
            is_struck = style is not None and int(style[1]) in self._styles
            is_struck = is_struck or (
                value.isdigit() and _SHARED.search(cell) is not None and int(value) in self._texts
            )
            place = _PLACE.search(cell) if is_struck and value else None
            if place:
                found.struck.setdefault(int(place[2]), []).append(place[1].decode())


def _struck_styles(styles: bytes) -> frozenset[int]:
    """Numbers of the cell formats whose font is struck through."""
    if b"strike" not in styles:
        return frozenset()
    fonts = re.split(rb"<(?:\w+:)?font\b", _block(styles, b"fonts"))[1:]
    struck = {i for i, font in enumerate(fonts) if _STRIKE.search(font)}
    formats = re.findall(rb"<(?:\w+:)?xf\b([^>]*)>", _block(styles, b"cellXfs"))
    ids = [re.search(rb"fontId=[\"'](\d{1,6})[\"']", one) for one in formats]
    return frozenset(i for i, found in enumerate(ids) if found and int(found[1]) in struck)


def _struck_texts(texts: bytes) -> frozenset[int]:
    """Numbers of the shared texts of which a piece is struck through."""
    if b"strike" not in texts:
        return frozenset()
    items = re.split(rb"<(?:\w+:)?si\b", texts)[1:]
    return frozenset(i for i, item in enumerate(items) if _STRIKE.search(item))


def _block(text: bytes, name: bytes) -> bytes:
    found = re.search(rb"<(?:\w+:)?" + name + rb"\b[^>]*>(.*?)</(?:\w+:)?" + name + rb">", text, re.DOTALL)
    return found[1] if found else b""


def _sheet_names(archive: zipfile.ZipFile, names: set[str]) -> dict[str, str]:
    """Names of the sheets by the name of their part of the archive."""
    if not {"xl/workbook.xml", "xl/_rels/workbook.xml.rels"} <= names:
        return {}
    workbook, relations = (
        archive.read(name).decode("utf-8", "replace") for name in ("xl/workbook.xml", "xl/_rels/workbook.xml.rels")
    )
    targets = {}
    for found in _RELATION.findall(relations):
        told = dict(_ATTRIBUTE.findall(found))
        targets[told.get("Id", "")] = posixpath.normpath(posixpath.join("/xl", told.get("Target", "")))[1:]
    sheets = {}
    for found in _SHEET.findall(workbook):
        told = dict(_ATTRIBUTE.findall(found))
        relation = next((value for key, value in told.items() if key.endswith(":id")), "")
        if relation in targets:
            sheets[targets[relation]] = html.unescape(told.get("name", ""))
    return sheets
