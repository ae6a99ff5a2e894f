"""The start page: what to do next."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.desk.drafts import own_open_drafts
from webapp.trade.people import Role
from webapp.web.deps import CurrentPerson, Reads
from webapp.web.rendering import render

router = APIRouter()


@router.get("/", response_class=HTMLResponse)
def start(request: Request, person: CurrentPerson, reads: Reads) -> HTMLResponse:
    """What the person can do, by role, and what of theirs waits to be finished."""
    with reads() as session:
        waiting = len(own_open_drafts(session, person)) if person.has(Role.ENGINEER) else 0
    return render(request, "start/page.html", {"roles": person.roles, "waiting": waiting})
