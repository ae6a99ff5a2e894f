"""Signing: one finding, several at once after a preview, taking over from elsewhere, and taking back.

Whoever has not entered their password within ten minutes is asked for it on a page of its own; what they typed goes
along, and the signature is made once the password is right.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qsl, urlencode, urlsplit

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session, col, select
from starlette.datastructures import FormData

from webapp.checks.declare import registry
from webapp.desk import decisions, reauth, review
from webapp.desk.decisions import MOST_AT_ONCE, NewDecision, Preview, Shown
from webapp.desk.passwords import Passwords
from webapp.desk.reauth import ReauthenticationNeededError
from webapp.desk.sessions import SignedIn
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, NotFoundError, TooManyTriesError
from webapp.settings import Settings
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.engine import Database
from webapp.store.products import ProductRow
from webapp.trade.decisions import DecisionKind
from webapp.trade.people import Role
from webapp.web.addresses import local_address
from webapp.web.deps import AppDatabase, AppPasswords, AppSettings, CurrentSession, Reads, require_role
from webapp.web.numbers import row_id
from webapp.web.pages.review.common import FILTERS, Asked, AskedQueue, asked_of, mark_of, shown_of
from webapp.web.pages.review.finding import show_finding
from webapp.web.pages.review.group import KINDS, NOTHING_TYPED, show_group
from webapp.web.pages.uploads.common import SentForm, text_of
from webapp.web.rendering import go_to, render

router = APIRouter(prefix="/review", dependencies=[Depends(require_role(Role.REVIEWER))])

_FIELDS = tuple(NOTHING_TYPED)


@dataclass(frozen=True, slots=True)
class Sent:
    """A form as it was sent. ``confirmed``: the preview of several was shown; ``take``: a decision to take over."""

    typed: dict[str, str]
    shown: list[Shown]
    back: str
    key: str = ""
    seen: str = ""
    confirmed: bool = False
    take: str = ""
    password: str = ""

    @classmethod
    def of(cls, form: FormData) -> "Sent":
        """The form read."""
        marks = [value for value in form.getlist("shown") if isinstance(value, str)]
        return cls(
            typed={name: text_of(form, name) for name in _FIELDS},
            shown=shown_of(marks),
            back=local_address(text_of(form, "back") or "/review"),
            key=text_of(form, "key"),
            seen=text_of(form, "seen"),
            confirmed=text_of(form, "confirmed") == "yes",
            take=text_of(form, "take"),
            password=text_of(form, "password"),
        )

    def hidden(self) -> list[tuple[str, str]]:
        """The form again, for the page that asks the password."""
        fields = [*self.typed.items(), ("back", self.back), ("key", self.key), ("seen", self.seen), ("take", self.take)]
        fields += [("confirmed", "yes")] if self.confirmed else []
        return [(name, value) for name, value in fields if value] + [("shown", mark_of(one)) for one in self.shown]

    def new(self) -> NewDecision:
        """The decision as typed; InvalidInputError without a kind."""
        kind = self.typed["kind"]
        if kind not in {known.value for known in DecisionKind}:
            raise InvalidInputError("Choose what you decide.", field="kind")
        rest = {name: value for name, value in self.typed.items() if name != "kind"}
        return NewDecision(DecisionKind(kind), **rest)

    def asked(self) -> Asked:
        """The selection that the form was made from."""
        query = dict(parse_qsl(urlsplit(self.back).query))
        texts: dict[str, Any] = {name: query[name] for name in FILTERS if name in query}
        return asked_of(**texts)


@router.get("/bulk", response_class=HTMLResponse)
def bulk_page(
    request: Request, signed_in: CurrentSession, settings: AppSettings, reads: Reads, asked: AskedQueue
) -> Response:
    """All findings of a selection, with the form to decide on those that may be signed at once."""
    asked.view().refuse_others(request.query_params)
    with reads() as session:
        shown = [Shown(*mark) for mark in review.all_shown(session, asked.queue, MOST_AT_ONCE)]
        found = decisions.preview(session, signed_in.person, settings, shown)
        sent = Sent(dict(NOTHING_TYPED), shown, asked.view().address(page=None))
        return _show_preview(request, session, sent, found)


@router.post("/sign", response_class=HTMLResponse)
def sign(
    request: Request,
    signed_in: CurrentSession,
    database: AppDatabase,
    passwords: AppPasswords,
    settings: AppSettings,
    form: SentForm,
) -> Response:
    """Sign: one finding, several after a preview, or what was decided elsewhere."""
    signer = _Signer(request, signed_in, database, passwords, settings, Sent.of(form))
    return signer.answer()


@router.post("/withdraw")
def withdraw(request: Request, signed_in: CurrentSession, database: AppDatabase, form: SentForm) -> Response:
    """Take a decision back."""
    decision_id = row_id(text_of(form, "decision"))
    if decision_id is None:
        raise NotFoundError("There is no such decision.")
    with database.command() as session:
        decisions.withdraw(session, signed_in.person, decision_id)
    return go_to(request, _with(local_address(text_of(form, "back") or "/review"), done="withdrawn"))


@dataclass(frozen=True, slots=True)
class _Signer:
    """One form on its way: to a signature, or back to the person with what is missing."""

    request: Request
    signed_in: SignedIn
    database: Database
    passwords: Passwords
    settings: Settings
    sent: Sent

    def answer(self) -> Response:
        """The answer to the form."""
        sent = self.sent
        if not sent.take and not sent.shown:
            return self._nothing_chosen()
        if len(sent.shown) > 1 and not sent.confirmed:
            return self._first_look()
        try:
            if sent.password:
                reauth.reauthenticate(self.database, self.passwords, self.signed_in, sent.password)
            number = self._signed()
        except ReauthenticationNeededError:
            return self._ask(None)
        except TooManyTriesError as error:
            return self._ask(error)
        except (InvalidInputError, ConflictError) as error:
            return self._ask(error) if error.field == "password" else self._again(error)
        return go_to(self.request, _with(sent.back, signed=str(number)))

    def _signed(self) -> int | None:
        sent = self.sent
        with self.database.command() as session:
            if sent.take:
                taken = row_id(sent.take) or 0
                row = decisions.take_over(session, self.signed_in, self.settings, taken, sent.shown[0])
            else:
                row = decisions.sign(session, self.signed_in, self.settings, sent.new(), sent.shown)
            return row.id

    def _nothing_chosen(self) -> Response:
        errors = {"shown": "Tick at least one finding."}
        if not self.sent.key:
            raise InvalidInputError(errors["shown"], field="shown")
        with self.database.read() as session:
            asked = self.sent.asked()
            return show_group(
                self.request,
                session,
                self.signed_in,
                self.settings,
                asked,
                self.sent.key,
                typed=self.sent.typed,
                errors=errors,
            )

    def _first_look(self) -> Response:
        with self.database.read() as session:
            found = decisions.preview(session, self.signed_in.person, self.settings, self.sent.shown)
            return _show_preview(self.request, session, self.sent, found)

    def _ask(self, error: MeltlineError | None) -> Response:
        what = "1 finding" if len(self.sent.shown) == 1 else f"{len(self.sent.shown)} findings"
        context = {
            "hidden": self.sent.hidden(),
            "typed": self.sent.typed,
            "what": what,
            "back": self.sent.back,
            "errors": {"password": error.message} if error else {},
        }
        return render(self.request, "review/password.html", context, status=error.status if error else 200)

    def _again(self, error: MeltlineError) -> Response:
        """The page the form was on, as it is now, with what was typed."""
        sent = self.sent
        with self.database.read() as session:
            if len(sent.shown) > 1:
                found = decisions.preview(session, self.signed_in.person, self.settings, sent.shown)
                return _show_preview(self.request, session, sent, found, error)
            try:
                return show_finding(
                    self.request,
                    session,
                    self.signed_in,
                    self.settings,
                    sent.shown[0].finding_id,
                    back=sent.back,
                    typed=sent.typed,
                    error=error,
                    seen=sent.seen,
                )
            except NotFoundError as gone:
                raise ConflictError(f"Nothing was signed. {gone.message}") from error


def _show_preview(
    request: Request, session: Session, sent: Sent, found: Preview, error: MeltlineError | None = None
) -> HTMLResponse:
    """How many would be signed, which not and why, and the form."""
    names = _products(session, [*found.allowed, *(refused.finding for refused in found.refused)])
    titles = {check.id: check.title for check in registry().values()}
    context: dict[str, Any] = {
        "allowed": found.allowed,
        "refused": found.refused,
        "reasons": list(found.reasons.items()),
        "total": len(found.allowed) + len(found.refused) + found.gone,
        "gone": found.gone,
        "most": MOST_AT_ONCE,
        "names": names,
        "titles": titles,
        "marks": [mark_of(one) for one in found.shown],
        "sent": sent,
        "typed": sent.typed,
        "kinds": KINDS,
        "errors": {error.field: error.message} if error and error.field else {},
        "conflict": error.message if error and not error.field else "",
    }
    return render(request, "review/bulk.html", context, status=error.status if error else 200)


def _products(session: Session, rows: Sequence[FindingRow]) -> dict[int, str]:
    """Case id -> the product's code."""
    query = select(AssessmentCaseRow.id, ProductRow.code).join(ProductRow)
    found = session.exec(query.where(col(AssessmentCaseRow.id).in_({row.case_id for row in rows})))
    return {case_id or 0: code for case_id, code in found}


def _with(address: str, **more: str) -> str:
    """The address with more of a query; what was said before goes."""
    parts = urlsplit(address)
    query = [pair for pair in parse_qsl(parts.query) if pair[0] not in ("signed", "done")]
    return f"{parts.path}?{urlencode([*query, *more.items()])}"
