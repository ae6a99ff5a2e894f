"""Write the pages of docs/ that follow from the code: docs/checks.md from the registry of checks.

Run ``python -m scripts.write_docs`` after a change to a check; a test compares the file with ``checks_page()``.
"""

from pathlib import Path

from webapp.checks.declare import Check
from webapp.checks.explained import NOT_LOOKED_AT, SCOPES, checks_by_family, decided_by, explained
from webapp.trade.figures import default_figures
from webapp.trade.sources import Source

CHECKS_FILE = Path(__file__).resolve().parent.parent / "docs" / "checks.md"
_HEAD = """# Checks

Written by `python -m scripts.write_docs` from the declarations in `webapp/checks`; do not edit. The same stands in the
application under Help, Checks.
"""


def checks_page() -> str:
    """The text of docs/checks.md."""
    parts = [_HEAD]
    for family, checks in checks_by_family():
        parts.append(f"## {family.capitalize()}\n")
        parts += [_section(check) for check in checks]
    parts += ["## Not looked at\n", "No check judges these: that nothing is said of them does not make them fine.\n"]
    parts += ["\n".join(f"- {subject}" for subject in NOT_LOOKED_AT) + "\n"]
    return "\n".join(parts)


def _section(check: Check) -> str:
    words = explained(check)
    lines = [f"### {check.title} (`{check.id}`)\n", check.question, "", f"Looks at {SCOPES[check.scope]}.", ""]
    if check.needs:
        lines += ["| needs | worse |", "|---|---|"]
        lines += [f"| {need.datum} | {need.worse_words} |" for need in check.needs] + [""]
    lines += ["| verdict | when | what clears it |", "|---|---|---|"]
    lines += [
        f"| {verdict.key} | {meaning} | {' '.join(check.remedies.get(verdict, ()))} |"
        for verdict, meaning in words.verdicts.items()
    ]
    lines += ["", f"Example: {words.example}", ""]
    if figures := decided_by(check, default_figures()):
        lines += ["| figure | value | from |", "|---|---|---|"]
        lines += [f"| {figure.meaning} | {figure.text} | {_cell(figure.source)} |" for figure in figures] + [""]
    lines += ["Sources:", *(f"- {_cell(source)}" for source in check.sources)]
    if check.caution:
        lines += ["", f"Caution: {check.caution}"]
    return "\n".join([*lines, ""])


def _cell(source: Source) -> str:
    return f"{source.words}. {source.note}" if source.note else source.words


if __name__ == "__main__":
    CHECKS_FILE.write_text(checks_page(), encoding="utf-8")
