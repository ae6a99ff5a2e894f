"""The ledger, for administrators: who did what, in order, with filters, in pages and to take away."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from webapp.store import ledger
from webapp.store.ledger import LedgerEntryRow, LedgerView
from webapp.trade.ledger import EntryKind
from webapp.web.deps import Administrator, Reads
from webapp.web.downloads import Format
from webapp.web.lists import as_file, paged, windowed
from webapp.web.numbers import PageNumber
from webapp.web.paging import UnknownViewError, View, chosen
from webapp.web.rendering import render

router = APIRouter(prefix="/audit")

HEAD = ("Number", "At", "By", "What", "Subject", "Detail", "Previous hash", "Hash")
_PATH = "/audit"
# Not XLSX: its cells would cut the longest details.
FORMATS = (Format.PAGE, Format.CSV)


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry as the page shows it: ``detail`` as (name, value) in words."""

    row: LedgerEntryRow
    detail: list[tuple[str, str]]


@router.get("", response_class=HTMLResponse)
def audit_page(
    request: Request,
    _admin: Administrator,
    reads: Reads,
    by: str = "",
    kind: str = "",
    q: str = "",
    since: str = "",
    until: str = "",
    page: PageNumber = 1,
    format: str = "page",  # noqa: A002  (the word in the address)
) -> Response:
    """The entries that the address asks for, the newest first."""
    wanted = _view(by, kind, q, since, until)
    shape = chosen(Format, format, "format", FORMATS)
    if shape is not Format.PAGE:
        with reads() as session:
            every, _ = ledger.find_entries(session, wanted)
        return as_file(shape, "ledger", HEAD, _csv_rows(every))
    with reads() as session:
        rows, window = windowed(page, lambda offset, size: ledger.find_entries(session, wanted, offset, size))
        people = ledger.actors(session)
    query: dict[str, str | int] = {
        "by": by,
        "kind": kind,
        "q": q,
        "since": since,
        "until": until,
        "page": window.number,
    }
    view = View(_PATH, query, {"page": 1})
    view.refuse_others(request.query_params, "format")
    context = {
        "entries": [Entry(row, list(_words(row.fields))) for row in rows],
        **paged(view, window),
        "csv": view.address(format="csv", page=None),
        "typed": query,
        "people": [("", "everybody"), *((login, login) for login in people)],
        "kinds": [("", "everything"), *((kind.value, kind.value) for kind in EntryKind)],
        "filtered": any(value for name, value in query.items() if name != "page"),
    }
    return render(request, "audit/page.html", context)


def _view(by: str, kind: str, search: str, since: str, until: str) -> LedgerView:
    if kind:
        chosen(EntryKind, kind, "kind of entry")
    last = _day(until)
    return LedgerView(by, kind, search, _day(since), last + timedelta(days=1) if last else None)


def _day(text: str) -> datetime | None:
    if not text:
        return None
    try:
        return datetime.combine(date.fromisoformat(text), time(), UTC)
    except ValueError:
        raise UnknownViewError(f'"{text[:40]}" is no date like 2027-05-31.') from None


def _words(fields: dict[str, object]) -> Iterator[tuple[str, str]]:
    for name, value in fields.items():
        if isinstance(value, list):
            yield name.replace("_", " "), f"{len(value)}"
        elif value not in (None, ""):
            yield name.replace("_", " "), str(value)


def _csv_rows(rows: list[LedgerEntryRow]) -> Iterator[tuple[str | int, ...]]:
    for row in rows:
        at = row.at.isoformat(timespec="seconds")
        yield row.number, at, row.actor, row.kind, row.subject, row.detail, row.previous_hash, row.hash
