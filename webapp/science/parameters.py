"""The table of thermodynamic parameters, read once: the project's own form of published values with their citations.

``tables/parameters.csv`` holds one expression a row, in J per mol of atoms over T in K, split into its coefficients;
``tables/phases.csv`` the phases to be looked for, one row for each region of composition in which one can be found;
``tables/sources.csv`` what each source key stands for.
"""

import csv
import hashlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ELEMENTS = ("Ag", "Bi", "Cu", "Pb", "Sn")
TERMS = ("const", "t", "t_ln_t", "t2", "t3", "t7", "t_inv", "t_inv9")
_FOLDER = Path(__file__).parent / "tables"
_FILES = ("parameters.csv", "phases.csv")


@dataclass(frozen=True, slots=True)
class Parameter:
    """One expression: sum of ``coefficients`` times ``TERMS`` up to ``up_to_k`` (K), J per mol of atoms.

    ``kind`` is ``energy`` (of a pure element in the phase, or of a compound; over the elements' reference where
    ``over_elements``) or ``interaction`` of two or three ``elements`` with its ``order`` in the Redlich-Kister series.
    """

    phase: str
    kind: str
    elements: tuple[str, ...]
    order: int
    up_to_k: float
    over_elements: bool
    coefficients: tuple[float, ...]
    source: str


@dataclass(frozen=True, slots=True)
class PhaseSite:
    """A phase to look for: where in composition (``near`` an element), or its fixed ``shares`` if it is a compound."""

    phase: str
    label: str
    constituents: tuple[str, ...]
    near: str
    shares: tuple[float, ...]

    @property
    def is_compound(self) -> bool:
        """Whether the composition is fixed."""
        return bool(self.shares)


@cache
def parameters() -> tuple[Parameter, ...]:
    """All rows of ``tables/parameters.csv``."""
    return tuple(
        Parameter(
            phase=row["phase"],
            kind=row["kind"],
            elements=tuple(row["elements"].split("-")),
            order=int(row["order"] or 0),
            up_to_k=float(row["up_to_k"]),
            over_elements=row["over_elements"] == "yes",
            coefficients=tuple(float(row[term] or 0) for term in TERMS),
            source=row["source"],
        )
        for row in _rows("parameters.csv")
    )


@cache
def phase_sites() -> tuple[PhaseSite, ...]:
    """All rows of ``tables/phases.csv``."""
    return tuple(_site(row) for row in _rows("phases.csv"))


@cache
def citations() -> dict[str, str]:
    """What each source key of the parameters stands for, with what is uncertain about it."""
    return {row["source"]: " ".join(filter(None, (row["citation"], row["note"]))) for row in _rows("sources.csv")}


@cache
def data_version() -> str:
    """Twelve hexadecimal digits that change when any parameter or phase does."""
    digest = hashlib.sha256()
    for name in _FILES:
        digest.update((_FOLDER / name).read_bytes())
    return digest.hexdigest()[:12]


def _site(row: dict[str, str]) -> PhaseSite:
    names, _, shares = zip(*(part.partition(":") for part in row["constituents"].split()), strict=True)
    fixed = tuple(float(share) for share in shares) if any(shares) else ()
    return PhaseSite(row["phase"], row["label"], names, row["near"], fixed)


def _rows(name: str) -> list[dict[str, str]]:
    with (_FOLDER / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
