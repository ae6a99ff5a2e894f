"""The start page: what to do next, for each role, from what is stored."""

from collections import Counter
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.desk import actions
from webapp.desk.drafts import own_open_drafts
from webapp.store import portfolio
from webapp.store.portfolio import PortfolioLine, PortfolioView
from webapp.trade.people import Person, Role
from webapp.web.deps import CurrentPerson, Reads
from webapp.web.pages.portfolio import Line
from webapp.web.rendering import render
from webapp.web.wording import number, plural

router = APIRouter()

PRODUCTS_SHOWN = 8


@dataclass(frozen=True, slots=True)
class Task:
    """Something that waits: in words, with the address where it is done and what the link says."""

    words: str
    link: str
    href: str


@router.get("/", response_class=HTMLResponse)
def start(request: Request, person: CurrentPerson, reads: Reads) -> Response:
    """What waits for the person; who only manages begins with the portfolio."""
    if person.has(Role.MANAGER) and not person.has(Role.ENGINEER, Role.REVIEWER, Role.ADMINISTRATOR):
        return RedirectResponse("/portfolio", status_code=303)
    with reads() as session:
        lines = portfolio.find_products(session, PortfolioView())
        context = {
            "roles": person.roles,
            "products": len(lines),
            "tasks": _tasks(session, person, lines),
            "turns": [Line(line) for line in lines if line.who and person.has(Role(line.who))][:PRODUCTS_SHOWN],
        }
    return render(request, "start/page.html", context)


def _tasks(session: Session, person: Person, lines: list[PortfolioLine]) -> list[Task]:
    found: list[Task] = []
    if person.has(Role.ENGINEER):
        found += _of_engineer(session, person, lines)
    if person.has(Role.REVIEWER):
        found += _of_reviewer(lines)
    counts = actions.counts(session, person)
    if counts["mine"]:
        late = f"; {counts['overdue']} overdue over all people" if counts["overdue"] else ""
        found.append(
            Task(f"{plural(counts['mine'], 'action')} of yours to do{late}", "Your actions", "/actions?show=mine")
        )
    elif counts["overdue"]:
        found.append(Task(f"{plural(counts['overdue'], 'action')} overdue", "Overdue actions", "/actions?show=overdue"))
    return found


def _of_engineer(session: Session, person: Person, lines: list[PortfolioLine]) -> list[Task]:
    drafts = len(own_open_drafts(session, person))
    steps = Counter(line.counters.next_step.key for line in lines)
    stale = sum(1 for line in lines if line.counters.has_route and (line.counters.stale or not line.counters.assessed))
    wanting = sum(line.counters.wanting for line in lines)
    every = (
        (drafts, f"{plural(drafts, 'upload')} of yours to be finished", "Uploads", "/uploads"),
        (steps["route"], _products(steps["route"], "without a candidate route"), "Portfolio", "/portfolio?gate=none"),
        (stale, _products(stale, "being assessed again"), "Portfolio", "/portfolio"),
        (wanting, f"{plural(wanting, 'finding')} that a missing datum would settle", "Data wanted", "/wanted"),
        (steps["carry-out"], _products(steps["carry-out"], "with a planned change"), "Planned", "/review?show=decided"),
        (steps["refused"], _products(steps["refused"], "held up by a refusal"), "Refused", "/review?show=refused"),
    )
    return [Task(words, link, href) for count, words, link, href in every if count]


def _products(count: int, what: str) -> str:
    return f"{plural(count, 'product')} {what}"


def _of_reviewer(lines: list[PortfolioLine]) -> list[Task]:
    reopened = sum(line.counters.reopened for line in lines)
    waiting = sum(line.counters.waiting for line in lines)
    found = []
    if reopened:
        words = f"{plural(reopened, 'finding')} open again after a decision"
        found.append(Task(words, "Open again", "/review?show=reopened"))
    if waiting:
        products = sum(1 for line in lines if line.counters.waiting)
        words = f"{number(waiting)} findings waiting in {plural(products, 'product')}"
        found.append(Task(words, "Review queue", "/review"))
    return found
