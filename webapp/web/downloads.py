"""Files to take away."""

from enum import StrEnum
from urllib.parse import quote

from fastapi import Response

CSV = "text/csv; charset=utf-8"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
BYTES = "application/octet-stream"


class Format(StrEnum):
    """In which form a list is given."""

    PAGE = "page"
    CSV = "csv"
    XLSX = "xlsx"


def attachment(content: bytes, filename: str, media_type: str) -> Response:
    """``content`` as a file that the browser saves and never shows, whatever is in it."""
    plain = "".join(char if char.isascii() and char.isprintable() and char not in '"\\/%' else "_" for char in filename)
    disposition = f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(filename, safe='')}"
    return Response(content, media_type=media_type, headers={"Content-Disposition": disposition})
