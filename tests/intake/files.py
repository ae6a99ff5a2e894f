"""Files made at run time: workbooks of all kinds and the nasty ones, so that the repository holds no binary."""

import io
import struct
import zipfile
from collections.abc import Sequence
from typing import Any

import xlsxwriter
import xlwt
from msoffcrypto.format.ooxml import OOXMLFile
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

Cells = Sequence[Sequence[Any]]

PARTS: list[list[Any]] = [
    ["Reference", "Qty", "Part number", "Value"],
    ["C1, C2", 2, "QX-0042", "100 nF"],
    ["R1", 1, "007310", 4.7],
]
"""A small invented parts list with a number of each kind."""
PARTS_TEXT = [[str(cell) for cell in row] for row in PARTS]

_NAMESPACE = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


def xlsx(
    sheets: dict[str, Cells] | None = None,
    hidden: tuple[str, ...] = (),
    merged: dict[str, Sequence[tuple[int, int, int, int]]] | None = None,
) -> bytes:
    """A workbook of those sheets, the part list by default; ``merged`` cells (first row, column, last row, column) keep
    what their first one holds."""
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer) as book:
        for name, rows in (sheets if sheets is not None else {"Parts": PARTS}).items():
            sheet = book.add_worksheet(name)
            for number, row in enumerate(rows):
                sheet.write_row(number, 0, row)
            for first, left, last, right in (merged or {}).get(name, ()):
                sheet.merge_range(first, left, last, right, rows[first][left])
            if name in hidden:
                sheet.hide()
    return buffer.getvalue()


def xls(rows: Cells = PARTS) -> bytes:
    """A workbook of 97-2003."""
    book = xlwt.Workbook()
    sheet = book.add_sheet("Parts")
    for at, row in enumerate(rows):
        for column, cell in enumerate(row):
            sheet.write(at, column, cell)
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def protected_xls() -> bytes:
    """An xls whose record after the first says that the rest is encrypted (FILEPASS, record 0x002F)."""
    content = bytearray(xls())
    begin = content.index(struct.pack("<HH", 0x0809, 16))
    struct.pack_into("<H", content, begin + 20, 0x002F)
    return bytes(content)


def ods(rows: Cells = PARTS) -> bytes:
    """An OpenDocument spreadsheet."""
    document = OpenDocumentSpreadsheet()
    table = Table(name="Parts")
    for row in rows:
        line = TableRow()
        for cell in row:
            kind = {"valuetype": "string"} if isinstance(cell, str) else {"valuetype": "float", "value": cell}
            field = TableCell(**kind)
            field.addElement(P(text=str(cell)))
            line.addElement(field)
        table.addElement(line)
    document.spreadsheet.addElement(table)
    buffer = io.BytesIO()
    document.save(buffer)
    return buffer.getvalue()


def raw_ods(table: str, manifest: str = "") -> bytes:
    """An ods of one table written as XML by hand, for repeats no program would write."""
    spaces = " ".join(
        f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"' for name in ("office", "table", "text")
    )
    content = (
        f"<?xml version='1.0'?><office:document-content {spaces}><office:body><office:spreadsheet>"
        f'<table:table table:name="S">{table}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    return zipped(
        {
            "mimetype": "application/vnd.oasis.opendocument.spreadsheet",
            "META-INF/manifest.xml": "<?xml version='1.0'?><manifest:manifest "
            f'xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">{manifest}</manifest:manifest>',
            "content.xml": content,
        }
    )


def raw_xlsx(
    sheet_data: str, part: str = "worksheets/sheet1.xml", extra: dict[str, str | bytes] | None = None
) -> bytes:
    """An xlsx whose one sheet is XML written by hand."""
    relation = f'<Relationship Id="r1" Type="{_RELATIONS}/worksheet" Target="{part}"/>'
    packages = "http://schemas.openxmlformats.org/package/2006/relationships"
    return zipped(
        {
            "[Content_Types].xml": "<Types/>",
            "_rels/.rels": f'<Relationships xmlns="{packages}"><Relationship Id="r1" '
            f'Type="{_RELATIONS}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
            "xl/workbook.xml": f'<workbook xmlns="{_NAMESPACE}" xmlns:r="{_RELATIONS}"><sheets>'
            '<sheet name="S" sheetId="1" r:id="r1"/></sheets></workbook>',
            "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{packages}">{relation}</Relationships>',
            f"xl/{part}": f'<worksheet xmlns="{_NAMESPACE}"><dimension ref="A1"/><sheetData>{sheet_data}</sheetData>'
            "</worksheet>",
            **(extra or {}),
        }
    )


def two_cells(part: str = "worksheets/sheet1.xml") -> bytes:
    """The workbook of about a kilobyte with cells A1 and XFD1048576, whose dimension says A1."""
    return raw_xlsx(
        '<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c r="XFD1048576"><v>1</v></c></row>', part
    )


def many_rows(count: int) -> bytes:
    """An xlsx of that many rows of one number each."""
    return raw_xlsx("".join(f'<row r="{at}"><c r="A{at}"><v>1</v></c></row>' for at in range(1, count + 1)))


def zip_bomb(unpacked: int) -> bytes:
    """An xlsx with one part of blanks that unpacks to that many bytes."""
    return raw_xlsx('<row r="1"><c r="A1"><v>1</v></c></row>', extra={"xl/media/blank.bin": bytes(unpacked)})


def lying_zip(unpacked: int) -> bytes:
    """A zip bomb whose directory claims a thousandth of the true size."""
    blank = " " * unpacked
    content = bytearray(raw_xlsx(f'<row r="1"><c r="A1"><v>1</v></c></row>{blank}'))
    at = content.rindex(b"PK\x01\x02")
    (size,) = struct.unpack_from("<L", content, at + 24)
    struct.pack_into("<L", content, at + 24, size // 1000)
    return bytes(content)


def protected_xlsx() -> bytes:
    """An xlsx encrypted with a password."""
    buffer = io.BytesIO()
    OOXMLFile(io.BytesIO(xlsx())).encrypt("secret", buffer)
    return buffer.getvalue()


def zipped(parts: dict[str, str | bytes]) -> bytes:
    """A zip archive of those parts."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return buffer.getvalue()
