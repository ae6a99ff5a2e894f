"""Writes the BOM and placement files of the demo products into ``boms`` from ``catalogue.psv`` and ``lists``.

Run it from anywhere after a change there: ``python seed_data/make.py``. Makers and part numbers are invented. A line of
a list is ``key count[/on the bottom] [dnp]`` for a part of the catalogue, ``R size value count``, ``C size value
dielectric voltage count`` or ``L size value count`` for a passive part, and ``TP``, ``FID``, ``H`` ... with a count for
what is no part. The same input gives the same bytes.
"""

import csv
import io
import random
import re
import zipfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from xml.sax.saxutils import escape

import xlsxwriter

HERE = Path(__file__).resolve().parent
WHEN = datetime(2025, 3, 14, 9, 0)
SECOND_SOURCES = {
    "ZWKK2-05J": ("Dastrovic", "DSG2-05SJ"),
    "SDRO81-S4": ("Dastrovic", "DSO81-4"),
    "TAVR0402-1002F": ("Pellunor", "PLNR0402-10K0"),
    "TAVR0402-1001F": ("Pellunor", "PLNR0402-1K00"),
    "UQC0402X7R104K16": ("Pellunor", "PLNC0402-X104"),
    "UQC0603X5R475K16": ("Pellunor", "PLNC0603-X475"),
    "FNKP508-04T": ("Dastrovic", "DSK508-4"),
    "HLA-1010-471M35": ("Pellunor", "PLNE1010-471"),
}


@dataclass(frozen=True)
class Part:
    """What a line says of its part; ``letters``: those its designators begin with."""

    letters: str
    mpn: str = ""
    maker: str = ""
    value: str = ""
    package: str = ""
    description: str = ""
    german: str = ""


@dataclass(frozen=True)
class Line:
    """A part, where it goes (and which of that is the bottom side), and whether it is fitted."""

    part: Part
    refdes: tuple[str, ...]
    bottom: frozenset[str]
    fitted: bool


def catalogue() -> dict[str, Part]:
    """The parts that are not made by rule, by key."""
    parts = {}
    for text in (HERE / "catalogue.psv").read_text(encoding="utf-8").splitlines():
        if not text.startswith("#"):
            key, *cells = (cell.strip() for cell in text.split("|"))
            parts[key] = Part(*cells)
    return parts


# ---- parts by rule ---------------------------------------------------------------------------------------------

_NOT_PLACED = {
    "TP": Part("TP", value="Test point", package="TP 1.0mm"),
    "FID": Part("FID", value="Fiducial", package="FID 1mm"),
    "FM": Part("FM", value="Passermarke"),
    "H": Part("H", value="M3", description="Mounting hole M3"),
    "MH": Part("MH", value="M2.5", description="Mounting hole M2.5"),
    "MP": Part("MP", description="Befestigungsbohrung 3,2 mm"),
}


def resistor(size: str, value: str) -> Part:
    """A thick film chip resistor, 1 %."""
    text = f"{value} 1% {size}"
    return Part("R", f"TAVR{size}-{_four(_ohms(value))}F", "Tarvessa", value, size, f"RES {text}", f"Widerstand {text}")


def capacitor(size: str, value: str, dielectric: str, voltage: str) -> Part:
    """A multilayer chip capacitor."""
    code = _three(float(re.sub(r"[a-zA-Z]", "", value)) * {"p": 1, "n": 1e3, "u": 1e6}[value[-2]])
    tolerance = "J" if dielectric == "C0G" else "K"
    mpn = f"UQC{size}{dielectric}{code}{tolerance}{voltage.removesuffix('V').replace('.', 'R')}"
    text = f"{value} {voltage} {dielectric} {size}"
    german = f"Kerko {text}".replace(".", ",")
    return Part("C", mpn, "Ulmqvara", value, size, f"CAP CER {text}", german)


def inductor(size: str, value: str) -> Part:
    """A multilayer chip inductor."""
    mpn = f"MVNL{size}-{value.removesuffix('nH').replace('.', 'N')}"
    return Part("L", mpn, "Morravane", value, size, f"Inductor multilayer {value} 5% {size}")


def _ohms(value: str) -> float:
    letter = next((char for char in value if char in "Rk M"), "R")
    return float(value.replace(letter, ".")) * {"R": 1, "k": 1e3, "M": 1e6}[letter]


def _four(ohms: float) -> str:
    """Three digits and the power of ten; R for the point below 100 ohms."""
    if ohms < 100:
        return f"{ohms:.3g}".replace(".", "R") if ohms % 1 else f"{ohms:.0f}R0"
    power = len(str(int(ohms))) - 3
    return f"{round(ohms / 10**power)}{power}"


def _three(picofarads: float) -> str:
    if picofarads < 10:
        return f"{picofarads:g}".replace(".", "R")
    power = len(str(int(picofarads))) - 2
    return f"{round(picofarads / 10**power)}{power}"


_BY_RULE: dict[str, tuple[int, Callable[..., Part]]] = {"R": (2, resistor), "C": (4, capacitor), "L": (2, inductor)}


# ---- lists -----------------------------------------------------------------------------------------------------


def read_list(code: str) -> list[Line]:
    """The lines of a product, sorted as layout programs export them; designators lie scattered over the board."""
    parts = catalogue()
    wanted: list[tuple[Part, int, int, bool]] = []
    for text in (HERE / "lists" / f"{code}.txt").read_text(encoding="utf-8").splitlines():
        words = text.split()
        fitted = words[-1] != "dnp"
        words = words if fitted else words[:-1]
        count, _, bottom = words[-1].partition("/")
        wanted.append((_part(words[:-1], parts), int(count), int(bottom or 0), fitted))
    names = _designators(code, wanted)
    lines = [
        Line(part, refdes, frozenset(refdes[-bottom:] if bottom else ()), fitted)
        for (part, _, bottom, fitted), refdes in zip(wanted, names, strict=True)
    ]
    return sorted(lines, key=lambda line: (line.part.letters, not line.fitted, _number(line.refdes[0])))


def _part(words: Sequence[str], parts: dict[str, Part]) -> Part:
    if words[0] in _BY_RULE:
        count, make = _BY_RULE[words[0]]
        return make(*words[1 : 1 + count])
    return _NOT_PLACED.get(words[0]) or parts[words[0]]


def _designators(code: str, wanted: Sequence[tuple[Part, int, int, bool]]) -> Iterator[tuple[str, ...]]:
    pools: dict[str, list[int]] = {}
    for part, count, _, _ in wanted:
        pool = pools.setdefault(part.letters, [])
        pool.extend(range(len(pool) + 1, len(pool) + count + 1))
    for letters, pool in pools.items():
        random.Random(f"{code} {letters}").shuffle(pool)
    for part, count, _, _ in wanted:
        pool = pools[part.letters]
        numbers, pools[part.letters] = pool[:count], pool[count:]
        yield tuple(f"{part.letters}{number}" for number in sorted(numbers))


def _number(refdes: str) -> int:
    return int(re.sub(r"\D", "", refdes))


def by_side(lines: Sequence[Line]) -> Iterator[tuple[Line, str]]:
    """Every line once a side, with the side."""
    for line in lines:
        for bottom, side in ((False, "top"), (True, "bottom")):
            names = tuple(name for name in line.refdes if (name in line.bottom) == bottom)
            if names:
                yield replace(line, refdes=names), side


# ---- files -----------------------------------------------------------------------------------------------------


def handheld(path: Path) -> None:
    """A workbook with a title block and one row a side."""
    book = xlsxwriter.Workbook(str(path))
    book.set_properties({"created": WHEN, "title": "AQ-310 bill of materials", "company": "Halvorra Instruments"})
    sheet, bold = book.add_worksheet("BOM"), book.add_format({"bold": True})
    sheet.write_column(0, 0, ["Halvorra Instruments", "Bill of materials", "Assembly", "Revision", "Drawn", "Date"])
    sheet.write_column(2, 2, ["AQ-310 air-quality meter, main board 0417-11", "D", "I. Varnholm", "2025-03-14"])
    head = [
        "Item",
        "Qty",
        "RefDes",
        "Value",
        "Description",
        "Package",
        "Manufacturer",
        "Mfr Part Number",
        "Side",
        "Fit",
    ]
    sheet.write_row(7, 0, head, bold)
    for item, (line, side) in enumerate(by_side(read_list("aq310")), start=1):
        part = line.part
        told = [part.value, part.description, part.package, part.maker, part.mpn, side.capitalize()]
        fit = "" if line.fitted else "not fitted"
        sheet.write_row(7 + item, 0, [item, len(line.refdes), ", ".join(line.refdes), *told, fit])
    sheet.set_column(2, 2, 40)
    sheet.set_column(4, 4, 44)
    book.close()


def display(path: Path, placement: Path) -> None:
    """An OpenDocument workbook, and the placement file that tells the sides."""
    lines = read_list("bd200")
    rows = [["BD-200 bedside display", "Board 0233-04", "Rev. B"], []]
    rows.append(["#", "Designator", "Quantity", "Comment", "Description", "Footprint", "Manufacturer", "MPN"])
    for item, line in enumerate(lines, start=1):
        part = line.part
        comment = part.value if line.fitted else f"{part.value} DNP"
        told = [comment, part.description, part.package, part.maker, part.mpn]
        rows.append([str(item), " ".join(line.refdes), str(len(line.refdes)), *told])
    write_ods(path, "BD-200", rows)
    where = random.Random("bd200 places")
    placed = [
        (name, "Bottom" if name in line.bottom else "Top", line.part.package)
        for line in lines
        if line.part.letters not in ("H",)
        for name in line.refdes
    ]
    table = [["Designator", "Footprint", "Mid X (mm)", "Mid Y (mm)", "Rotation", "Layer"]]
    for name, layer, package in sorted(placed, key=lambda place: (place[1] == "Bottom", place[0])):
        x, y, turn = where.uniform(3, 177), where.uniform(3, 117), where.choice(("0", "90", "180", "270"))
        table.append([name, package, f"{x:.3f}", f"{y:.3f}", turn, layer])
    placement.write_bytes(delimited(table, ","))


def lamp(path: Path) -> None:
    """Semicolons, German heads and decimal commas, in the code page of an older office."""
    table = [["Stückliste", "LC-90 Leuchtensteuerung", "Leiterplatte 0388-02", "Stand 2025-02-03"], []]
    table.append(["Pos.", "Menge", "Bezeichner", "Wert", "Bezeichnung", "Bauform", "Hersteller", "Herstellernummer"])
    table[2].append("Bestückung")
    for item, line in enumerate(read_list("lc90"), start=1):
        part = line.part
        text = part.german or part.description
        told = [_german(part.value), text, _german(part.package), part.maker, part.mpn]
        mark = "" if line.fitted else "nicht bestückt"
        table.append([str(item), str(len(line.refdes)), ", ".join(line.refdes), *told, mark])
    path.write_bytes(delimited(table, ";", "cp1252"))


def _german(text: str) -> str:
    return re.sub(r"(\d)\.(\d)", r"\1,\2", text)


def logger(path: Path) -> None:
    """A report in columns of fixed width; long lists of designators go on in the next line."""
    widths = {"Item": 5, "Qty": 4, "Reference": 34, "Value": 14, "Package": 22, "Description": 54}
    widths |= {"Manufacturer": 13, "Part Number": 20, "Side": 7, "Fitted": 6}
    rule = "  ".join("-" * width for width in widths.values())
    out = ["Halvorra Instruments            ML-85 marine logger, board 0291-07, revision F", ""]
    out += ["  ".join(name.ljust(width) for name, width in widths.items()).rstrip(), rule]
    for item, (line, side) in enumerate(by_side(read_list("ml85")), start=1):
        part, chunks = line.part, _wrapped(line.refdes, widths["Reference"])
        cells = [str(item), str(len(line.refdes)), chunks[0], part.value, part.package, part.description]
        cells += [part.maker, part.mpn, side, "yes" if line.fitted else "no"]
        out.append("  ".join(cell.ljust(width) for cell, width in zip(cells, widths.values(), strict=True)).rstrip())
        indent = " " * (widths["Item"] + widths["Qty"] + 4)
        out += [indent + chunk for chunk in chunks[1:]]
    out += [rule, "End of report"]
    path.write_bytes("\r\n".join([*out, ""]).encode("ascii"))


def _wrapped(names: Sequence[str], width: int) -> list[str]:
    chunks = [""]
    for name in names:
        if len(chunks[-1]) + len(name) + 1 > width:
            chunks.append("")
        chunks[-1] += f"{name},"
    chunks[-1] = chunks[-1].removesuffix(",")
    return chunks


def gateway(path: Path) -> None:
    """Commas, a second source beside the first, a column of marks for what is not fitted, and no sides."""
    table = [["Ref", "Qty", "Value", "Footprint", "Description", "Manufacturer 1", "Manufacturer Part Number 1"]]
    table[0] += ["Manufacturer 2", "Manufacturer Part Number 2", "DNP"]
    for line in read_list("gw77"):
        part = line.part
        second = SECOND_SOURCES.get(part.mpn, ("", "")) if line.fitted else ("", "")
        told = [part.value, part.package, part.description, part.maker, part.mpn, *second]
        table.append([",".join(line.refdes), str(len(line.refdes)), *told, "" if line.fitted else "x"])
    path.write_bytes(delimited(table, ","))


def delimited(table: Sequence[Sequence[str]], delimiter: str, encoding: str = "utf-8") -> bytes:
    """A table as delimited text."""
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\r\n").writerows(table)
    return out.getvalue().encode(encoding)


# ---- OpenDocument ----------------------------------------------------------------------------------------------

_OFFICE = "urn:oasis:names:tc:opendocument:xmlns"
_MIMETYPE = "application/vnd.oasis.opendocument.spreadsheet"


def write_ods(path: Path, name: str, rows: Sequence[Sequence[str]]) -> None:
    """A workbook of one sheet of text cells, in the few elements that OpenDocument asks for."""
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content office:version="1.2"'
        f' xmlns:office="{_OFFICE}:office:1.0" xmlns:table="{_OFFICE}:table:1.0" xmlns:text="{_OFFICE}:text:1.0">'
        f'<office:body><office:spreadsheet><table:table table:name="{escape(name)}">'
        + "".join(f"<table:table-row>{''.join(map(_ods_cell, row)) or _ods_cell('')}</table:table-row>" for row in rows)
        + "</table:table></office:spreadsheet></office:body></office:document-content>"
    )
    manifest = (
        f'<?xml version="1.0" encoding="UTF-8"?><manifest:manifest manifest:version="1.2"'
        f' xmlns:manifest="{_OFFICE}:manifest:1.0"><manifest:file-entry manifest:full-path="/"'
        f' manifest:media-type="{_MIMETYPE}"/><manifest:file-entry manifest:full-path="content.xml"'
        f' manifest:media-type="text/xml"/></manifest:manifest>'
    )
    with zipfile.ZipFile(path, "w") as archive:
        for entry, text in (("mimetype", _MIMETYPE), ("content.xml", content), ("META-INF/manifest.xml", manifest)):
            info = zipfile.ZipInfo(entry, WHEN.timetuple()[:6])
            # The type comes first and bare, so that the file is known by its first bytes.
            info.compress_type = zipfile.ZIP_STORED if entry == "mimetype" else zipfile.ZIP_DEFLATED
            archive.writestr(info, text)


def _ods_cell(text: str) -> str:
    if not text:
        return "<table:table-cell/>"
    return f'<table:table-cell office:value-type="string"><text:p>{escape(text)}</text:p></table:table-cell>'


def write_all(folder: Path) -> None:
    """All files of the demo into ``folder``."""
    folder.mkdir(exist_ok=True)
    handheld(folder / "AQ-310_main_board_BOM_revD.xlsx")
    display(folder / "BD-200_bom.ods", folder / "BD-200_pick_place.csv")
    lamp(folder / "LC-90_Stueckliste.csv")
    logger(folder / "ML85_partslist.txt")
    gateway(folder / "GW-77-bom-export.csv")


if __name__ == "__main__":
    write_all(HERE / "boms")
