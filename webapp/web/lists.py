"""What pages with lists share: one page of the rows with the way to the others, and all of them as a file."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar

from fastapi import Response

from webapp.desk import sheets
from webapp.web.downloads import CSV, XLSX, Format, attachment
from webapp.web.paging import PAGE_SIZE, View, Window

Item = TypeVar("Item")


def windowed(page: int, find: Callable[[int, int], tuple[Sequence[Item], int]]) -> tuple[Sequence[Item], Window]:
    """The rows of a page (from 1 on, see ``numbers.PageNumber``) and where it stands; past the end the last page.

    ``find`` gives the rows from an offset on, at most so many, and how many there are in all.
    """
    asked = Window.at(page, page * PAGE_SIZE)
    rows, total = find(asked.offset, asked.size)
    window = Window.at(page, total)
    if window.offset != asked.offset:
        rows, total = find(window.offset, window.size)
    return rows, window


def paged(view: View, window: Window) -> dict[str, Any]:
    """What a list's template takes: its address, where it stands, the pages before and after."""
    return {
        "view": view,
        "window": window,
        "previous": view.address(page=window.previous) if window.previous else None,
        "following": view.address(page=window.following) if window.following else None,
    }


def as_file(
    shape: Format, name: str, head: Sequence[str], rows: Iterable[Sequence[sheets.Cell]], *, sheet: str = ""
) -> Response:
    """The rows as a file of that name, CSV or XLSX; ``sheet`` names the sheet where it is called otherwise."""
    if shape is Format.CSV:
        return attachment(sheets.to_csv(head, rows), f"{name}.csv", CSV)
    return attachment(sheets.to_xlsx(sheet or name, head, rows), f"{name}.xlsx", XLSX)
