"""The routes of a product: today's and the candidates, as ordered steps."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import chain, count

from sqlalchemy import delete
from sqlmodel import Session, col, func, select

from webapp.desk import cases, ledger, staleness
from webapp.desk.setups import save_setup, setup_of
from webapp.desk.site import site_of
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.store.base import utc_now
from webapp.store.products import ProductRow
from webapp.store.setups import RouteRow, RouteStepRow
from webapp.trade.ledger import EntryKind
from webapp.trade.materials import Materials
from webapp.trade.pastes import Paste
from webapp.trade.people import Person
from webapp.trade.ranges import number_text
from webapp.trade.route import NAME_LENGTH, STEP_LIMITS, Route, Side, Step, StepKind
from webapp.trade.route_templates import LOW, route_template
from webapp.trade.setup import Environment
from webapp.trade.typed_text import tidy_line

CHANGED = "Somebody else changed this route meanwhile. It stands below as it is now: make the change again."
MOST_STEPS = 60
PASTE, ALLOY = "paste:", "alloy:"
"""What stands before the name of a paste, and before a designation, where either may be chosen."""


@dataclass(frozen=True, slots=True)
class LowPaste:
    """What a candidate is printed with: an alloy, and the paste where it is named."""

    alloy: str
    paste: str | None = None

    def on(self, route: Route) -> Route:
        """The route with the paste named at every reflow step with its alloy."""
        steps = (
            replace(step, paste=self.paste) if step.kind is StepKind.REFLOW and step.alloy == self.alloy else step
            for step in route.steps
        )
        return replace(route, steps=tuple(steps))


def low_paste(materials: Materials, text: str) -> LowPaste:
    """A choice, ``PASTE`` + name or ``ALLOY`` + designation; or plain text: an alloy by designation or short name, else
    a paste by its name, else an alloy by composition. InvalidInputError (``paste``) for none of them."""
    if text.startswith(PASTE):
        name = text.removeprefix(PASTE)
        chosen = _paste_named(materials, name)
        if chosen is None:
            raise InvalidInputError(f'There is no paste "{name}" (any more).', field="paste")
        return LowPaste(chosen.alloy, chosen.name)
    wanted = text.removeprefix(ALLOY).strip() or LOW
    is_plain = not text.startswith(ALLOY) and materials.alloy_named(wanted) is None
    paste = _paste_named(materials, wanted) if is_plain else None
    return LowPaste(paste.alloy, paste.name) if paste else LowPaste(materials.find_alloy(wanted).designation)


def _paste_named(materials: Materials, text: str) -> Paste | None:
    wanted = " ".join(text.split()).casefold()
    return next((paste for name, paste in materials.pastes.items() if name.casefold() == wanted), None)


@dataclass(frozen=True, slots=True)
class ProductRoute:
    """A stored route."""

    id: int
    product_id: int
    route: Route
    is_today: bool
    version: int


def routes_of(session: Session, product_id: int) -> list[ProductRoute]:
    """The routes of a product: today's first, then the candidates in the order they were made."""
    query = select(RouteRow).where(RouteRow.product_id == product_id, col(RouteRow.archived_at).is_(None))
    rows = session.exec(query.order_by(col(RouteRow.is_today).desc(), col(RouteRow.position), col(RouteRow.id))).all()
    return _routes(session, rows)


def route_by_id(session: Session, route_id: int) -> ProductRoute:
    """One route; NotFoundError when there is none or it is archived."""
    (found,) = _routes(session, [_row(session, route_id)])
    return found


def new_route_from_template(
    session: Session, person: Person, product_id: int, template: str, paste: str = "", *, name: str = ""
) -> list[int]:
    """Make the template's candidate route, and today's where the product has none yet; the ids, today's first.

    ``paste``: as ``low_paste`` reads it. The template's environment is taken where the product's is not given.
    NotFoundError for an unknown template (field ``route``), InvalidInputError for an alloy that there is not
    (``paste``) and for a name that is taken (``name``); without a name a free one is found.
    """
    chosen = route_template(template)
    low = low_paste(site_of(session).materials, paste)
    _product(session, product_id)
    made = []
    if not any(route.is_today for route in routes_of(session, product_id)):
        made.append(save_route(session, person, product_id, chosen.today, is_today=True))
    candidate = low.on(chosen.candidate(low.alloy))
    named = replace(candidate, name=name.strip() or free_name(session, product_id, candidate.name))
    made.append(save_route(session, person, product_id, named))
    setup = setup_of(session, product_id)
    if setup.environment == Environment():
        save_setup(session, person, product_id, setup.board, chosen.environment, version=setup.version)
    return made


def save_route(
    session: Session,
    person: Person,
    product_id: int,
    route: Route,
    *,
    route_id: int | None = None,
    version: int | None = None,
    is_today: bool = False,
) -> int:
    """Store a new route, or another state of ``route_id`` (seen at ``version``); its id. The alloy of a step that names
    its paste is that of the paste.

    InvalidInputError names the field: ``name``, or ``step_`` + position from 0 + "_" + field. ConflictError when the
    route has changed since.
    """
    name = _checked_name(session, product_id, route.name, route_id)
    materials = site_of(session).materials
    steps = [_with_alloy(position, step, materials) for position, step in enumerate(_counted(route.steps))]
    for position, step in enumerate(steps):
        _check_step(position, step, materials)
    if route_id is None:
        row = _new_row(session, person, product_id, name, is_today=is_today)
    else:
        row = _row(session, route_id, lock=True)
        if row.product_id != product_id:
            raise NotFoundError("The product has no such route.")
        if version is not None and row.version != version:
            raise ConflictError(CHANGED)
        row.name, row.name_key, row.changed_by, row.changed_at = name, name.casefold(), person.id, utc_now()
        row.version += 1
    session.flush()
    _put_steps(session, row.id or 0, steps)
    if row.is_today:
        staleness.product_changed(session, product_id)
    else:
        staleness.route_changed(session, row.id or 0)
    cases.open_cases(session, product_id)
    detail = {"route": row.name, "is_today": row.is_today, "steps": [asdict(step) for step in steps]}
    _record(session, person, EntryKind.ROUTE_SAVED, row, detail)
    return row.id or 0


def remove_route(session: Session, person: Person, route_id: int, *, version: int | None = None) -> None:
    """Archive a candidate route; its case is assessed no more. Today's route cannot be removed."""
    row = _row(session, route_id, lock=True)
    if row.is_today:
        raise InvalidInputError("Today's route is what candidates are compared with; it can be changed, not removed.")
    if version is not None and row.version != version:
        raise ConflictError(CHANGED)
    row.archived_at = row.changed_at = utc_now()
    row.changed_by = person.id
    row.version += 1
    session.flush()
    cases.open_cases(session, row.product_id)
    _record(session, person, EntryKind.ROUTE_REMOVED, row, {"route": row.name})


def _record(session: Session, person: Person, kind: EntryKind, row: RouteRow, detail: Mapping[str, object]) -> None:
    product = session.get(ProductRow, row.product_id)
    ledger.record(session, person, kind, f"product {product.code if product else row.product_id}: {row.name}", detail)


def _routes(session: Session, rows: Sequence[RouteRow]) -> list[ProductRoute]:
    """The routes of the rows, their steps read in one query for all."""
    steps: dict[int, list[Step]] = {row.id or 0: [] for row in rows}
    query = select(RouteStepRow).where(col(RouteStepRow.route_id).in_(steps)).order_by(col(RouteStepRow.position))
    for step in session.exec(query):
        steps[step.route_id].append(_step(step))
    return [
        ProductRoute(row.id or 0, row.product_id, Route(row.name, tuple(steps[row.id or 0])), row.is_today, row.version)
        for row in rows
    ]


def _step(row: RouteStepRow) -> Step:
    return Step(
        kind=StepKind(row.kind),
        name=row.name,
        side=Side(row.side) if row.side else None,
        alloy=row.alloy,
        peak_c=row.peak_c,
        spread_k=row.spread_k,
        above_melting_s=row.above_melting_s,
        hours=row.hours,
        neighbour_c=row.neighbour_c,
        paste=row.paste,
        foil_mm=row.foil_mm,
        wave_side_c=row.wave_side_c,
    )


def _put_steps(session: Session, route_id: int, steps: Sequence[Step]) -> None:
    session.connection().execute(delete(RouteStepRow).where(col(RouteStepRow.route_id) == route_id))
    session.add_all(
        RouteStepRow(
            route_id=route_id,
            position=position,
            kind=step.kind.value,
            name=step.name,
            side=step.side.value if step.side else None,
            alloy=step.alloy,
            peak_c=step.peak_c,
            spread_k=step.spread_k,
            above_melting_s=step.above_melting_s,
            hours=step.hours,
            neighbour_c=step.neighbour_c,
            paste=step.paste,
            foil_mm=step.foil_mm,
            wave_side_c=step.wave_side_c,
        )
        for position, step in enumerate(steps)
    )
    session.flush()


def _new_row(session: Session, person: Person, product_id: int, name: str, *, is_today: bool) -> RouteRow:
    _product(session, product_id)
    query = select(func.count()).select_from(RouteRow).where(RouteRow.product_id == product_id)
    row = RouteRow(
        product_id=product_id,
        name=name,
        name_key=name.casefold(),
        is_today=is_today,
        position=session.exec(query).one(),
        changed_by=person.id,
        changed_at=utc_now(),
    )
    session.add(row)
    return row


def _row(session: Session, route_id: int, *, lock: bool = False) -> RouteRow:
    query = select(RouteRow).where(RouteRow.id == route_id, col(RouteRow.archived_at).is_(None))
    row = session.exec(query.with_for_update() if lock else query).one_or_none()
    if row is None:
        raise NotFoundError("There is no such route.")
    return row


def _product(session: Session, product_id: int) -> ProductRow:
    """The product, locked: routes of one product are made one after the other."""
    product = session.get(ProductRow, product_id, with_for_update=True)
    if product is None:
        raise NotFoundError("There is no such product.")
    return product


def _names(session: Session, product_id: int, but: int | None = None) -> set[str]:
    query = select(RouteRow.name_key, RouteRow.id).where(
        RouteRow.product_id == product_id, col(RouteRow.archived_at).is_(None)
    )
    return {key for key, route_id in session.exec(query) if route_id != but}


def free_name(session: Session, product_id: int, name: str) -> str:
    """The name, with a number behind it where the product has a route of that name; what is too long for both is cut
    before the number, at most ``NAME_LENGTH`` characters in all."""
    taken = _names(session, product_id)
    numbered = (f"{name[: NAME_LENGTH - len(end)].rstrip()}{end}" for end in (f" {number}" for number in count(2)))
    return next(tried for tried in chain((name[:NAME_LENGTH].rstrip(),), numbered) if tried.casefold() not in taken)


def _checked_name(session: Session, product_id: int, name: str, route_id: int | None) -> str:
    name = tidy_line(name, field="name")
    if not 1 <= len(name) <= NAME_LENGTH:
        raise InvalidInputError(f"A route's name has 1 to {NAME_LENGTH} characters.", field="name")
    if name.casefold() in _names(session, product_id, route_id):
        raise InvalidInputError(f'There is a route "{name}" already.', field="name")
    return name


def _counted(steps: Sequence[Step]) -> Sequence[Step]:
    if len(steps) > MOST_STEPS:
        raise InvalidInputError(f"A route has at most {MOST_STEPS} steps.", field="steps")
    return steps


def _with_alloy(position: int, step: Step, materials: Materials) -> Step:
    if step.paste is None:
        return step
    paste = materials.paste(step.paste)
    if paste is None:
        raise InvalidInputError(f'There is no paste "{step.paste}" (any more).', field=f"step_{position}_paste")
    return replace(step, alloy=paste.alloy)


def _check_step(position: int, step: Step, materials: Materials) -> None:
    if step.alloy is not None and materials.alloy(step.alloy) is None:
        raise InvalidInputError(f'"{step.alloy}" is not among the alloys.', field=f"step_{position}_alloy")
    if step.kind is StepKind.REFLOW and step.alloy is None:
        raise InvalidInputError("A reflow step needs its paste's alloy.", field=f"step_{position}_alloy")
    if len(tidy_line(step.name, field=f"step_{position}_name")) > NAME_LENGTH:
        raise InvalidInputError(f"A step's name has at most {NAME_LENGTH} characters.", field=f"step_{position}_name")
    for name, span in STEP_LIMITS.items():
        value = getattr(step, name)
        if value is not None and not (math.isfinite(value) and span.contains(value)):
            raise InvalidInputError(f"{number_text(value)} is outside {span.text()}.", field=f"step_{position}_{name}")
