"""The start page: what to do next."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.web.deps import CurrentPerson
from webapp.web.rendering import render

router = APIRouter()


@router.get("/", response_class=HTMLResponse)
def start(request: Request, person: CurrentPerson) -> HTMLResponse:
    """What the person can do, by role."""
    return render(request, "start/page.html", {"roles": person.roles})
