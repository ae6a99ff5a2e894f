"""Figures that the site sets its own way: margins and thresholds of the checks, prices of metals."""

import re
from typing import Any

from sqlmodel import Session

from webapp.desk import ledger, site_versions, staleness
from webapp.desk.site import figure_source, site_of
from webapp.desk.site_versions import Event
from webapp.desk.typed import typed_number, typed_reference
from webapp.errors import NotAllowedError, NotFoundError
from webapp.store.site import SiteFigureRow, current_row, current_rows, figure_history, last_version
from webapp.trade.figures import CURRENCY, FigureGroup, SiteFigure, check_order, default_figures, with_own
from webapp.trade.ledger import EntryKind
from webapp.trade.people import Person, Role
from webapp.trade.ranges import number_text

CHANGED = "Somebody else changed this figure meanwhile. It stands below as it is now, beside what you typed."
_PRICE_UNIT = re.compile(rf"\s*(?:{CURRENCY})?\s*(?:(?:per|/)\s*kg)?\s*$", re.IGNORECASE)
NEEDED = {
    FigureGroup.CHECKS: Role.REVIEWER,
    FigureGroup.JOINTS: Role.ENGINEER,
    FigureGroup.METALS: Role.ENGINEER,
}
"""Group -> the role that sets its figures."""


def may_set(person: Person, group: FigureGroup) -> bool:
    """Whether the person may set figures of the group."""
    return person.has(NEEDED[group])


def set_figure(session: Session, person: Person, key: str, text: str, reference: str, *, version: int) -> bool:
    """Put the site's own value in the place of what holds; whether anything changed. ``version`` is that of the own
    value seen, 0 for the default.

    NotAllowedError without the role; InvalidInputError (``value``, ``reference``) for what is no number, not plausible
    or out of order with its neighbours; ConflictError when the figure has changed since.
    """
    figure = _default(key)
    _check_role(person, figure)
    value = _typed_value(text, figure)
    reason = typed_reference(reference, needed="Say where the value is from, or why it is right here.")
    row = current_row(session, SiteFigureRow, key, lock=True)
    site_versions.check(row, version, CHANGED)
    before = site_of(session).figures
    after = figure.set_to(value, figure_source(reason))
    check_order(with_own([*(other for other in before.values() if other.own and other.key != key), after]))
    values: dict[str, Any] = {"value": value, "reference": reason}
    if row is not None and site_versions.same(row, values):
        return False
    number = last_version(session, SiteFigureRow, key) + 1
    site_versions.succeed(session, person, row, SiteFigureRow(key=key, **site_versions.stamp(person, number), **values))
    _changed(session, figure)
    detail = {"figure": key, "version": number, "before": before[key].value, **values}
    ledger.record(session, person, EntryKind.FIGURE_SET, f"figure {figure.label}", detail)
    return True


def reset_figure(session: Session, person: Person, key: str, *, version: int) -> None:
    """Let the default hold again; what was set stays in the history. Harmless where nothing is set.

    Errors as ``set_figure``: the default may be out of order with neighbours that are set.
    """
    figure = _default(key)
    _check_role(person, figure)
    row = current_row(session, SiteFigureRow, key, lock=True)
    site_versions.check(row, version, CHANGED)
    if row is None:
        return
    check_order(with_own([other for other in site_of(session).figures.values() if other.own and other.key != key]))
    site_versions.end(session, person, row)
    _changed(session, figure)
    detail = {"figure": key, "before": row.value, "value": figure.value}
    ledger.record(session, person, EntryKind.FIGURE_RESET, f"figure {figure.label}", detail)


def figure_versions(session: Session) -> dict[str, int]:
    """Key -> version of the site's own value, for those that are set."""
    return {row.key: row.version for row in current_rows(session, SiteFigureRow)}


def history_of_figure(session: Session, key: str) -> list[Event]:
    """What the site made of it, the newest first; NotFoundError for a key that is none."""
    unit = _default(key).unit

    def words(row: SiteFigureRow) -> dict[str, str]:
        return {"Value": f"{number_text(row.value)} {unit}".rstrip(), "Source": row.reference}

    return site_versions.events(figure_history(session, key), words)


def _typed_value(text: str, figure: SiteFigure) -> float:
    """In the figure's unit; a share ("") may be typed in per cent, a price with "USD/kg", "per kg" or nothing."""
    if figure.group is FigureGroup.METALS:
        text = _PRICE_UNIT.sub("", text)
    if not figure.unit and text.rstrip().endswith("%"):
        return typed_number(text, figure.plausible.scaled(100), field="value", unit="%") / 100
    return typed_number(text, figure.plausible, field="value", unit=figure.unit)


def _default(key: str) -> SiteFigure:
    figure = default_figures().get(key)
    if figure is None:
        raise NotFoundError("There is no such figure.")
    return figure


def _check_role(person: Person, figure: SiteFigure) -> None:
    if not may_set(person, figure.group):
        role = NEEDED[figure.group]
        raise NotAllowedError(
            f"{figure.group.words} are set by people with the role {role}. An administrator can give it under People."
        )


def _changed(session: Session, figure: SiteFigure) -> None:
    if figure.group is FigureGroup.CHECKS:
        staleness.everything_changed(session)
