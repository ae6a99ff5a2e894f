"""Reading a BOM beside the bare python-calamine read of the same workbook, and its growth with size.

The workbook is made at run time: invented parts, three designators a line. Each figure is the best of three runs.
"""

import io
import time
from collections.abc import Callable

import xlsxwriter
from python_calamine import CalamineWorkbook

from webapp.intake.gate import read_bom_file
from webapp.intake.reader import read_bom

HEADER = ("Item", "Designator", "Qty", "Value", "Package", "Manufacturer", "Manufacturer Part Number", "Description")


def workbook(lines: int) -> bytes:
    """An xlsx of ``lines`` lines with three designators each."""
    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer, {"in_memory": True})
    sheet = book.add_worksheet("BOM")
    sheet.write_row(0, 0, HEADER)
    for i in range(lines):
        maker = f"Maker {i % 37}"
        row = (
            i + 1,
            ", ".join(designators(i)),
            3,
            f"{i % 97}k",
            "0603",
            maker,
            f"AB{i:06d}-{i % 10}K",
            f"Part number {i} of the series, 1 %, 50 V",
        )
        sheet.write_row(i + 1, 0, row)
    book.close()
    return buffer.getvalue()


def designators(i: int) -> list[str]:
    """Those of line ``i``."""
    return [f"{'RCLDU'[i % 5]}{3 * i + k}" for k in (1, 2, 3)]


def placements(lines: int) -> bytes:
    """A placement file of the same board: one of three on the bottom."""
    rows = [
        f"{name},{i},{k},0,{('Top', 'Top', 'Bottom')[k]}" for i in range(lines) for k, name in enumerate(designators(i))
    ]
    return "\n".join(["Designator,X,Y,Rotation,Side", *rows]).encode()


def bare_read(content: bytes) -> int:
    """All cells of all sheets, as the library gives them."""
    book = CalamineWorkbook.from_filelike(io.BytesIO(content))
    return sum(len(book.get_sheet_by_name(name).to_python(skip_empty_area=False)) for name in book.sheet_names)


def best_of_three(run: Callable[[], object]) -> float:
    """Seconds of the quickest of three runs."""
    times = []
    for _ in range(3):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    """Print the table."""
    print("Reading a BOM workbook (seconds; ratio to the bare python-calamine read of the same file)")
    print(f"{'lines':>8} {'bare read':>10} {'read_bom':>10} {'ratio':>6} {'in a child':>11} {'ratio':>6}")
    for lines in (100, 1_000, 10_000):
        content = workbook(lines)
        bare = best_of_three(lambda content=content: bare_read(content))
        here = best_of_three(lambda content=content: read_bom(content, "bench.xlsx"))
        child = best_of_three(lambda content=content: read_bom_file(content, "bench.xlsx"))
        print(f"{lines:>8} {bare:>10.4f} {here:>10.4f} {here / bare:>6.1f} {child:>11.4f} {child / bare:>6.1f}")


if __name__ == "__main__":
    main()
