"""Help on the checks: all of them, and one by one what it asks, needs, decides by, and what clears it."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.checks.declare import Family, registry
from webapp.checks.explained import NOT_LOOKED_AT, SCOPES, checks_by_family, decided_by, explained
from webapp.checks.verdicts import Verdict
from webapp.desk.site import site_of
from webapp.errors import NotFoundError
from webapp.trade.sources import Status
from webapp.web.deps import Reads
from webapp.web.rendering import render

router = APIRouter(prefix="/help/checks")

FAMILY_NAMES = {
    Family.MELTING: "Melting and mixing",
    Family.ROUTE: "The route",
    Family.HEAT: "Heat on the parts",
    Family.SERVICE: "In service",
    Family.BOARD: "The board",
}


@router.get("", response_class=HTMLResponse)
def checks_page(request: Request) -> HTMLResponse:
    """All checks with their questions, family by family."""
    groups = [
        (FAMILY_NAMES[family], [(check, _verdicts(check.id)) for check in checks])
        for family, checks in checks_by_family()
    ]
    context = {
        "groups": groups,
        "count": len(registry()),
        "not_looked_at": NOT_LOOKED_AT,
        "statuses": list(Status),
    }
    return render(request, "checks/list.html", context)


@router.get("/{check_id}", response_class=HTMLResponse)
def check_page(request: Request, check_id: str, reads: Reads) -> HTMLResponse:
    """One check, with the figures as the site has them."""
    check = registry().get(check_id)
    if check is None:
        raise NotFoundError(f'There is no check "{check_id[:40]}". All of them stand under Help, Checks.')
    with reads() as session:
        figures = site_of(session).figures
    in_family = next(checks for family, checks in checks_by_family() if family is check.family)
    context = {
        "check": check,
        "words": explained(check),
        "figures": decided_by(check, figures),
        "scope": SCOPES[check.scope],
        "family": FAMILY_NAMES[check.family],
        "needs": [(need.datum, need.worse_words) for need in check.needs],
        "verdicts": [
            (verdict.key, meaning, check.remedies.get(verdict, ()))
            for verdict, meaning in explained(check).verdicts.items()
        ],
        "others": [other for other in in_family if other is not check],
    }
    return render(request, "checks/one.html", context)


def _verdicts(check_id: str) -> list[str]:
    return [verdict.key for verdict in explained(registry()[check_id]).verdicts if verdict is not Verdict.FINE]
