"""The queue: what waits for a decision over all products, part by part."""

from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.desk import review, sheets
from webapp.desk.review import Group
from webapp.trade.decisions import BULK_VERDICTS, OPEN_VERDICTS
from webapp.trade.people import Person, Role
from webapp.web.deps import CurrentPerson, Reads
from webapp.web.downloads import Format
from webapp.web.lists import as_file, paged, windowed
from webapp.web.pages.review.common import TODAY_TOO, Asked, AskedQueue, filter_options, just_signed
from webapp.web.paging import chosen
from webapp.web.rendering import render

router = APIRouter(prefix="/review")

HEAD = ("Gravest", "About", "Kind", "Findings", "Products", "Placements")


@router.get("", response_class=HTMLResponse)
def queue_page(
    request: Request,
    person: CurrentPerson,
    reads: Reads,
    asked: AskedQueue,
    form: Annotated[str, Query(alias="format")] = "page",
    signed: str = "",
    done: str = "",
) -> Response:
    """The parts and checks with findings, gravest first; or the same as a file."""
    asked.view().refuse_others(request.query_params, "format", "signed", "done")
    shape = chosen(Format, form, "format")
    with reads() as session:
        if shape is not Format.PAGE:
            return _taken_away(session, asked, shape)
        return _page(request, session, person, asked, signed, done)


def _page(request: Request, session: Session, person: Person, asked: Asked, signed: str, done: str) -> HTMLResponse:
    groups, window = windowed(asked.page, lambda offset, size: review.queue(session, asked.queue, offset, size))
    counts = review.counts(session, asked.queue)
    context = {
        "groups": groups,
        "counts": [(verdict, counts[verdict]) for verdict in OPEN_VERDICTS],
        "total": counts[asked.queue.verdict or "total"],
        "asked": asked,
        "today_too": TODAY_TOO,
        "options": filter_options(session),
        "may_sign": person.has(Role.REVIEWER),
        "bulk": _bulk(asked, counts) if person.has(Role.REVIEWER) else [],
        "signed": just_signed(session, person, signed),
        "withdrawn": done == "withdrawn",
        **paged(asked.view(), window),
    }
    return render(request, "review/queue.html", context)


def _bulk(asked: Asked, counts: dict[str, int]) -> list[tuple[str, int, str]]:
    """Verdict, count and address of deciding on all of it at once."""
    verdicts = [asked.queue.verdict] if asked.queue.verdict else BULK_VERDICTS
    address = asked.view("/review/bulk")
    return [
        (verdict, counts[verdict], address.address(verdict=verdict, page=None))
        for verdict in verdicts
        if verdict in BULK_VERDICTS and counts[verdict]
    ]


def _taken_away(session: Session, asked: Asked, shape: Format) -> Response:
    rows = [_cells(group) for group in review.queue(session, asked.queue, 0, 10_000)[0]]
    return as_file(shape, "review", HEAD, rows, sheet="Review")


def _cells(group: Group) -> list[sheets.Cell]:
    kind = "part" if group.is_part else "check"
    return [group.verdict, group.title, kind, group.findings, group.products, group.placements]
