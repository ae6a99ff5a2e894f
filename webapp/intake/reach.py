"""How far a table may reach, with the sentences that name the limit."""

from webapp.errors import UnreadableFileError
from webapp.intake.limits import Limits


def check_reach(rows: int, columns: int, limits: Limits) -> None:
    """Refuse a table that is too long, too wide, or too large altogether."""
    if rows > limits.rows:
        raise UnreadableFileError(
            f"The table reaches to row {rows:,}; more than {limits.rows:,} rows are not read.", code="too_many_rows"
        )
    if columns > limits.columns:
        raise UnreadableFileError(
            f"The table reaches to column {columns:,}; more than {limits.columns:,} columns are not read.",
            code="too_many_columns",
        )
    if rows * columns > limits.cells:
        raise UnreadableFileError(
            f"The table spans {rows:,} rows by {columns:,} columns; more than {limits.cells:,} cells are not read.",
            code="too_many_cells",
        )
