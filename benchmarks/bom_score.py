"""``make bom-score DIR=...``: grade ``bom read`` against an INDEX.csv and a truth_lines.csv in a folder.

A file is right when its fitted and not-fitted placements are the index's. A truth line is right when the line read
from the same row has the same designators, part number and manufacturer (blanks and case of blanks aside).
"""

import csv
import sys
from collections import defaultdict
from pathlib import Path

from webapp.errors import MeltlineError
from webapp.intake.reader import read_bom
from webapp.trade.bom import BomReading

Truth = dict[str, str]


def squeeze(text: str | None) -> str:
    """Text with runs of blanks as one."""
    return " ".join((text or "").split())


def line_faults(reading: BomReading, truth: Truth) -> list[str]:
    """What is wrong about the line at the truth's row; empty if nothing."""
    line = next((line for line in reading.lines if str(line.row) == truth["row"]), None)
    if line is None:
        return ["no line at this row"]
    pairs = {
        "designators": (" ".join(line.refdes), squeeze(truth["designators"])),
        "mpn": (squeeze(line.mpn), squeeze(truth["mpn"])),
        "manufacturer": (squeeze(line.manufacturer), squeeze(truth["manufacturer"])),
    }
    return [f"{name}: read {got!r}, truth {want!r}" for name, (got, want) in pairs.items() if got != want]


def score_file(folder: Path, entry: Truth, truths: list[Truth], *, verbose: bool) -> tuple[bool, int]:
    """Print one file's grades; returns (counts right, lines right)."""
    try:
        reading = read_bom((folder / entry["file"]).read_bytes(), entry["file"])
    except MeltlineError as error:
        print(f"{entry['file']}: {error.message}")
        return False, 0
    got = (len(reading.fitted), reading.dnp_count)
    want = (int(entry["placements_fitted_true"]), int(entry["dnp_placements"]))
    faults = [(truth, line_faults(reading, truth)) for truth in truths]
    right = sum(1 for _, fault in faults if not fault)
    mark = "ok " if got == want and reading.is_board_bom else "BAD"
    counts = f"fitted {got[0]:4} of {want[0]:4}, dnp {got[1]:3} of {want[1]:3}"
    print(f"{mark} {entry['file']:32} {counts}, lines {right:4} of {len(truths):4}")
    for truth, fault in faults:
        if fault and verbose:
            print(f"      row {truth['row']}: " + "; ".join(fault)[:220])
    return got == want and reading.is_board_bom, right


def main(folder: Path, *, verbose: bool = True) -> int:
    """Grade the folder; exit code 0 when every file's counts and 99 % of the lines are right."""
    with (
        (folder / "INDEX.csv").open(encoding="utf-8") as index,
        (folder / "truth_lines.csv").open(encoding="utf-8") as gold,
    ):
        entries, truths = list(csv.DictReader(index)), list(csv.DictReader(gold))
    by_file: dict[str, list[Truth]] = defaultdict(list)
    for truth in truths:
        by_file[truth["file"]].append(truth)
    results = [score_file(folder, entry, by_file[entry["file"]], verbose=verbose) for entry in entries]
    files, lines = sum(ok for ok, _ in results), sum(right for _, right in results)
    total = sum(len(by_file[entry["file"]]) for entry in entries)
    print(f"\nfiles right in counts: {files} of {len(entries)}")
    print(f"lines right: {lines} of {total} ({lines / max(total, 1):.2%})")
    return 0 if files == len(entries) and lines >= 0.99 * total else 1


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
