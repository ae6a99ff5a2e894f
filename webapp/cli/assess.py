"""``assess``: a product assessed, as a table or as JSON."""

from typing import Annotated, Any

import typer

from webapp.checks.margins import margin_of
from webapp.cli.output import DbOption, JsonOption, emit_json, opened, read_settings, reporting, table
from webapp.desk import assessing, cases
from webapp.desk.cases import CaseEntry
from webapp.errors import NotFoundError
from webapp.store import product_reads
from webapp.store.cases import FindingRow
from webapp.store.engine import Database

_VERDICTS = ("blocks", "change", "prove", "gain", "fine")
_MOST_NAMES = 8


def assess(
    product: Annotated[str, typer.Argument(help="Code of the product.")],
    case: Annotated[str, typer.Option(help="Name of the route; the first candidate without it.")] = "",
    as_json: JsonOption = False,
    db: DbOption = "",
) -> None:
    """Assess PRODUCT if anything has changed since, and show what blocks, must change, must be proved, is gained."""
    with reporting(as_json=as_json), opened(read_settings(db)) as database:
        show(database, product, case, as_json=as_json)


def show(database: Database, code: str, case: str, *, as_json: bool) -> None:
    """Assess what is stale and put out the case."""
    with database.read() as session:
        product = product_reads.product_by_code(session, code)
        if product is None or product.id is None:
            raise NotFoundError(f'There is no product "{code}".', field="product")
    assessing.reassess(database, product.id)
    with database.read() as session:
        entry = cases.find_case(session, product.id, case)
        findings = cases.findings_of(session, entry.id)
    if as_json:
        emit_json(_document(product.code, entry, findings))
    else:
        typer.echo(_text(product.code, entry, findings))


def _document(code: str, entry: CaseEntry, findings: list[FindingRow]) -> dict[str, Any]:
    row = entry.row
    return {
        "product": code,
        "case": entry.name,
        "input_seq": row.input_seq,
        "counts": {verdict: getattr(row, verdict) for verdict in _VERDICTS},
        "readiness": row.readiness,
        "open_board_step_product": row.open_board_step_product,
        "findings": [_finding(finding) for finding in findings],
    }


def _finding(row: FindingRow) -> dict[str, Any]:
    return {
        "check": row.check,
        "subject": row.subject,
        "title": row.title,
        "refdes": row.refdes,
        "step": row.step_title or None,
        "verdict": row.verdict,
        "same_as_today": row.same_as_today,
        "value": row.value,
        "limit": row.limit,
        "margin": margin_of(row.check, row.value, row.limit),
        "unit": row.unit or None,
        "sentence": row.sentence,
        "missing": [row.missing] if row.missing else [],
        "sources": row.sources,
        "fingerprint": row.fingerprint,
    }


def _text(code: str, entry: CaseEntry, findings: list[FindingRow]) -> str:
    row = entry.row
    counts = ", ".join(f"{getattr(row, verdict)} {verdict}" for verdict in _VERDICTS)
    ready = "no placements" if row.readiness is None else f"{row.readiness:.0%} of placements with nothing open"
    shown = [finding for finding in findings if not finding.same_as_today]
    rows = [(f.verdict, f.check, _names(f), f.sentence) for f in shown]
    head = [
        f"{code}, {entry.name}: {counts}",
        f"{ready}; {row.open_board_step_product} open on board, steps or product; "
        f"{len(findings) - len(shown)} the same as today",
        "",
    ]
    return "\n".join([*head, table(("verdict", "check", "designators", "finding"), rows)])


def _names(row: FindingRow) -> str:
    more = f" +{len(row.refdes) - _MOST_NAMES}" if len(row.refdes) > _MOST_NAMES else ""
    return ",".join(row.refdes[:_MOST_NAMES]) + more or row.title
