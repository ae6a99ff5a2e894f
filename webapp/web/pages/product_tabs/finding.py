"""A finding's own page: everything it rests on."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.checks.columns import SIZES
from webapp.checks.declare import Check, Need, registry
from webapp.checks.declare import Scope as CheckScope
from webapp.checks.explained import explained
from webapp.desk import cases, deciding, routes
from webapp.desk.cases import CaseEntry
from webapp.desk.part_facts import facts_by_id
from webapp.desk.setups import Setup, setup_of
from webapp.errors import NotFoundError
from webapp.store.cases import FindingRow
from webapp.trade.facts import PartFacts, PartField
from webapp.trade.part_fields import RULES, value_text
from webapp.trade.people import Role
from webapp.trade.ranges import NOT_NEGATIVE, number_text
from webapp.trade.route import Step
from webapp.trade.setup import LIMITS
from webapp.web.deps import AppSettings, CurrentPerson, Reads
from webapp.web.numbers import PageNumber, RowId
from webapp.web.pages.product_tabs.common import Shown, load_product
from webapp.web.pages.product_tabs.finding_view import PartLink, finding_entries
from webapp.web.pages.product_tabs.setup import BOARD, ENVIRONMENT
from webapp.web.paging import Window
from webapp.web.product_tabs import Tab
from webapp.web.rendering import render

router = APIRouter(prefix="/products")


@dataclass(frozen=True, slots=True)
class Input:
    """A value that the finding was computed from, in words, and where it comes from."""

    name: str
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Member:
    """A part of the finding with the values of it that the check uses."""

    part: PartLink
    classes: str
    inputs: list[Input]


@router.get("/{code:path}/findings/{finding_id}", response_class=HTMLResponse)
def finding_page(
    request: Request,
    person: CurrentPerson,
    settings: AppSettings,
    reads: Reads,
    code: str,
    finding_id: RowId,
    page: PageNumber = 1,
) -> HTMLResponse:
    """One finding with everything; ``page``: of its parts."""
    with reads() as session:
        shown = load_product(session, code)
        row = cases.finding_by_id(session, finding_id)
        case = next((entry for entry in shown.cases if entry.id == row.case_id), None)
        if case is None:
            raise NotFoundError("The product has no such finding: another revision or route may have taken its place.")
        (entry,) = finding_entries(session, shown, case, [row])
        check = registry().get(row.check)
        window = Window.at(page, len(entry.parts))
        parts = entry.parts[window.offset : window.offset + window.size]
        context: dict[str, Any] = {
            **shown.context(Tab.FINDINGS, case),
            "case": case,
            "entry": entry,
            "row": row,
            "check": check,
            "rules": _rules(check),
            "needs": [(need.datum, need.worse_words) for need in check.needs] if check else [],
            "members": _members(session, shown, parts, check),
            "window": window,
            "previous": f"{entry.href}?page={window.previous}#parts" if window.previous else None,
            "following": f"{entry.href}?page={window.following}#parts" if window.following else None,
            "setup_inputs": _setup_inputs(setup_of(session, shown.id), check),
            "steps": _steps(session, case, row),
            "deciding": deciding.finding_page(session, person, settings, finding_id) if entry.standing else None,
            "may_sign": person.has(Role.REVIEWER),
        }
    return render(request, "findings/one.html", context)


def _rules(check: Check | None) -> list[tuple[str, str]]:
    """(verdict, when the check gives it)."""
    return [(verdict.key, when) for verdict, when in explained(check).verdicts.items()] if check else []


def _members(session: Session, shown: Shown, parts: Sequence[PartLink], check: Check | None) -> list[Member]:
    facts = facts_by_id(session, [part.id for part in parts], shown.id)
    needs = check.needs if check else ()
    return [_member(part, facts[part.id], needs) for part in parts]


def _member(part: PartLink, facts: PartFacts, needs: Sequence[Need]) -> Member:
    return Member(part, facts.classes.words, [_input(facts, need) for need in needs if need.name in _FIELDS])


_FIELDS = {field.value for field in PartField}


def _input(facts: PartFacts, need: Need) -> Input:
    return Input(RULES[PartField(need.name)].label, _value(facts, need.name), facts.source(need.name).words)


def _value(facts: PartFacts, name: str) -> str:
    if name == PartField.OVEN:
        return " or ".join(oven.words for oven in sorted(facts.ovens))
    value = facts.sizes.get(name, NOT_NEGATIVE) if name in SIZES else getattr(facts, name)
    if value == NOT_NEGATIVE:
        return "not known"
    return value_text(PartField(name), value)


def _setup_inputs(setup: Setup, check: Check | None) -> list[Input]:
    """What the check uses of board and environment."""
    labels = {words.name: words.label for words in (*BOARD, *ENVIRONMENT)}
    inputs = []
    for need in check.needs if check else ():
        if need.name in LIMITS:
            holder = setup.environment if hasattr(setup.environment, need.name) else setup.board
            value = getattr(holder, need.name)
            inputs.append(Input(labels[need.name], "not known" if value is None else number_text(value), ""))
        elif need.name == "finish" and check and check.scope is CheckScope.PRODUCT:
            inputs.append(Input("Finish of the board", setup.board.finish.words, ""))
    return inputs


def _steps(session: Session, case: CaseEntry, row: FindingRow) -> list[tuple[int, Step, bool]]:
    """The steps of the route: number, step, whether the finding is about it."""
    route = routes.route_by_id(session, case.row.route_id).route
    return [(number, step, number - 1 == row.step) for number, step in enumerate(route.steps, start=1)]
