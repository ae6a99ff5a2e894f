"""Alloys of the site's own: composition checked, melting calculated or stated, each edit a version.

An edit makes the cases that use the alloy stale; re-assess after the commit.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from sqlmodel import Session

from webapp.desk import ledger, site_versions, staleness
from webapp.desk.site import own_alloy
from webapp.desk.site_versions import Event
from webapp.desk.typed import typed_number, typed_reference, typed_temperature
from webapp.errors import InvalidInputError, NotFoundError
from webapp.science.melting import MeltingRange, NotCovered, melting_range
from webapp.science.parameters import data_version
from webapp.store.site import (
    SiteAlloyRow,
    SitePasteRow,
    SiteUse,
    alloy_history,
    alloy_uses,
    current_row,
    current_rows,
    last_version,
)
from webapp.trade.alloys import Alloy
from webapp.trade.composition import Composition
from webapp.trade.ledger import EntryKind
from webapp.trade.materials import tabulated
from webapp.trade.own_alloys import ALLOY_LIMITS, NAME_LENGTH, check_designation, tidy_designation
from webapp.trade.people import Person
from webapp.trade.ranges import Span, degrees_text, number_text
from webapp.trade.typed_text import tidy_line

CHANGED = "Somebody else changed this alloy meanwhile. It stands below as it is now, beside what you typed."
_DIGITS = 4


@dataclass(frozen=True, slots=True)
class AlloyForm:
    """An alloy as typed: temperatures in °C or °F, density in g/cm³; "" is left to the calculation."""

    designation: str
    composition: str
    name: str = ""
    solidus_c: str = ""
    melted_c: str = ""
    liquidus_c: str = ""
    density_g_cm3: str = ""
    reference: str = ""


@dataclass(frozen=True, slots=True)
class NewAlloy:
    """An alloy read and checked, melting included: ``values`` are those of its row."""

    designation: str
    values: dict[str, Any]


@dataclass(frozen=True, slots=True)
class StoredAlloy:
    """An alloy of the site's own as it holds now."""

    alloy: Alloy
    version: int
    row: SiteAlloyRow

    @property
    def form(self) -> AlloyForm:
        """As it would be typed: what is calculated is left open."""
        row = self.row
        return AlloyForm(
            designation=row.designation,
            composition=composition_text(row.composition_wt_pct),
            name=row.name,
            solidus_c=number_text(row.solidus_c) if row.typed_solidus else "",
            melted_c=number_text(row.melted_c) if row.typed_liquid else "",
            liquidus_c=number_text(row.liquidus_c) if row.typed_liquid else "",
            density_g_cm3=number_text(row.density_g_cm3) if row.typed_density else "",
            reference=row.reference,
        )


def composition_text(wt_pct: Mapping[str, float]) -> str:
    """ "Sn99.244Cu0.7Ni0.05Ge0.006": as typed, to 0.0001 wt%."""
    return "".join(f"{symbol}{number_text(share)}" for symbol, share in wt_pct.items())


def read_alloy(form: AlloyForm) -> NewAlloy:
    """Check what was typed and calculate the rest; nothing is stored. Call it before the transaction begins.

    InvalidInputError names the field: designation, composition, name, solidus_c, melted_c, liquidus_c, density_g_cm3
    or reference. Where the thermodynamic data do not cover the alloy, solidus and liquidus have to be stated; a 99 %
    point left open is the stated liquidus, which is on the safe side of it.
    """
    designation = tidy_designation(form.designation)
    composition = tabulated().composition(form.composition).rounded(_DIGITS)
    check_designation(designation, composition)
    name = tidy_line(form.name, field="name") or composition.text
    if len(name) > NAME_LENGTH:
        raise InvalidInputError(f"A name has at most {NAME_LENGTH} characters.", field="name")
    typed = {
        field: typed_temperature(text, ALLOY_LIMITS[field], field=field)
        for field in ("solidus_c", "melted_c", "liquidus_c")
        if (text := getattr(form, field)).strip()
    }
    values: dict[str, Any] = {"name": name, "composition_wt_pct": composition.wt_pct}
    values |= _melting(composition, typed)
    values |= _density(composition, form.density_g_cm3)
    is_stated = values["typed_solidus"] or values["typed_liquid"] or values["typed_density"]
    needed = "Name the document that the stated values are from." if is_stated else ""
    values["reference"] = typed_reference(form.reference, needed=needed)
    return NewAlloy(designation, values)


def save_alloy(session: Session, person: Person, new: NewAlloy, *, version: int = 0) -> bool:
    """Store a new alloy (``version`` 0), or the next state of one seen at ``version``; whether anything changed.

    InvalidInputError (``designation``) for a designation that is taken; ConflictError when the alloy has changed since.
    """
    key = new.designation.casefold()
    row = current_row(session, SiteAlloyRow, key, lock=True)
    if version == 0 and row is not None:
        raise InvalidInputError(f'There is an alloy "{row.designation}" already.', field="designation")
    site_versions.check(row, version, CHANGED)
    if row is not None and site_versions.same(row, new.values):
        return False
    designation = row.designation if row is not None else new.designation
    number = last_version(session, SiteAlloyRow, key) + 1
    site_versions.succeed(
        session,
        person,
        row,
        SiteAlloyRow(key=key, designation=designation, **site_versions.stamp(person, number), **new.values),
    )
    staleness.alloy_changed(session, designation)
    detail = {"alloy": designation, "version": number, **new.values}
    ledger.record(session, person, EntryKind.ALLOY_SAVED, f"alloy {designation}", detail)
    return True


def retire_alloy(session: Session, person: Person, designation: str, *, version: int) -> None:
    """Take an alloy out of use; its history stays. InvalidInputError says what still uses it."""
    row = _row(session, designation, lock=True)
    site_versions.check(row, version, CHANGED)
    used = _used_by(session, row.designation)
    if used:
        raise InvalidInputError(f"{row.designation} is in use and cannot be retired: {'; '.join(used)}.")
    site_versions.end(session, person, row)
    ledger.record(session, person, EntryKind.ALLOY_RETIRED, f"alloy {row.designation}", {"alloy": row.designation})


def stored_alloy(session: Session, designation: str) -> StoredAlloy:
    """An alloy of the site's own; NotFoundError when there is none of that designation (any more)."""
    row = _row(session, designation)
    return StoredAlloy(own_alloy(row), row.version, row)


def history_of_alloy(session: Session, designation: str) -> list[Event]:
    """What became of it, the newest first; NotFoundError for an alloy that never was the site's own."""
    history = alloy_history(session, designation.casefold())
    if not history:
        raise NotFoundError(f'The site has no alloy "{designation[:40]}" of its own.')
    return site_versions.events(history, _words)


def uses_of_alloy(session: Session, designation: str) -> list[SiteUse]:
    """The routes with a step that uses it."""
    return alloy_uses(session, designation).get(designation, [])


def _row(session: Session, designation: str, *, lock: bool = False) -> SiteAlloyRow:
    row = current_row(session, SiteAlloyRow, designation.casefold(), lock=lock)
    if row is None:
        raise NotFoundError(f'The site has no alloy "{designation[:40]}" of its own.')
    return row


def _words(row: SiteAlloyRow) -> dict[str, str]:
    how = {True: "stated", False: "calculated"}
    return {
        "Name": row.name,
        "Composition": composition_text(row.composition_wt_pct),
        "Solidus": f"{degrees_text(row.solidus_c)} °C, {how[row.typed_solidus]}",
        "99 % liquid": f"{degrees_text(row.melted_c)} °C, {how[row.typed_liquid]}",
        "Liquidus": f"{degrees_text(row.liquidus_c)} °C, {how[row.typed_liquid]}",
        "Density": f"{number_text(round(row.density_g_cm3, 2))} g/cm³, {how[row.typed_density]}",
        "Stated in": row.reference,
    }


def _used_by(session: Session, designation: str) -> list[str]:
    pastes = [row.name for row in current_rows(session, SitePasteRow) if row.alloy == designation]
    return [f"paste {name}" for name in pastes] + site_versions.use_words(uses_of_alloy(session, designation))


def _melting(composition: Composition, typed: Mapping[str, float]) -> dict[str, Any]:
    """The three temperatures, which of them are stated, and the data of those that are calculated."""
    if "melted_c" in typed and "liquidus_c" not in typed:
        raise InvalidInputError("State the liquidus too: it is the last of the alloy to melt.", field="liquidus_c")
    stated_solidus, stated_liquid = "solidus_c" in typed, "liquidus_c" in typed
    is_stated = stated_solidus and stated_liquid
    found = None if is_stated else _calculated(composition, typed)
    solidus = typed["solidus_c"] if stated_solidus or found is None else found.solidus_c
    if stated_liquid or found is None:
        liquidus = typed["liquidus_c"]
        melted = typed.get("melted_c", liquidus)
    else:
        liquidus, melted = found.liquidus_c, found.mostly_liquid_c
    temperatures = _in_order({"solidus_c": solidus, "melted_c": melted, "liquidus_c": liquidus})
    return {
        **temperatures,
        "typed_solidus": stated_solidus,
        "typed_liquid": stated_liquid,
        "data_version": None if is_stated else data_version(),
    }


def _calculated(composition: Composition, typed: Mapping[str, float]) -> MeltingRange:
    found = melting_range(composition)
    if isinstance(found, NotCovered):
        missing = "solidus_c" if "solidus_c" not in typed else "liquidus_c"
        raise InvalidInputError(
            f"The melting of this alloy cannot be calculated: {found.reason.rstrip('.')}. "
            "State its solidus and liquidus, and the document they are from.",
            field=missing,
        )
    return found


def _in_order(temperatures: Mapping[str, float]) -> dict[str, float]:
    names = {"solidus_c": "The solidus", "melted_c": "The 99 % point", "liquidus_c": "The liquidus"}
    for lower, higher in pairwise(temperatures):
        if temperatures[lower] > temperatures[higher]:
            raise InvalidInputError(
                f"{names[lower]}, {degrees_text(temperatures[lower])} °C, is above "
                f"{names[higher].casefold()}, {degrees_text(temperatures[higher])} °C.",
                field=lower,
            )
    return dict(temperatures)


def _density(composition: Composition, text: str) -> dict[str, Any]:
    if text.strip():
        limits: Span = ALLOY_LIMITS["density_g_cm3"]
        return {
            "density_g_cm3": typed_number(text, limits, field="density_g_cm3", unit="g/cm³"),
            "typed_density": True,
        }
    return {"density_g_cm3": composition.density_g_cm3, "typed_density": False}
