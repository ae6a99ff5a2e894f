"""Figures of the site: what the checks decide by and what metals cost, each with its default and the site's own."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.checks.declare import Check, registry
from webapp.desk import sheets, site_figures
from webapp.desk.site import site_of
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, NotFoundError
from webapp.store.engine import SessionMaker
from webapp.trade.figures import RISING, FigureGroup, SiteFigure, default_figures
from webapp.trade.people import Person
from webapp.trade.ranges import number_text
from webapp.web.deps import AppDatabase, CurrentPerson, Reads
from webapp.web.downloads import Format
from webapp.web.lists import as_file
from webapp.web.pages.product_tabs.common import errors_of, status_of, version_of
from webapp.web.pages.uploads.common import SentForm, text_of
from webapp.web.paging import View, chosen
from webapp.web.rendering import go_to, render
from webapp.web.settle import settle

router = APIRouter(prefix="/figures")

NOTICES = {
    "set": "The figure is set",
    "reset": "The default holds again",
}
_AGAIN = {
    FigureGroup.CHECKS: "; all products are assessed again, which takes a moment.",
    FigureGroup.JOINTS: ".",
    FigureGroup.METALS: ".",
}
HEAD = ("Key", "Figure", "Group", "Value", "Unit", "Own", "Default", "Least", "Most", "Checks", "Source", "Note")


@dataclass(frozen=True, slots=True)
class Line:
    """A figure as it holds, with its default and the checks that decide by it."""

    figure: SiteFigure
    default: SiteFigure
    checks: tuple[Check, ...]


@router.get("", response_class=HTMLResponse)
def figures_page(
    request: Request,
    person: CurrentPerson,
    reads: Reads,
    form: Annotated[str, Query(alias="format")] = "page",
    done: str = "",
    figure: str = "",
) -> Response:
    """All figures by group; or a file of them."""
    View("/figures", {"format": form}, {}).refuse_others(request.query_params, "done", "figure")
    shape = chosen(Format, form, "format")
    with reads() as session:
        lines = _lines(session)
    if shape is not Format.PAGE:
        return as_file(shape, "figures", HEAD, map(_cells, lines), sheet="Figures")
    context = {
        "groups": [
            (group, site_figures.may_set(person, group), [line for line in lines if line.figure.group is group])
            for group in FigureGroup
        ],
        "own": sum(line.figure.own for line in lines),
        "notice_text": _notice(done, figure),
    }
    return render(request, "figures/list.html", context)


@router.get("/{key}", response_class=HTMLResponse)
def figure_page(request: Request, person: CurrentPerson, reads: Reads, key: str) -> HTMLResponse:
    """One figure: what it means, how it is set, what it was."""
    return _page(request, reads, person, key)


@router.post("/{key}", response_class=HTMLResponse)
def set_one(request: Request, person: CurrentPerson, database: AppDatabase, key: str, form: SentForm) -> Response:
    """Set the site's own value."""
    typed = {"value": text_of(form, "value"), "reference": text_of(form, "reference")}
    try:
        version = version_of(form)
        with database.command() as session:
            site_figures.set_figure(session, person, key, typed["value"], typed["reference"], version=version)
    except (InvalidInputError, ConflictError) as error:
        return _page(request, database.read, person, key, typed, error)
    settle(request, database, ())
    return go_to(request, f"/figures?done=set&figure={key}")


@router.post("/{key}/reset", response_class=HTMLResponse)
def reset(request: Request, person: CurrentPerson, database: AppDatabase, key: str, form: SentForm) -> Response:
    """Let the default hold again."""
    try:
        with database.command() as session:
            site_figures.reset_figure(session, person, key, version=version_of(form))
    except (InvalidInputError, ConflictError) as error:
        return _page(request, database.read, person, key, None, error)
    settle(request, database, ())
    return go_to(request, f"/figures?done=reset&figure={key}")


def _lines(session: Session) -> list[Line]:
    figures, defaults = site_of(session).figures, default_figures()
    return [_line(figure, defaults) for figure in figures.values()]


def _line(figure: SiteFigure, defaults: Mapping[str, SiteFigure]) -> Line:
    deciding = tuple(check for check in registry().values() if figure.key in check.figures)
    return Line(figure, defaults[figure.key], deciding)


def _notice(done: str, key: str) -> str:
    figure = default_figures().get(key)
    if done not in NOTICES or figure is None:
        return ""
    return f"{figure.label}: {NOTICES[done][0].lower()}{NOTICES[done][1:]}{_AGAIN[figure.group]}"


def _page(
    request: Request,
    reads: SessionMaker,
    person: Person,
    key: str,
    typed: Mapping[str, str] | None = None,
    error: MeltlineError | None = None,
) -> HTMLResponse:
    with reads() as session:
        figures = site_of(session).figures
        if key not in figures:
            raise NotFoundError(f'There is no figure "{key[:40]}". All of them stand under Figures.')
        events = site_figures.history_of_figure(session, key)
        version = site_figures.figure_versions(session).get(key, 0)
    line = _line(figures[key], default_figures())
    stored = _as_typed(line.figure)
    errors = errors_of(error)
    shown = dict(typed or stored)
    context: dict[str, Any] = {
        "line": line,
        "neighbours": [figures[other] for keys in RISING if key in keys for other in keys if other != key],
        "events": events,
        "version": version,
        "typed": shown,
        "may_set": site_figures.may_set(person, line.figure.group),
        "needed": site_figures.NEEDED[line.figure.group],
        "errors": errors,
        "is_conflict": isinstance(error, ConflictError),
        "differs": [
            (label, stored[name] or line.figure.text, shown[name])
            for name, label in (("value", "Value"), ("reference", "Source"))
            if stored[name] != shown[name]
        ],
    }
    return render(request, "figures/one.html", context, status=status_of(errors, error))


def _as_typed(figure: SiteFigure) -> dict[str, str]:
    """What stands in the form: the value that holds, and the site's reason for its own."""
    return {"value": number_text(figure.value), "reference": figure.source.reference if figure.own else ""}


def _cells(line: Line) -> list[sheets.Cell]:
    figure = line.figure
    return [
        figure.key,
        figure.label,
        figure.group.words,
        figure.value,
        figure.unit,
        "yes" if figure.own else "no",
        line.default.value,
        figure.plausible.low,
        figure.plausible.high,
        ", ".join(check.id for check in line.checks),
        figure.source.words,
        figure.source.note,
    ]
