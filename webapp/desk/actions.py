"""Actions: who owes what by when, free or from a finding."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from sqlalchemy import ColumnElement, and_, case, func, or_, select
from sqlalchemy.orm import aliased
from sqlmodel import Session, col

from webapp.desk import ledger
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.store.actions import NOTE_LENGTH, TITLE_LENGTH, ActionRow
from webapp.store.base import utc_now
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.people import PersonRow
from webapp.store.portfolio import rows_of
from webapp.store.products import ProductRow
from webapp.trade.decisions import today
from webapp.trade.ledger import EntryKind
from webapp.trade.people import Person
from webapp.trade.products import code_key
from webapp.trade.typed_text import tidy_line, tidy_lines

CHANGED = "Somebody else changed this action meanwhile. It stands below as it is now: make the change again."


class Show(StrEnum):
    """Which actions are listed."""

    OPEN = "open"
    OVERDUE = "overdue"
    MINE = "mine"
    DONE = "done"
    ALL = "all"


@dataclass(frozen=True, slots=True)
class ActionView:
    """Which actions; ``product`` a code, ``search`` words in title, note or finding."""

    show: Show = Show.OPEN
    product: str = ""
    search: str = ""


@dataclass(frozen=True, slots=True)
class ActionForm:
    """An action as typed: ``due_on`` ISO or "", ``owner`` a login."""

    title: str
    owner: str
    due_on: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class ActionEntry:
    """An action as lists show it. ``finding_id``: the finding it comes from, None when that is gone (or there is none:
    then ``row.finding_title`` is "")."""

    row: ActionRow
    owner: str
    owner_login: str
    product_code: str
    created_by: str
    finding_id: int | None

    @property
    def done(self) -> bool:
        """Whether it is done."""
        return self.row.done_at is not None

    @property
    def overdue(self) -> bool:
        """Whether it is open and its day has passed."""
        return not self.done and self.row.due_on is not None and self.row.due_on < today()


def add_action(
    session: Session,
    person: Person,
    form: ActionForm,
    *,
    product_id: int | None = None,
    finding_id: int | None = None,
) -> int:
    """Add an action, on a product or from a finding (whose product it takes); its id.

    InvalidInputError names the field (``title``, ``owner``, ``due_on``, ``note``); NotFoundError for what is gone.
    """
    row = ActionRow(title="", owner_id=0, created_by=person.id, created_at=utc_now(), product_id=product_id)
    if finding_id is not None:
        _attach(session, row, finding_id)
    elif product_id is not None and session.get(ProductRow, product_id) is None:
        raise NotFoundError("There is no such product.")
    _fill(session, row, form)
    session.add(row)
    session.flush()
    _record(session, person, EntryKind.ACTION_ADDED, row, form.owner)
    return row.id or 0


def change_action(session: Session, person: Person, action_id: int, form: ActionForm, *, version: int) -> None:
    """Change title, owner, date and note; ConflictError when somebody else changed it since ``version``."""
    row = _row(session, action_id, version)
    _fill(session, row, form)
    row.version += 1
    _record(session, person, EntryKind.ACTION_CHANGED, row, form.owner)


def set_done(session: Session, person: Person, action_id: int, *, done: bool, version: int) -> None:
    """Mark an action as done, or as open again. ConflictError when somebody else changed it since ``version``."""
    row = _row(session, action_id, version)
    row.done_at, row.done_by = (utc_now(), person.id) if done else (None, None)
    row.version += 1
    owner = session.get(PersonRow, row.owner_id)
    _record(session, person, EntryKind.ACTION_CHANGED, row, owner.login if owner else "")


def list_actions(
    session: Session, person: Person, view: ActionView, offset: int = 0, limit: int | None = None
) -> tuple[list[ActionEntry], int]:
    """The actions that ``view`` asks for: open ones first, by date (those without last), and how many there are."""
    which = _which(view, person)
    due = col(ActionRow.due_on)
    order = (col(ActionRow.done_at).is_not(None), due.is_(None), due, col(ActionRow.id))
    query = _joined(select(*_ENTRY)).where(which).order_by(*order).offset(offset).limit(limit)
    total = rows_of(session, _joined(select(func.count(col(ActionRow.id)))).where(which))[0][0]
    return [ActionEntry(*row) for row in rows_of(session, query)], total


def action_by_id(session: Session, action_id: int) -> ActionEntry:
    """One action; NotFoundError when there is none."""
    rows = rows_of(session, _joined(select(*_ENTRY)).where(col(ActionRow.id) == action_id))
    if not rows:
        raise NotFoundError("There is no such action.")
    return ActionEntry(*rows[0])


def counts(session: Session, person: Person) -> dict[str, int]:
    """How many are ``open``, ``overdue`` and ``mine`` (open ones)."""
    is_open = col(ActionRow.done_at).is_(None)
    conditions: Sequence[ColumnElement[bool]] = (
        is_open,
        and_(is_open, col(ActionRow.due_on) < today()),
        and_(is_open, col(ActionRow.owner_id) == person.id),
    )
    sums = [func.coalesce(func.sum(case((condition, 1), else_=0)), 0) for condition in conditions]
    found = rows_of(session, select(*sums).select_from(ActionRow))[0]
    return dict(zip(("open", "overdue", "mine"), map(int, found), strict=True))


def possible_owners(session: Session) -> list[tuple[str, str]]:
    """Login and name of everybody who can sign in, by name."""
    query = select(col(PersonRow.login), col(PersonRow.name)).where(col(PersonRow.active))
    return [(login, name) for login, name in rows_of(session, query.order_by(col(PersonRow.name)))]


_CREATOR = aliased(PersonRow)
_FINDING_ID = (
    select(func.min(col(FindingRow.id)))
    .join(AssessmentCaseRow, col(AssessmentCaseRow.id) == col(FindingRow.case_id))
    .where(
        col(AssessmentCaseRow.route_id) == col(ActionRow.route_id),
        col(AssessmentCaseRow.retired_at).is_(None),
        col(FindingRow.key) == col(ActionRow.finding_key),
    )
    .correlate(ActionRow)
    .scalar_subquery()
)
_ENTRY: tuple[Any, ...] = (
    ActionRow,
    col(PersonRow.name),
    col(PersonRow.login),
    func.coalesce(ProductRow.code, ""),
    _CREATOR.name,
    _FINDING_ID,
)


def _joined(query: Any) -> Any:
    return (
        query.select_from(ActionRow)
        .join(PersonRow, col(PersonRow.id) == col(ActionRow.owner_id))
        .join(_CREATOR, _CREATOR.id == col(ActionRow.created_by))
        .outerjoin(ProductRow, col(ProductRow.id) == col(ActionRow.product_id))
    )


def _which(view: ActionView, person: Person) -> ColumnElement[bool]:
    is_open = col(ActionRow.done_at).is_(None)
    which: list[ColumnElement[bool]] = [
        {
            Show.OPEN: is_open,
            Show.OVERDUE: and_(is_open, col(ActionRow.due_on) < today()),
            Show.MINE: and_(is_open, col(ActionRow.owner_id) == person.id),
            Show.DONE: ~is_open,
            Show.ALL: col(ActionRow.id) > 0,
        }[view.show]
    ]
    if view.product:
        which.append(col(ProductRow.code_key) == code_key(view.product))
    if text := " ".join(view.search.split()):
        columns = (ActionRow.title, ActionRow.note, ActionRow.finding_title)
        which.append(or_(*(col(column).icontains(text, autoescape=True) for column in columns)))
    return and_(*which)


def _attach(session: Session, row: ActionRow, finding_id: int) -> None:
    finding = session.get(FindingRow, finding_id)
    found = session.get(AssessmentCaseRow, finding.case_id) if finding else None
    if finding is None or found is None:
        raise NotFoundError("There is no such finding any more: what it was about may have changed.")
    row.product_id, row.route_id = found.product_id, found.route_id
    row.finding_key, row.finding_title = finding.key, f"{finding.title}: {finding.sentence}"


def _fill(session: Session, row: ActionRow, form: ActionForm) -> None:
    title, note = tidy_line(form.title, field="title"), tidy_lines(form.note, field="note")
    if not 1 <= len(title) <= TITLE_LENGTH:
        raise InvalidInputError(f"Say what is to be done, in at most {TITLE_LENGTH} characters.", field="title")
    if len(note) > NOTE_LENGTH:
        raise InvalidInputError(f"A note has at most {NOTE_LENGTH} characters.", field="note")
    query = select(col(PersonRow.id)).where(col(PersonRow.login) == form.owner.strip(), col(PersonRow.active))
    owners = rows_of(session, query)
    if not owners:
        raise InvalidInputError("Choose who is to do it.", field="owner")
    row.title, row.note, row.owner_id, row.due_on = title, note, owners[0][0], _due(form.due_on)


def _due(text: str) -> date | None:
    if not (text := text.strip()):
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InvalidInputError("Write the date as 2027-05-31.", field="due_on") from None


def _row(session: Session, action_id: int, version: int) -> ActionRow:
    row = session.get(ActionRow, action_id, with_for_update=True)
    if row is None:
        raise NotFoundError("There is no such action.")
    if row.version != version:
        raise ConflictError(CHANGED)
    return row


def _record(session: Session, person: Person, kind: EntryKind, row: ActionRow, owner: str) -> None:
    detail = {
        "action": row.id,
        "title": row.title,
        "owner": owner,
        "due_on": row.due_on.isoformat() if row.due_on else None,
        "done": row.done_at is not None,
        "finding": row.finding_key,
    }
    ledger.record(session, person, kind, f"action {row.id}: {row.title}", detail)
