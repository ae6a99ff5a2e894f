"""One finding for deciding on it: what it rests on, what was signed before, and the form."""

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.desk import deciding
from webapp.desk.reauth import may_sign_until
from webapp.desk.sessions import SignedIn
from webapp.errors import MeltlineError
from webapp.settings import Settings
from webapp.trade.people import Role
from webapp.web.addresses import local_address
from webapp.web.deps import AppSettings, CurrentSession, Reads
from webapp.web.numbers import RowId
from webapp.web.pages.product_tabs.finding_view import why_words
from webapp.web.pages.review.common import Point, just_signed, refusals_of
from webapp.web.pages.review.group import KINDS, NOTHING_TYPED
from webapp.web.rendering import render

router = APIRouter(prefix="/review")


@router.get("/finding/{finding_id}", response_class=HTMLResponse)
def finding_page(
    request: Request,
    signed_in: CurrentSession,
    settings: AppSettings,
    reads: Reads,
    finding_id: RowId,
    back: str = "/review",
    signed: str = "",
    done: str = "",
) -> Response:
    """The finding with the form."""
    with reads() as session:
        return show_finding(
            request, session, signed_in, settings, finding_id, back=back, signed=signed, withdrawn=done == "withdrawn"
        )


def show_finding(
    request: Request,
    session: Session,
    signed_in: SignedIn,
    settings: Settings,
    finding_id: int,
    *,
    back: str,
    typed: Mapping[str, str] = NOTHING_TYPED,
    error: MeltlineError | None = None,
    seen: str = "",
    signed: str = "",
    withdrawn: bool = False,
) -> HTMLResponse:
    """The page; ``error`` when the form did not hold or the finding has changed since ``seen`` was on the screen."""
    person = signed_in.person
    page = deciding.finding_page(session, person, settings, finding_id)
    row = page.finding.row
    refusal = refusals_of(session, person, settings, [row]).get(finding_id, "")
    context: dict[str, Any] = {
        "page": page,
        "entry": Point(row, page.finding, refusal, page.elsewhere),
        "row": row,
        "why": why_words(row),
        "back": local_address(back),
        "may_sign": person.has(Role.REVIEWER),
        "until": may_sign_until(session, signed_in),
        "kinds": KINDS,
        "typed": typed,
        "errors": {error.field: error.message} if error and error.field else {},
        "conflict": error.message if error and not error.field else "",
        "seen": seen,
        "signed": just_signed(session, person, signed),
        "withdrawn": withdrawn,
    }
    return render(request, "review/finding.html", context, status=error.status if error else 200)
