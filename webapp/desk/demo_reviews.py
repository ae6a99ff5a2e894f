"""How far the demo's review has come: signed, stale, refused, owed and done, as seed_data/reviews.toml describes it.

Everything goes the way of the people: the reviewer signs in, enters the password and signs what is on the screen; the
engineer describes products, states a value afterwards and adds actions. Days count from the day of loading.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from typing import Annotated, Literal

import msgspec
import structlog
from sqlmodel import Session, select

from webapp.desk import actions, cases, decisions, parts, portfolio, reauth, sessions
from webapp.desk.actions import ActionForm
from webapp.desk.decisions import NewDecision, Shown
from webapp.desk.demo import DEMO_PEOPLE
from webapp.desk.demo_products import ENGINEER, DemoValue
from webapp.desk.parts import ValueSource
from webapp.desk.passwords import Passwords
from webapp.desk.portfolio import ProductForm
from webapp.desk.sessions import SignedIn, SignInRequest
from webapp.desk.sweep import keep_day, sweep
from webapp.errors import MeltlineError, NotFoundError
from webapp.resources import resource_dir
from webapp.settings import Settings
from webapp.store import part_reads, people, product_reads
from webapp.store.actions import ActionRow
from webapp.store.decisions import DecisionRow
from webapp.store.engine import Database
from webapp.store.products import ProductRow
from webapp.trade.decisions import DecisionKind, today
from webapp.trade.part_keys import part_key
from webapp.trade.people import Person

REVIEWER = "ruben"
"""Login of the demo account that signs."""

_log = structlog.get_logger()


class _Table(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A table of the file; a misspelt name is an error."""


class DemoGrouping(_Table, frozen=True):
    """What groups a product in the portfolio; ``owner`` a login."""

    code: str
    label: str
    customer: str
    owner: str


class DemoFinding(_Table, frozen=True):
    """One finding: of a product (its code), a check and a verdict, with that title and of that step (counted from 1)
    where there are several.

    ``route`` "": on every candidate route, one on each.
    """

    product: str
    check: str
    verdict: Literal["blocks", "change", "prove"]
    title: str = ""
    step: int | None = None
    route: str = ""


class DemoDecision(_Table, frozen=True):
    """A decision over one or more findings; what blocks stands alone."""

    kind: DecisionKind
    reason: str
    covers: Annotated[tuple[DemoFinding, ...], msgspec.Meta(min_length=1)]
    change: str = ""
    expires_in_days: int | None = None
    lot_limit: int | None = None


class DemoAction(_Table, frozen=True):
    """An action, from a finding or free; ``owner`` a login. ``due_in_days`` below 0: overdue."""

    title: str
    owner: str
    note: str = ""
    due_in_days: int | None = None
    finding: DemoFinding | None = None
    done: bool = False


class DemoReviews(_Table, frozen=True):
    """The whole scenario. ``values`` are stated after the decisions, which makes those that used them stale."""

    products: tuple[DemoGrouping, ...] = msgspec.field(name="product")
    decisions: tuple[DemoDecision, ...] = msgspec.field(name="decision")
    values: tuple[DemoValue, ...] = msgspec.field(name="value")
    actions: tuple[DemoAction, ...] = msgspec.field(name="action")


@dataclass(frozen=True, slots=True)
class ReviewsNotLoaded:
    """Why the demo's review could not be loaded."""

    reason: str

    @property
    def words(self) -> str:
        """The failure in a sentence."""
        return f"The demo's review was not loaded: {self.reason}"


@cache
def demo_reviews() -> DemoReviews:
    """The demo's review as seed_data describes it."""
    content = (resource_dir("seed_data") / "reviews.toml").read_bytes()
    return msgspec.toml.decode(content, type=DemoReviews)


def load_demo_reviews(
    database: Database, settings: Settings, passwords: Passwords, reviews: DemoReviews | None = None
) -> ReviewsNotLoaded | None:
    """Review the demo's products, wholly or not at all, and keep the day's snapshot; why it failed, if it did.

    Nothing happens without the demo's engineer and reviewer, nor once anybody has signed or owes anything: then the
    review is the users' own. What failed is tried again the next time.
    """
    with database.read() as session:
        engineer, reviewer = (_demo_person(session, login) for login in (ENGINEER, REVIEWER))
        begun = any(session.exec(select(row.id).limit(1)).first() for row in (DecisionRow, ActionRow))
    if engineer is None or reviewer is None or begun:
        return None
    try:
        _load(database, settings, passwords, (engineer, reviewer), reviews or demo_reviews())
    except Exception as error:
        # Whatever goes wrong is reported, for the application has to start all the same.
        _log.exception("demo_reviews_not_loaded")
        return ReviewsNotLoaded(
            error.message if isinstance(error, MeltlineError) else f"{type(error).__name__}: {error}"
        )
    sweep(database)
    keep_day(database)
    return None


def _demo_person(session: Session, login: str) -> Person | None:
    row = people.row_by_login(session, login)
    return people.person_from(session, row) if row is not None and row.is_demo and row.active else None


def _load(
    database: Database, settings: Settings, passwords: Passwords, who: tuple[Person, Person], reviews: DemoReviews
) -> None:
    engineer, reviewer = who
    with database.read() as session:
        shown = [_shown(session, decision.covers) for decision in reviews.decisions]
    signed_in = _sign_in(database, settings, passwords, reviewer)
    try:
        reauth.reauthenticate(database, passwords, signed_in, _password(reviewer))
        # One transaction: a start that is interrupted leaves nothing half reviewed.
        with database.command() as session:
            for grouping in reviews.products:
                _describe(session, engineer, grouping)
            for decision, findings in zip(reviews.decisions, shown, strict=True):
                decisions.sign(session, signed_in, settings, _new_decision(decision), findings)
            for action in reviews.actions:
                _add_action(session, engineer, action)
            for value in reviews.values:
                _state(session, engineer, value)
    finally:
        with database.command() as session:
            sessions.sign_out(session, signed_in.session_id)


def _sign_in(database: Database, settings: Settings, passwords: Passwords, person: Person) -> SignedIn:
    request = SignInRequest(person.login, _password(person), "127.0.0.1", on_loopback=True)
    token = sessions.sign_in(database, passwords, settings, request)
    return SignedIn(person, sessions.session_id_of(token))


def _password(person: Person) -> str:
    return next(demo.password for demo in DEMO_PEOPLE if demo.login == person.login)


def _describe(session: Session, engineer: Person, grouping: DemoGrouping) -> None:
    row = _product(session, grouping.code)
    if row.label or row.customer or row.owner_id:
        return
    form = ProductForm(row.name, grouping.label, grouping.customer, grouping.owner)
    portfolio.describe_product(session, engineer, row.id or 0, form, version=row.version)


def _new_decision(decision: DemoDecision) -> NewDecision:
    return NewDecision(
        decision.kind,
        decision.reason,
        decision.change,
        expires_on=_day(decision.expires_in_days),
        lot_limit="" if decision.lot_limit is None else str(decision.lot_limit),
    )


def _add_action(session: Session, engineer: Person, action: DemoAction) -> None:
    form = ActionForm(action.title, action.owner, _day(action.due_in_days), action.note)
    found = _shown(session, (action.finding,))[0].finding_id if action.finding else None
    action_id = actions.add_action(session, engineer, form, finding_id=found)
    if action.done:
        owner = _demo_person(session, action.owner)
        if owner is None:
            raise NotFoundError(f"There is no demo account {action.owner}.")
        version = actions.action_by_id(session, action_id).row.version
        actions.set_done(session, owner, action_id, done=True, version=version)


def _state(session: Session, engineer: Person, value: DemoValue) -> None:
    key = part_key(value.maker, value.mpn)
    part_id = part_reads.ids_by_key(session, [key]).get(key)
    if part_id is None:
        raise NotFoundError(f"There is no part {value.maker} {value.mpn}.")
    source = ValueSource(value.kind, value.reference, value.note)
    parts.state_value(session, engineer, part_id, value.field, value.value, source)


def _shown(session: Session, wanted: Sequence[DemoFinding]) -> list[Shown]:
    """The findings as they stand, with the inputs that a screen would show."""
    return [one for finding in wanted for one in _shown_of(session, finding)]


def _shown_of(session: Session, wanted: DemoFinding) -> list[Shown]:
    product_id = _product(session, wanted.product).id or 0
    entries = [entry for entry in cases.cases_of(session, product_id) if not entry.is_today]
    if wanted.route:
        entries = [entry for entry in entries if entry.name == wanted.route]
    what = f"{wanted.product}, {wanted.check} ({wanted.verdict}) {wanted.title}".rstrip()
    if not entries:
        raise NotFoundError(f'{what}: there is no candidate route "{wanted.route}".')
    shown = []
    for entry in entries:
        found = [
            row
            for row in cases.findings_of(session, entry.id)
            if (row.check, row.verdict) == (wanted.check, wanted.verdict)
            and wanted.title in ("", row.title)
            and wanted.step in (None, (row.step or 0) + 1)
        ]
        if len(found) != 1:
            raise NotFoundError(f"{what}: {len(found)} findings in place of one on the route {entry.name}.")
        shown.append(Shown(found[0].id or 0, found[0].fingerprint))
    return shown


def _product(session: Session, code: str) -> ProductRow:
    row = product_reads.product_by_code(session, code)
    if row is None:
        raise NotFoundError(f"There is no product {code}.")
    return row


def _day(in_days: int | None) -> str:
    return "" if in_days is None else (today() + timedelta(days=in_days)).isoformat()
