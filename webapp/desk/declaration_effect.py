"""What a declaration would change, before it is recorded: how many parts it narrows, and which it leaves open."""

from collections.abc import Callable
from dataclasses import dataclass

from sqlmodel import Session

from webapp.desk.declarations import NewDeclaration, read_declaration
from webapp.desk.part_facts import facts_by_id
from webapp.store import part_library, part_reads
from webapp.trade.blanket import settles_limit, settles_passes
from webapp.trade.class_bounds import ClassBounds, Relevance, bounds_of
from webapp.trade.class_words import classes_in
from webapp.trade.classes import PartClass
from webapp.trade.facts import Claim, Declaration, PartFacts, PartField, Scope, settles_lead
from webapp.trade.ranges import Span


@dataclass(frozen=True, slots=True)
class Effect:
    """``narrowed`` of the ``covered`` parts would be known better; ``risky`` stay open, because lead turns up in old
    stock of their kinds or the list calls them tin-lead; ``beyond`` stay as they are, for it is more than their kinds
    stand, or no oven is for them. ``is_bound``: worked out from kinds alone, so that fewer may be narrowed."""

    covered: int
    narrowed: int
    risky: int
    beyond: int
    is_bound: bool


FIELDS = {
    Claim.LEAD_FREE: (PartField.FINISH, PartField.BALLS),
    Claim.LIMIT_AT_LEAST: (PartField.LIMIT_C,),
    Claim.PASSES_AT_LEAST: (PartField.PASSES,),
    Claim.SELF_HEATING_AT_MOST: (PartField.SELF_HEATING_K,),
}
"""Claim -> the fields it narrows."""


def effect_of(session: Session, new: NewDeclaration) -> Effect:
    """What ``new`` would change; errors are those of ``declarations.declare``, but no document is needed yet."""
    declaration = read_declaration(session, new)
    if declaration.scope is Scope.SITE:
        return _over_kinds(session, declaration)
    if declaration.scope is Scope.PART:
        ids = list(part_reads.ids_by_key(session, [declaration.scope_key]).values())
    else:
        maker_key = declaration.scope_key if declaration.scope is Scope.MAKER else ""
        ids = part_library.part_ids_of(session, maker_key=maker_key, product_id=new.product_id)
    facts = facts_by_id(session, ids, new.product_id).values()
    narrowed = sum(1 for part in facts if _NARROWS[declaration.claim](part, declaration))
    risky = sum(1 for part in facts if _stays_risky(part, declaration))
    beyond = sum(1 for part in facts if _lacks(part, declaration) and not _is_within(part, declaration))
    return Effect(len(ids), narrowed, risky, beyond, is_bound=False)


def _narrows_lead(part: PartFacts, declaration: Declaration) -> bool:
    if not settles_lead(part.lead_risk, declaration.scope):
        return False
    finish = PartField.FINISH not in part.stated and part.finish.may_hold_lead
    return finish or (PartField.BALLS not in part.stated and part.balls.may_hold_lead)


def _stays_risky(part: PartFacts, declaration: Declaration) -> bool:
    stays = declaration.claim is Claim.LEAD_FREE and not settles_lead(part.lead_risk, declaration.scope)
    return stays and part.finish.may_hold_lead and PartField.FINISH not in part.stated


def _lacks(part: PartFacts, declaration: Declaration) -> bool:
    """Whether a limit or passes are less than declared, at the least, and not stated of the part."""
    field = {Claim.LIMIT_AT_LEAST: PartField.LIMIT_C, Claim.PASSES_AT_LEAST: PartField.PASSES}.get(declaration.claim)
    known = part.value(field) if field is not None else None
    return field not in part.stated and isinstance(known, Span) and known.low < (declaration.number or 0)


def _is_settled(classes: PartClass, declaration: Declaration) -> bool:
    """Whether limit or passes of such a part may be told by a declaration of this scope."""
    settles = _SETTLES.get(declaration.claim)
    return declaration.scope is Scope.PART or settles is None or settles(classes, declaration.number or 0)


_SETTLES: dict[Claim, Callable[[PartClass, float], bool]] = {
    Claim.LIMIT_AT_LEAST: settles_limit,
    Claim.PASSES_AT_LEAST: settles_passes,
}


def _is_within(part: PartFacts, declaration: Declaration) -> bool:
    """Whether such a declaration may tell so much of the part, by its kind, its size and what it is made of."""
    known = part.limit_c if declaration.claim is Claim.LIMIT_AT_LEAST else part.passes
    within = declaration.scope is Scope.PART or known.high >= (declaration.number or 0)
    return within and _is_settled(part.classes, declaration)


def _narrows_bound(part: PartFacts, declaration: Declaration) -> bool:
    return _lacks(part, declaration) and _is_within(part, declaration)


def _narrows_heating(part: PartFacts, declaration: Declaration) -> bool:
    return PartField.SELF_HEATING_K not in part.stated and part.self_heating_k.high > (declaration.number or 0)


_NARROWS: dict[Claim, Callable[[PartFacts, Declaration], bool]] = {
    Claim.LEAD_FREE: _narrows_lead,
    Claim.LIMIT_AT_LEAST: _narrows_bound,
    Claim.PASSES_AT_LEAST: _narrows_bound,
    Claim.SELF_HEATING_AT_MOST: _narrows_heating,
}


def _over_kinds(session: Session, declaration: Declaration) -> Effect:
    """Over the site there may be tens of thousands of parts: judged by their kinds, each kind once."""
    covered = sum(count for _, count in part_library.parts_by_class(session, ()))
    narrowed = risky = beyond = 0
    for text, count in part_library.parts_by_class(session, FIELDS[declaration.claim]):
        classes = classes_in(text) or PartClass.UNKNOWN_SMD
        if declaration.claim is Claim.LEAD_FREE and all(bounds_of(one).lead_risk == "high" for one in classes):
            risky += count
        elif _KIND_NARROWS[declaration.claim](bounds_of(classes), declaration.number or 0):
            settled = _is_settled(classes, declaration)
            narrowed, beyond = narrowed + settled * count, beyond + (not settled) * count
    return Effect(covered, narrowed, risky, beyond, is_bound=True)


_KIND_NARROWS: dict[Claim, Callable[[ClassBounds, float], bool]] = {
    Claim.LEAD_FREE: lambda _bounds, _number: True,
    Claim.LIMIT_AT_LEAST: lambda bounds, number: bounds.limit_c.low < number,
    Claim.PASSES_AT_LEAST: lambda bounds, number: bounds.passes.low < number,
    Claim.SELF_HEATING_AT_MOST: lambda bounds, _number: bounds.self_heating is not Relevance.NO,
}
