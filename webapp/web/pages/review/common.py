"""What the review pages share: which findings an address asks for, a finding as a row, what was just signed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends
from sqlmodel import Session

from webapp.checks.declare import registry
from webapp.desk import decisions
from webapp.desk.deciding import Signed, same_elsewhere
from webapp.desk.decisions import Shown
from webapp.desk.review import QueueFinding, QueueView, Show
from webapp.settings import Settings
from webapp.store import portfolio, product_reads
from webapp.store.cases import FindingRow
from webapp.store.decisions import DecisionRow, covers
from webapp.trade.decisions import OPEN_VERDICTS, DecisionKind
from webapp.trade.people import Person, Role
from webapp.web.numbers import PageNumber, row_id
from webapp.web.pages.product_tabs.finding_view import Judged
from webapp.web.pages.products import product_address
from webapp.web.paging import UnknownViewError, View, chosen

SHOW_NAMES = {
    Show.WAITING: "Waiting for a decision",
    Show.REOPENED: "Open again after a decision",
    Show.REFUSED: "Refused",
    Show.DECIDED: "Accepted, or a change planned",
    Show.ALL: "All of these",
}
KIND_DONE = {
    DecisionKind.ACCEPT: "accepted",
    DecisionKind.RESOLVED: "to be settled by a planned change",
    DecisionKind.REFUSE: "refused",
}
TODAY_TOO = "too"
FILTERS = ("show", "verdict", "check", "product", "label", "customer", "owner", "q", "today")
_DEFAULTS: dict[str, str | int] = {"show": Show.WAITING.value, "page": 1}


@dataclass(frozen=True, slots=True)
class Asked:
    """What an address asks to see of the queue."""

    queue: QueueView
    page: int = 1

    @property
    def query(self) -> dict[str, str | int]:
        """The query of the address."""
        view = self.queue
        return {
            "show": view.show.value,
            "verdict": view.verdict,
            "check": view.check,
            "product": view.product,
            "label": view.label,
            "customer": view.customer,
            "owner": view.owner,
            "q": view.search,
            "today": TODAY_TOO if view.as_today else "",
            "page": self.page,
        }

    def view(self, path: str = "/review", **more: str | int) -> View:
        """The address again; ``more`` for another page of the same findings."""
        return View(path, {**self.query, **more}, _DEFAULTS)

    def group_address(self, key: str) -> str:
        """The address of one group of these findings."""
        return self.view("/review/group", key=key).address(page=None)

    @property
    def is_filtered(self) -> bool:
        """Whether fewer are shown than wait."""
        return self.queue not in (QueueView(), QueueView(as_today=True))

    def sentence(self) -> str:
        """The selection in words."""
        view, known = self.queue, registry().get(self.queue.check)
        words = [SHOW_NAMES[view.show]]
        words += [f"verdict “{view.verdict}”"] if view.verdict else []
        words += [f"check “{known.title}”"] if known else []
        words += [f"product {view.product}"] if view.product else []
        words += [f"label “{view.label}”"] if view.label else []
        words += [f"customer “{view.customer}”"] if view.customer else []
        words += [f"owner {view.owner}"] if view.owner else []
        words += [f"with “{view.search}”"] if view.search else []
        return ", ".join(words)


def asked_of(
    show: str = Show.WAITING.value,
    verdict: str = "",
    check: str = "",
    product: str = "",
    label: str = "",
    customer: str = "",
    owner: str = "",
    q: str = "",
    today: str = "",
    page: PageNumber = 1,
) -> Asked:
    """The queue's filters from the address; UnknownViewError for what there is not."""
    if verdict and verdict not in OPEN_VERDICTS:
        raise UnknownViewError(f'"{verdict[:40]}" is no verdict to decide on; there are: {", ".join(OPEN_VERDICTS)}.')
    if check and check not in registry():
        raise UnknownViewError(f'"{check[:40]}" is no check.')
    if today not in ("", TODAY_TOO):
        raise UnknownViewError(f'"{today[:40]}" is no choice for "today"; there is: {TODAY_TOO}.')
    view = QueueView(
        show=chosen(Show, show, "selection of findings"),
        verdict=verdict,
        check=check,
        product=product.strip(),
        label=label.strip(),
        customer=customer.strip(),
        owner=owner.strip(),
        search=" ".join(q.split()),
        as_today=bool(today),
    )
    return Asked(view, page)


AskedQueue = Annotated[Asked, Depends(asked_of)]


def filter_options(session: Session) -> dict[str, list[tuple[str, str]]]:
    """What the filters offer: name -> (value, words)."""
    products = product_reads.product_codes(session)
    every = {
        "show": [(show.value, name) for show, name in SHOW_NAMES.items()],
        "verdict": [("", "Any"), *((name, name) for name in OPEN_VERDICTS)],
        "check": [("", "Any"), *sorted(((c.id, c.title) for c in registry().values()), key=lambda item: item[1])],
        "product": [("", "All"), *((code, f"{code} {name}") for code, name in products)],
    }
    return every | {name: [("", "All"), *found] for name, found in portfolio.choices(session).items() if found}


@dataclass(frozen=True, slots=True)
class Point(Judged):
    """A finding as the review pages show it.

    ``refusal``: why the person may not sign it, "" if they may; ``offers``: decisions on the same inputs elsewhere.
    """

    finding: QueueFinding
    refusal: str
    offers: tuple[Signed, ...] = ()

    @property
    def href(self) -> str:
        """The address of the page that decides on it."""
        return f"/review/finding/{self.row.id}"

    @property
    def product_href(self) -> str:
        """The address of its product."""
        return product_address(self.finding.product_code)

    @property
    def finding_href(self) -> str:
        """The address of all that it rests on."""
        return f"{self.product_href}/findings/{self.row.id}"

    @property
    def mark(self) -> str:
        """What a form sends of it: id and the inputs that were shown."""
        return mark_of(Shown(self.row.id or 0, self.row.fingerprint))


def points(session: Session, person: Person, settings: Settings, findings: Sequence[QueueFinding]) -> list[Point]:
    """The findings with what ``person`` may do about each; a few queries for all."""
    refusals = refusals_of(session, person, settings, [finding.row for finding in findings])
    offers = same_elsewhere(session, [finding.row for finding in findings])
    return [
        Point(finding.row, finding, refusals.get(finding.row.id or 0, ""), offers[finding.row.id or 0])
        for finding in findings
    ]


def refusals_of(session: Session, person: Person, settings: Settings, rows: Sequence[FindingRow]) -> Mapping[int, str]:
    """Finding id -> why ``person`` may not sign it; those they may sign are left out."""
    if not person.has(Role.REVIEWER):
        return {row.id or 0: "Signing needs the role reviewer." for row in rows}
    shown = [Shown(row.id or 0, row.fingerprint) for row in rows]
    found = decisions.preview(session, person, settings, shown, bulk=False)
    return {refused.finding.id or 0: refused.reason for refused in found.refused}


def mark_of(shown: Shown) -> str:
    """A finding and its inputs as a form field takes them."""
    return f"{shown.finding_id}.{shown.fingerprint}"


def shown_of(marks: Sequence[str]) -> list[Shown]:
    """Read back what ``mark_of`` wrote; what does not read as that is left out."""
    found = {}
    for mark in marks:
        number, _, fingerprint = mark.partition(".")
        finding_id = row_id(number)
        if finding_id is not None and len(fingerprint) == 64:
            found[finding_id] = Shown(finding_id, fingerprint)
    return list(found.values())


@dataclass(frozen=True, slots=True)
class JustSigned:
    """A decision that the person has just signed, for the message with "Undo"."""

    decision: DecisionRow
    findings: int

    @property
    def words(self) -> str:
        """What was done."""
        count = "1 finding" if self.findings == 1 else f"{self.findings} findings"
        return f"Signed: {count} {KIND_DONE[DecisionKind(self.decision.kind)]}."


def just_signed(session: Session, person: Person, text: str) -> JustSigned | None:
    """The decision whose number stands in the address, if ``person`` signed it and it stands."""
    decision_id = row_id(text)
    row = None if decision_id is None else session.get(DecisionRow, decision_id)
    if row is None or row.signed_by != person.id or row.withdrawn_at is not None:
        return None
    return JustSigned(row, len(covers(session, row.id or 0)))
