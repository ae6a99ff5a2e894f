"""Numbers that addresses hold, bounded once for all routes: ids of rows, pages of lists.

Databases take no larger numbers than their columns, so an address could bring a page down that only looks one up.
"""

from typing import Annotated

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticCustomError

NO_SUCH_ROW, UNKNOWN_VIEW = "no_such_row", "unknown_view"
MOST_ID = 2**31 - 1
"""What the INTEGER columns of PostgreSQL hold, the smaller of our databases."""
MOST_PAGES = 10**9


def row_id(text: str) -> int | None:
    """The id that a form or an address holds as text; None for what can be none."""
    number = _whole(text)
    return number if number is not None and number <= MOST_ID else None


def _row_id(sent: object) -> int:
    number = row_id(str(sent))
    if number is None:
        raise PydanticCustomError(NO_SUCH_ROW, "There is no page at this address.")
    return number


def _page(sent: object) -> int:
    number = _whole(str(sent))
    if number is None or not 1 <= number <= MOST_PAGES:
        asked = str(sent)[:40]
        raise PydanticCustomError(UNKNOWN_VIEW, '"{asked}" is no page of a list; pages count from 1.', {"asked": asked})
    return number


def _whole(text: str) -> int | None:
    """The digits as a number, None for all else; more than any bound has are not read at all."""
    return int(text) if text.isdecimal() and len(text) <= len(str(MOST_ID)) else None


RowId = Annotated[int, Field(ge=0, le=MOST_ID), BeforeValidator(_row_id)]
"""The id of a row, or the number of a revision or step, in a path or query: 404 where none can have it."""
PageNumber = Annotated[int, Field(ge=1, le=MOST_PAGES), BeforeValidator(_page)]
"""A page of a list, from 1 on: 400 for all else. Past the end lists show their last page."""
