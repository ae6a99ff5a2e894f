"""Writes docs/validation.md: every published value that is checked, beside what we calculate.

``python -m tests.reference.validation`` writes the page; a test shows that it is current.
"""

from pathlib import Path

from tests.reference.published import PUBLISHED
from webapp.science.parameters import citations, data_version

PAGE = Path(__file__).parents[2] / "docs" / "validation.md"
_DIGITS = {"°C": 1, "wt%": 2, "mm": 4, "mm³": 6, "%": 1, "g/cm³": 3}


def page() -> str:
    """The page as it is to be."""
    lines = [
        "# Validation",
        "",
        "Written by `python -m tests.reference.validation` from the tests in `tests/reference`; do not edit.",
        "Each value is checked to the tolerance given. *opened*: the published value was read in its source, at least",
        "in an excerpt; *memory*: it was not, and is to be read there before it decides anything.",
        "",
        f"Thermodynamic parameters: `webapp/science/tables/parameters.csv`, version `{data_version()}`.",
    ]
    for family, values in PUBLISHED.items():
        lines += ["", f"## {family}", ""]
        lines += ["| what | calculated | published | tolerance | unit | source | how | note |"]
        lines += ["|---|---:|---:|---:|---|---|---|---|"]
        for one in values:
            digits = _DIGITS[one.unit]
            lines.append(
                f"| {one.what} | {one.calculate():.{digits}f} | {one.published:.{digits}f} | {one.tolerance:g} "
                f"| {one.unit} | {one.source} | {one.how} | {one.note} |"
            )
    lines += ["", "## Beside a general library", ""]
    lines += [
        "Solidus and matrix liquidus of 250 random alloys agree with pycalphad, given the same parameters, within",
        "0.05 K (`tests/reference/test_peer.py`); where the library's answer is not the equilibrium, which its energy",
        "shows, the alloy does not count, and at most 3 in 25 may be left out so.",
        "",
        "## Sources of the parameters",
        "",
    ]
    lines += [f"- {name}: {text}" for name, text in citations().items()]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
