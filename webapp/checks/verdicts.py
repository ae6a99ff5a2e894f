"""Verdicts, and how the best and the worst corner of what is possible make one."""

from enum import IntEnum, StrEnum

import numpy as np
from numpy.typing import NDArray

Codes = NDArray[np.int8]
Flags = NDArray[np.bool_]
Values = NDArray[np.float64]


class Verdict(IntEnum):
    """A finding's weight, in the order of gravity; NONE is "does not apply"."""

    NONE = -1
    FINE = 0
    GAIN = 1
    PROVE = 2
    CHANGE = 3
    BLOCKS = 4

    @property
    def key(self) -> str:
        """The word that screens and commands use."""
        return self.name.lower()

    @property
    def is_open(self) -> bool:
        """Whether somebody has to do something about it."""
        return self >= Verdict.PROVE


class Why(StrEnum):
    """Why the verdict is what it is."""

    CERTAIN = "certain"
    MEMORY = "memory"
    UNKNOWN = "unknown"
    NOTHING_KNOWN = "nothing known"
    PASSES = "passes"


def merge_corners(
    best: Codes, worst: Codes, *, firm: Flags, known: Flags, wrong_fine_hurts: bool
) -> tuple[Codes, NDArray[np.int8]]:
    """One verdict from a check's verdicts at the best and at the worst of what is possible.

    Parameters
    ----------
    best, worst : verdict codes of any one shape; NONE where the check does not apply.
    firm : whether every value used may decide that something is not possible (see trade.sources.Status.may_block).
    known : whether any value used was more than assumed.
    wrong_fine_hurts : whether nothing known may pass for fine.

    Returns
    -------
    verdict codes, and codes of ``Why`` (see ``code_of``).

    The table: fails at best, firm -> the check's verdict; fails at best, not firm -> prove; passes at best, fails at
    worst -> prove; passes at both -> fine, or prove where nothing was known and a wrong "fine" hurts.
    """
    verdict = np.full(best.shape, Verdict.FINE, dtype=np.int8)
    why = np.full(best.shape, _WHY[Why.PASSES], dtype=np.int8)
    fails_best, fails_worst = best >= Verdict.PROVE, worst >= Verdict.PROVE
    unknown = ~fails_best & fails_worst
    verdict[unknown], why[unknown] = Verdict.PROVE, _WHY[Why.UNKNOWN]
    if wrong_fine_hurts:
        blind = ~fails_best & ~fails_worst & ~known
        verdict[blind], why[blind] = Verdict.PROVE, _WHY[Why.NOTHING_KNOWN]
    certain = fails_best & firm
    verdict[certain], why[certain] = best[certain], _WHY[Why.CERTAIN]
    doubtful = fails_best & ~firm
    verdict[doubtful], why[doubtful] = Verdict.PROVE, _WHY[Why.MEMORY]
    not_there = (best == Verdict.NONE) & (worst == Verdict.NONE)
    verdict[not_there] = Verdict.NONE
    return verdict, why


_WHY = {why: position for position, why in enumerate(Why)}


def code_of(why: Why) -> int:
    """The code that arrays hold for it: its position in ``list(Why)``."""
    return _WHY[why]


def why_of(code: int) -> Why:
    """The ``Why`` of a code."""
    return list(Why)[code]
