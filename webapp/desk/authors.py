"""Who worked on what a finding was computed from: they may not sign it.

Authors are who uploaded the revision, who approved the part for the line, who last stated or withdrew a part's field it
used, who made a declaration that bears on one, who last saved the route or the setup it used, an alloy or paste of the
site's own that a step of the route names, or a figure of the site's own that the check decides by.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from sqlalchemy import func, select
from sqlmodel import Session, col

from webapp.checks.declare import registry
from webapp.store import part_reads
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.store.parts import DeclarationRow, LinePartRow, PartValueRow
from webapp.store.people import PersonRow
from webapp.store.portfolio import rows_of
from webapp.store.products import BomLineRow, BomRevisionRow
from webapp.store.setups import ProductSetupRow, RouteRow, RouteStepRow
from webapp.store.site import SiteAlloyRow, SiteFigureRow, SitePasteRow, current_rows
from webapp.trade.facts import Claim, PartField, Scope
from webapp.trade.setup import Board, Environment

_SETUP = frozenset({*Board.__dataclass_fields__, *Environment.__dataclass_fields__})
# What a part is decides most of its bounds, so it is used by every finding about parts.
_ALWAYS = frozenset({PartField.CLASSES.value, PartField.MOUNTING.value})
_BEARS_ON = {
    Claim.LEAD_FREE: frozenset({PartField.FINISH.value, PartField.BALLS.value}),
    Claim.LIMIT_AT_LEAST: frozenset({PartField.LIMIT_C.value}),
    Claim.PASSES_AT_LEAST: frozenset({PartField.PASSES.value}),
    Claim.SELF_HEATING_AT_MOST: frozenset({PartField.SELF_HEATING_K.value}),
}
_OF_PARTS = frozenset(field.value for field in PartField)
# A package's limit follows from its size where nothing is stated.
_SIZES = frozenset({PartField.LENGTH_MM.value, PartField.WIDTH_MM.value, PartField.HEIGHT_MM.value})


def authors_of(
    session: Session, findings: Sequence[FindingRow], cases: Mapping[int, AssessmentCaseRow]
) -> dict[int, dict[int, str]]:
    """Finding id -> person id -> what they did ("uploaded the BOM").

    ``cases``: the findings' cases by id. A few queries, however many findings there are.
    """
    of_case = _case_authors(session, cases)
    of_materials = _material_authors(session, {row.route_id for row in cases.values()})
    of_figures = {row.key: row.saved_by for row in current_rows(session, SiteFigureRow)}
    part_ids = {part_id for finding in findings for part_id, _, _ in finding.parts}
    stated = _last_stated(session, part_ids)
    declared = _Declared(session, part_ids, {row.product_id for row in cases.values()})
    approved = _approved(session, {row.revision_id for row in cases.values()})
    found: dict[int, dict[int, str]] = {}
    for finding in findings:
        row = cases[finding.case_id]
        uploaded, routed, set_up = of_case[finding.case_id]
        authors = {uploaded: "uploaded the BOM"}
        authors.setdefault(routed, "last saved the route")
        for person_id, did in of_materials.get(row.route_id, {}).items():
            authors.setdefault(person_id, did)
        for key in _figures(finding.check) & of_figures.keys():
            authors.setdefault(of_figures[key], "set a figure that the check decides by")
        needs = _needs(finding.check)
        fields = needs | _SIZES if PartField.LIMIT_C in needs else needs
        # A part's own field of the same name comes first, as in checks.inputs.
        of_setup = needs & _SETUP - (_OF_PARTS if finding.parts else frozenset())
        if set_up is not None and of_setup:
            authors.setdefault(set_up, "last saved the setup")
        of_parts = (*_of_parts(finding, row, fields, stated, declared), *_approvers(finding, row, approved))
        for person_id, did in of_parts:
            authors.setdefault(person_id, did)
        found[finding.id or 0] = authors
    return found


def _of_parts(
    finding: FindingRow,
    row: AssessmentCaseRow,
    fields: frozenset[str],
    stated: Mapping[int, Sequence[tuple[str, int]]],
    declared: "_Declared",
) -> Iterator[tuple[int, str]]:
    for part_id, _, _ in finding.parts:
        for field, person_id in stated.get(part_id, ()):
            if field in fields | _ALWAYS:
                yield person_id, f"last edited the part's {field.replace('_', ' ')}"
        for person_id in declared.by(part_id, row.product_id, fields):
            yield person_id, "made a declaration that it uses"


def _approvers(finding: FindingRow, row: AssessmentCaseRow, approved: "_Approved") -> Iterator[tuple[int, str]]:
    for part_id, _, _ in finding.parts:
        for position, person_id in approved.get((row.revision_id, part_id), ()):
            if position in finding.lines:
                yield person_id, "approved the part for the line"


def names_of(session: Session, person_ids: Iterable[int]) -> dict[int, str]:
    """Person id -> name."""
    query = select(col(PersonRow.id), col(PersonRow.name)).where(col(PersonRow.id).in_(sorted(set(person_ids))))
    return dict(rows_of(session, query))


def _needs(check_id: str) -> frozenset[str]:
    check = registry().get(check_id)
    return frozenset(need.name for need in check.needs) if check else frozenset()


def _figures(check_id: str) -> frozenset[str]:
    check = registry().get(check_id)
    return frozenset(check.figures) if check else frozenset()


def _material_authors(session: Session, route_ids: Collection[int]) -> dict[int, dict[int, str]]:
    """Route id -> who last saved an alloy or a paste of the site's own that a step of it names."""
    found: dict[int, dict[int, str]] = {}
    for table, name, named in (
        (SiteAlloyRow, SiteAlloyRow.designation, RouteStepRow.alloy),
        (SitePasteRow, SitePasteRow.name, RouteStepRow.paste),
    ):
        query = (
            select(col(RouteStepRow.route_id), col(table.saved_by), col(name))
            .join(RouteStepRow, col(named) == col(name))
            .where(col(RouteStepRow.route_id).in_(sorted(route_ids)), col(table.ended_at).is_(None))
        )
        for route_id, person_id, called in rows_of(session, query):
            found.setdefault(route_id, {}).setdefault(person_id, f"last saved {called}")
    return found


def _case_authors(session: Session, case_ids: Iterable[int]) -> dict[int, tuple[int, int, int | None]]:
    """Case id -> who uploaded the revision, last saved the route and, if anybody did, the setup."""
    case = AssessmentCaseRow
    query = (
        select(col(case.id), col(BomRevisionRow.uploaded_by), col(RouteRow.changed_by), col(ProductSetupRow.changed_by))
        .join(BomRevisionRow, col(BomRevisionRow.id) == col(case.revision_id))
        .join(RouteRow, col(RouteRow.id) == col(case.route_id))
        .outerjoin(ProductSetupRow, col(ProductSetupRow.product_id) == col(case.product_id))
        .where(col(case.id).in_(sorted(case_ids)))
    )
    return {case_id: (uploaded, routed, set_up) for case_id, uploaded, routed, set_up in rows_of(session, query)}


def _last_stated(session: Session, part_ids: Iterable[int]) -> dict[int, list[tuple[str, int]]]:
    """Part id -> (field, who last stated or withdrew it)."""
    found: dict[int, list[tuple[str, int]]] = {}
    for some in part_reads.chunks(sorted(set(part_ids))):
        last = (
            select(func.max(col(PartValueRow.id)))
            .where(col(PartValueRow.part_id).in_(some))
            .group_by(col(PartValueRow.part_id), col(PartValueRow.field))
        )
        who = func.coalesce(PartValueRow.ended_by, PartValueRow.stated_by)
        query = select(col(PartValueRow.part_id), col(PartValueRow.field), who).where(col(PartValueRow.id).in_(last))
        for part_id, field, person_id in rows_of(session, query):
            found.setdefault(part_id, []).append((field, person_id))
    return found


_Approved = dict[tuple[int, int], list[tuple[int, int]]]


def _approved(session: Session, revision_ids: Iterable[int]) -> _Approved:
    """Revision and part id -> (position of the line, who approved the part for it); as committed counts for nobody."""
    query = (
        select(
            col(BomLineRow.revision_id),
            col(LinePartRow.part_id),
            col(BomLineRow.position),
            col(LinePartRow.changed_by),
        )
        .join(LinePartRow, col(LinePartRow.line_id) == col(BomLineRow.id))
        .where(
            col(BomLineRow.revision_id).in_(sorted(set(revision_ids))),
            col(LinePartRow.changed_by).is_not(None),
            col(LinePartRow.approved),
        )
    )
    found: _Approved = {}
    for revision_id, part_id, position, person_id in rows_of(session, query):
        found.setdefault((revision_id, part_id), []).append((position, person_id))
    return found


class _Declared:
    """The declarations that hold, by what they cover."""

    def __init__(self, session: Session, part_ids: Iterable[int], product_ids: Iterable[int]) -> None:
        self._parts = part_reads.parts_by_id(session, part_ids)
        self._rows = part_reads.declarations(session, *product_ids)

    def by(self, part_id: int, product_id: int, fields: frozenset[str]) -> list[int]:
        """Who declared something of ``fields`` over the part."""
        return [
            row.declared_by
            for row in self._rows
            if _BEARS_ON[Claim(row.claim)] & fields and self._covers(row, part_id, product_id)
        ]

    def _covers(self, row: DeclarationRow, part_id: int, product_id: int) -> bool:
        part = self._parts.get(part_id)
        match Scope(row.scope):
            case Scope.SITE:
                return True
            case Scope.BOM:
                return row.product_id == product_id
            case Scope.MAKER:
                return part is not None and part.maker_key == row.scope_key
            case Scope.PART:
                return part is not None and part.key == row.scope_key
