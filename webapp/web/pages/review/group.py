"""One part (or one check, for what is about no single part) with what waits about it in all products."""

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.checks.declare import registry
from webapp.checks.findings import PART_SUBJECT
from webapp.desk import review
from webapp.desk.reauth import may_sign_until
from webapp.desk.review import QueueView, Show
from webapp.desk.sessions import SignedIn
from webapp.settings import Settings
from webapp.trade.decisions import DecisionKind
from webapp.trade.people import Role
from webapp.web.deps import AppSettings, CurrentSession, Reads
from webapp.web.pages.review.common import Asked, AskedQueue, just_signed, points
from webapp.web.rendering import render

router = APIRouter(prefix="/review")

MOST_SHOWN = 40
_INPUTS_OPEN = 4
KINDS = [(kind.value, kind.value.capitalize(), kind.meaning) for kind in DecisionKind]
NOTHING_TYPED = {"kind": "", "reason": "", "change": "", "expires_on": "", "lot_limit": ""}


@router.get("/group", response_class=HTMLResponse)
def group_page(
    request: Request,
    signed_in: CurrentSession,
    settings: AppSettings,
    reads: Reads,
    asked: AskedQueue,
    key: str,
    signed: str = "",
    done: str = "",
) -> Response:
    """The findings of the group, and the form to decide on them."""
    asked.view().refuse_others(request.query_params, "key", "signed", "done")
    with reads() as session:
        return show_group(
            request, session, signed_in, settings, asked, key, signed=signed, withdrawn=done == "withdrawn"
        )


def show_group(
    request: Request,
    session: Session,
    signed_in: SignedIn,
    settings: Settings,
    asked: Asked,
    key: str,
    *,
    typed: Mapping[str, str] = NOTHING_TYPED,
    errors: Mapping[str, str] | None = None,
    signed: str = "",
    withdrawn: bool = False,
) -> HTMLResponse:
    """The page; ``typed`` and ``errors`` when the form did not hold."""
    person = signed_in.person
    found = review.findings_of_group(session, key, asked.queue, MOST_SHOWN + 1)
    entries = points(session, person, settings, found[:MOST_SHOWN])
    group = review.queue(session, asked.queue, 0, 2)[0]
    following = next((other for other in group if other.key != key), None)
    first = entries[0] if entries else None
    part_id = first.row.parts[0][0] if first and key.startswith(PART_SUBJECT) and first.row.parts else None
    context: dict[str, Any] = {
        "key": key,
        "title": _title(session, key),
        "part_href": f"/parts/{part_id}" if part_id else None,
        "check": None if key.startswith(PART_SUBJECT) or first is None else first.check,
        "entries": entries,
        "is_cut": len(found) > MOST_SHOWN,
        "inputs_open": len(entries) <= _INPUTS_OPEN,
        "products": len({entry.finding.product_code for entry in entries}),
        "counts": _counts([entry.row.verdict for entry in entries]),
        "signable": [entry for entry in entries if not entry.refusal],
        "asked": asked,
        "back": asked.view().address(page=None),
        "here": asked.group_address(key),
        "following": following,
        "following_href": asked.group_address(following.key) if following else None,
        "may_sign": person.has(Role.REVIEWER),
        "until": may_sign_until(session, signed_in),
        "kinds": KINDS,
        "typed": typed,
        "errors": dict(errors or {}),
        "signed": just_signed(session, person, signed),
        "withdrawn": withdrawn,
    }
    return render(request, "review/group.html", context, status=422 if errors else 200)


def _counts(verdicts: list[str]) -> list[tuple[str, int]]:
    return [(verdict, verdicts.count(verdict)) for verdict in dict.fromkeys(verdicts)]


def _title(session: Session, key: str) -> str:
    """What the group is about, also when nothing of it waits any more."""
    every = review.findings_of_group(session, key, QueueView(show=Show.ALL, as_today=True), 1)
    if not every:
        return key.partition(" ")[2] or key
    row = every[0].row
    known = registry().get(row.check)
    return row.title if key.startswith(PART_SUBJECT) or known is None else known.title
