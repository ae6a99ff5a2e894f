"""A case assessed as a whole: every check on the candidate route and, beside it, on today's."""

from collections import Counter
from dataclasses import dataclass

import numpy as np

from webapp.checks.columns import Case, Columns, route_arrays
from webapp.checks.declare import registry
from webapp.checks.evaluate import evaluate
from webapp.checks.exposure import SIDES
from webapp.checks.findings import Finding, findings_of
from webapp.checks.verdicts import Flags, Verdict


@dataclass(frozen=True, slots=True)
class Assessment:
    """All that is not fine, gravest first, and the counts.

    ``fine``: check id -> how many of its elements are fine. ``readiness``: share (0-1) of fitted placements on lines
    with nothing open; None for a case without placements. ``open_board_step_product``: open findings that are about
    no line.
    """

    findings: tuple[Finding, ...]
    fine: dict[str, int]
    readiness: float | None
    open_board_step_product: int

    def counts(self) -> dict[str, int]:
        """Verdict -> number of findings; for fine the elements that are."""
        counted = Counter(finding.verdict.key for finding in self.findings)
        return {key: counted[key] for key in ("blocks", "change", "prove", "gain")} | {"fine": sum(self.fine.values())}


def assess(case: Case) -> Assessment:
    """Run all registered checks over ``case``. Pure: the same case gives the same assessment on any machine."""
    columns = Columns(case)
    candidate, today = route_arrays(columns, case.route), route_arrays(columns, case.today)
    findings: list[Finding] = []
    fine: dict[str, int] = {}
    for check in registry().values():
        found = evaluate(check, columns, candidate)
        now = evaluate(check, columns, today)
        fine[check.id] = int((found.verdict == Verdict.FINE).sum())
        findings += findings_of(check, columns, candidate, found, now)
    findings.sort(key=lambda finding: (-finding.verdict, finding.same_as_today, -len(finding.refdes)))
    return Assessment(
        tuple(findings), fine, readiness(columns, _open_lines(columns, findings)), _open_elsewhere(findings)
    )


def readiness(columns: Columns, is_open: Flags) -> float | None:
    """Share (0-1) of placements on BOM lines with nothing open, None without placements; ``is_open``: whether anything
    is, of every line of the case. Of a BOM line's alternates any one that is open counts."""
    lines, owner = np.unique(columns.of, return_inverse=True)
    # Alternates go to the same places, the two sides of a line to different ones.
    sides = np.array([SIDES.index(side) for side in columns.side], dtype=np.int64)
    placed = np.zeros((len(lines), len(SIDES)), dtype=np.int64)
    placed[owner, sides] = columns.placements
    total = int(placed.sum())
    if total == 0:
        return None
    line_is_open = np.zeros(len(lines), dtype=np.bool_)
    line_is_open[owner[is_open]] = True
    return float(placed[~line_is_open].sum() / total)


def _open_lines(columns: Columns, findings: list[Finding]) -> Flags:
    flags = np.zeros(len(columns), dtype=np.bool_)
    for finding in findings:
        if finding.verdict.is_open:
            flags[list(finding.lines)] = True
    return flags


def _open_elsewhere(findings: list[Finding]) -> int:
    return sum(1 for f in findings if f.verdict.is_open and not registry()[f.check].scope.is_of_lines)
