"""``bom``: what a file says as a bill of materials, without touching any product."""

from pathlib import Path
from typing import Annotated, Any

import typer

from webapp.cli.output import NOT_USABLE, JsonOption, emit_json, reporting, table
from webapp.errors import UnreadableFileError
from webapp.intake.gate import read_bom_file
from webapp.trade.bom import BomLine, BomReading, Problem, ReadChoices

app = typer.Typer(no_args_is_help=True, help="Bills of materials.")


@app.command("read")
def read(
    file: Path,
    sheet: Annotated[
        str, typer.Option(help="The sheet of a workbook, if not the one that looks most like a BOM.")
    ] = "",
    header_row: Annotated[
        int, typer.Option(min=-1, help="The header's row, 0 for none; -1 leaves it to the reader.")
    ] = -1,
    encoding: Annotated[str, typer.Option(help="The text encoding, if not the one found.")] = "",
    as_json: JsonOption = False,
) -> None:
    """Read FILE and show what was understood. Exit 3 when it is no board BOM, 2 when it cannot be read."""
    choices = ReadChoices(
        sheet=sheet or None, header_row=header_row if header_row >= 0 else None, encoding=encoding or None
    )
    with reporting(as_json=as_json):
        reading = read_bom_file(content_of(file), file.name, choices)
    if as_json:
        emit_json(document(reading))
    else:
        typer.echo(_text(reading))
    if not reading.is_board_bom:
        typer.echo(f"{file.name} is no board BOM: {reading.why_not_bom}.", err=True)
        raise typer.Exit(NOT_USABLE)


def content_of(file: Path) -> bytes:
    """The bytes of a file named on the command line; UnreadableFileError says why there are none."""
    try:
        return file.read_bytes()
    except OSError as error:
        raise UnreadableFileError(f"{file}: {error.strerror}.", field="file", code="no_file") from error


def document(reading: BomReading) -> dict[str, Any]:
    """The reading as the JSON document of the command."""
    return {
        "file": reading.file,
        "sheet": reading.sheet,
        "header_row": reading.header_row,
        "encoding": reading.encoding,
        "delimiter": reading.delimiter,
        "is_board_bom": reading.is_board_bom,
        "why_not_bom": reading.why_not_bom,
        "columns": reading.columns(),
        "lines": [_line(line, reading) for line in reading.lines],
        "placements_fitted": len(reading.fitted),
        "placements_dnp": reading.dnp_count,
        "placements_excluded": len(reading.excluded),
        "skipped": [
            {**_place(skip.row, reading), "reason": skip.reason, "text": skip.text} for skip in reading.skipped
        ],
        "problems": [
            {
                **_place(problem.row, reading),
                "column": problem.column,
                "code": problem.code,
                "message": problem.message,
            }
            for problem in reading.problems
        ],
    }


def _place(row: int | None, reading: BomReading) -> dict[str, Any]:
    """The row in its own sheet, and that sheet."""
    sheet, own = (None, None) if row is None else reading.place_of(row)
    return {"row": own, "sheet": sheet}


def _line(line: BomLine, reading: BomReading) -> dict[str, Any]:
    used = line.read_as
    return {
        **_place(line.row, reading),
        "refdes": list(line.refdes),
        "dnp_refdes": list(line.dnp_refdes),
        "excluded_refdes": list(line.excluded_refdes),
        "qty": line.qty,
        "mpn": line.mpn,
        "manufacturer": line.manufacturer,
        "value": line.value,
        "description": line.description,
        "package": line.package,
        "side": line.side,
        "alternates": [{"manufacturer": part.manufacturer, "mpn": part.mpn} for part in line.alternates],
        "read_as": None if used is None else {"manufacturer": used.manufacturer, "mpn": used.mpn},
        "alternate_of_row": _place(line.alternate_of, reading)["row"],
    }


def _text(reading: BomReading) -> str:
    columns = ", ".join(f"{field} = {label}" for field, label in reading.columns().items() if label)
    head = [
        f"{reading.file}: "
        + (f"sheet {reading.sheet}, " if reading.sheet else "")
        + f"header row {reading.header_row or 'none'}",
        f"columns: {columns or 'none recognised'}",
        f"{len(reading.lines)} lines, {len(reading.fitted)} placements fitted, {reading.dnp_count} not fitted, "
        f"{len(reading.excluded)} no placement",
        "",
    ]
    rows = [
        (
            str(reading.place_of(line.row)[1]),
            _names(line),
            "" if line.qty is None else f"{line.qty:g}",
            line.mpn or "",
            line.manufacturer or "",
            line.package or "",
        )
        for line in reading.lines
    ]
    problems = [_problem(problem, reading) for problem in reading.problems]
    return "\n".join(
        [*head, table(("row", "designators", "qty", "part number", "maker", "package"), rows), "", *problems]
    )


def _problem(problem: Problem, reading: BomReading) -> str:
    if problem.row is None:
        return f"{reading.file}: {problem.message}"
    sheet, row = reading.place_of(problem.row)
    return f"row {row}{f' of sheet {sheet}' if reading.sheet_starts else ''}: {problem.message}"


def _names(line: BomLine) -> str:
    shown = [f"({name})" if name in {*line.dnp_refdes, *line.excluded_refdes} else name for name in line.refdes]
    return ",".join(shown[:6]) + (f" +{len(shown) - 6}" if len(shown) > 6 else "")
