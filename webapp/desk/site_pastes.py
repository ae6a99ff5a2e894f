"""Pastes of the site's own, by their data sheets; each edit a version.

Steps name their paste: a new name or another alloy goes along into the routes, in the same transaction.
"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import update
from sqlmodel import Session, col

from webapp.desk import ledger, site_versions, staleness
from webapp.desk.site import own_paste
from webapp.desk.site_versions import Event
from webapp.desk.typed import typed_number, typed_range, typed_reference
from webapp.errors import InvalidInputError, NotFoundError
from webapp.store.setups import RouteStepRow
from webapp.store.site import (
    SitePasteRow,
    SiteUse,
    current_paste,
    current_row,
    current_rows,
    paste_history,
    paste_uses,
)
from webapp.trade.alloys import Alloy, alloys
from webapp.trade.ledger import EntryKind
from webapp.trade.materials import Materials
from webapp.trade.pastes import NAME_LENGTH, PASTE_LIMITS, Paste, parse_flux, paste_examples, powders
from webapp.trade.people import Person
from webapp.trade.ranges import Span, degrees_text, number_text
from webapp.trade.temperatures import parse_temperature
from webapp.trade.typed_text import tidy_line

CHANGED = "Somebody else changed this paste meanwhile. It stands below as it is now, beside what you typed."


@dataclass(frozen=True, slots=True)
class PasteForm:
    """A paste as typed: ``peak_c`` a range in °C or °F, ``above_liquidus_s`` a range in seconds."""

    name: str = ""
    alloy: str = ""
    powder: str = ""
    metal_wt_pct: str = ""
    flux: str = ""
    peak_c: str = ""
    above_liquidus_s: str = ""
    reference: str = ""


@dataclass(frozen=True, slots=True)
class NewPaste:
    """A paste read and checked: ``values`` are those of its row."""

    values: dict[str, Any]


@dataclass(frozen=True, slots=True)
class StoredPaste:
    """A paste of the site's own as it holds now; ``id`` stays through all its versions and names."""

    id: int
    paste: Paste
    version: int

    @property
    def form(self) -> PasteForm:
        """As it would be typed."""
        return form_of(self.paste)


def form_of(paste: Paste) -> PasteForm:
    """A paste as it would be typed."""
    return PasteForm(
        name=paste.name,
        alloy=paste.alloy,
        powder=str(paste.powder.number),
        metal_wt_pct=number_text(paste.metal_wt_pct),
        flux=paste.flux.designator,
        peak_c=_range_text(paste.peak_c),
        above_liquidus_s=_range_text(paste.above_liquidus_s),
        reference=paste.source.reference,
    )


def form_from_example(number: int) -> PasteForm:
    """The example of that position as a start: name and data sheet are the site's to give. NotFoundError."""
    examples = paste_examples()
    if not 0 <= number < len(examples):
        raise NotFoundError("There is no such example.")
    typed = form_of(examples[number])
    return PasteForm(
        alloy=typed.alloy,
        powder=typed.powder,
        metal_wt_pct=typed.metal_wt_pct,
        flux=typed.flux,
        peak_c=typed.peak_c,
        above_liquidus_s=typed.above_liquidus_s,
    )


def read_paste(form: PasteForm, materials: Materials) -> NewPaste:
    """Check what was typed; nothing is stored. InvalidInputError names the field."""
    name = tidy_line(form.name, field="name")
    if not 1 <= len(name) <= NAME_LENGTH:
        raise InvalidInputError(f"A paste's name has 1 to {NAME_LENGTH} characters.", field="name")
    if name.casefold() in {example.name.casefold() for example in paste_examples()}:
        raise InvalidInputError("That is the name of an example; give the paste its own.", field="name")
    names = {listed.name.casefold() for listed in alloys().values()}
    if name.casefold() in names or materials.alloy_named(name) is not None:
        raise InvalidInputError("That is what an alloy is called; give the paste a name of its own.", field="name")
    alloy = materials.alloy(form.alloy)
    if alloy is None:
        raise InvalidInputError("Choose the alloy of its powder.", field="alloy")
    powder = form.powder.strip()
    if powder not in {str(number) for number in powders()}:
        raise InvalidInputError(f"A powder type is {min(powders())} to {max(powders())}.", field="powder")
    peak = _peak(form.peak_c, alloy)
    above = typed_range(
        _given(form.above_liquidus_s, "above_liquidus_s"),
        PASTE_LIMITS["above_liquidus_s"],
        field="above_liquidus_s",
        unit="s",
    )
    metal = typed_number(
        _given(form.metal_wt_pct, "metal_wt_pct"), PASTE_LIMITS["metal_wt_pct"], field="metal_wt_pct", unit="%"
    )
    return NewPaste(
        {
            "name": name,
            "key": name.casefold(),
            "alloy": alloy.designation,
            "powder": int(powder),
            "metal_wt_pct": metal,
            "flux": parse_flux(form.flux).designator,
            "peak_low_c": peak.low,
            "peak_high_c": peak.high,
            "above_low_s": above.low,
            "above_high_s": above.high,
            "reference": typed_reference(form.reference, needed="Name the data sheet, with its revision or date."),
        }
    )


def save_paste(
    session: Session, person: Person, new: NewPaste, *, paste_id: int | None = None, version: int = 0
) -> int:
    """Store a new paste, or the next state of ``paste_id`` seen at ``version``; its id.

    InvalidInputError (``name``) for a name that is taken; ConflictError when the paste has changed since.
    """
    row = current_paste(session, paste_id, lock=True) if paste_id is not None else None
    if paste_id is not None:
        if row is None:
            raise NotFoundError("There is no such paste (any more).")
        site_versions.check(row, version, CHANGED)
    other = current_row(session, SitePasteRow, str(new.values["key"]))
    if other is not None and (row is None or other.id != row.id):
        raise InvalidInputError(f'There is a paste "{other.name}" already.', field="name")
    if row is not None and site_versions.same(row, new.values):
        return paste_id or 0
    number = row.version + 1 if row is not None else 1
    after = SitePasteRow(first_id=paste_id, **site_versions.stamp(person, number), **new.values)
    site_versions.succeed(session, person, row, after)
    if row is not None:
        _follow(session, row.name, after)
    detail: dict[str, Any] = {"paste": after.name, "version": number, **new.values}
    if row is not None and row.name != after.name:
        detail["was called"] = row.name
    ledger.record(session, person, EntryKind.PASTE_SAVED, f"paste {after.name}", detail)
    return paste_id or after.id or 0


def retire_paste(session: Session, person: Person, paste_id: int, *, version: int) -> None:
    """Take a paste out of use; its history stays. InvalidInputError says which steps still name it."""
    row = _row(session, paste_id, lock=True)
    site_versions.check(row, version, CHANGED)
    if used := site_versions.use_words(uses_of_paste(session, row.name)):
        raise InvalidInputError(f"{row.name} is in use and cannot be retired: {'; '.join(used)}.")
    site_versions.end(session, person, row)
    ledger.record(session, person, EntryKind.PASTE_RETIRED, f"paste {row.name}", {"paste": row.name})


def stored_pastes(session: Session) -> list[StoredPaste]:
    """The pastes of the site's own, by name."""
    return [_stored(row) for row in current_rows(session, SitePasteRow)]


def stored_paste(session: Session, paste_id: int) -> StoredPaste:
    """One of them; NotFoundError when there is none (any more)."""
    return _stored(_row(session, paste_id))


def history_of_paste(session: Session, paste_id: int) -> list[Event]:
    """What became of it, the newest first; NotFoundError when it never was."""
    history = paste_history(session, paste_id)
    if not history:
        raise NotFoundError("There is no such paste.")
    return site_versions.events(history, _words)


def last_name(session: Session, paste_id: int) -> str:
    """What it is called, or was last; NotFoundError when it never was."""
    history = paste_history(session, paste_id)
    if not history:
        raise NotFoundError("There is no such paste.")
    return history[0].row.name


def uses_of_paste(session: Session, name: str) -> list[SiteUse]:
    """The routes with a step that names it."""
    return paste_uses(session, name).get(name, [])


def _row(session: Session, paste_id: int, *, lock: bool = False) -> SitePasteRow:
    row = current_paste(session, paste_id, lock=lock)
    if row is None:
        raise NotFoundError("There is no such paste (any more).")
    return row


def _stored(row: SitePasteRow) -> StoredPaste:
    return StoredPaste(row.first_id or row.id or 0, own_paste(row), row.version)


def _words(row: SitePasteRow) -> dict[str, str]:
    paste = own_paste(row)
    return {
        "Name": paste.name,
        "Alloy": paste.alloy,
        "Powder type": str(paste.powder.number),
        "Metal": f"{number_text(paste.metal_wt_pct)} wt%",
        "Flux": paste.flux.designator,
        "Peak at the joints": paste.peak_c.text("°C"),
        "Above the liquidus": paste.above_liquidus_s.text("s"),
        "Data sheet": paste.source.reference,
    }


def _follow(session: Session, name: str, after: SitePasteRow) -> None:
    """The steps that name the paste take its new name and its alloy."""
    steps = (
        update(RouteStepRow)
        .where(col(RouteStepRow.paste) == name)
        .values(paste=after.name, alloy=after.alloy)
        .execution_options(synchronize_session=False)
    )
    session.connection().execute(steps)
    staleness.paste_changed(session, after.name)


def _given(text: str, field: str) -> str:
    if not text.strip():
        raise InvalidInputError("The data sheet says it: give it.", field=field)
    return text


def _peak(text: str, alloy: Alloy) -> Span:
    """The window, in which the alloy must melt."""
    peak = parse_temperature(_given(text, "peak_c"), plausible=PASTE_LIMITS["peak_c"], field="peak_c").span_c
    lowest = f"no joint forms at {degrees_text(peak.low)} °C"
    if peak.low < alloy.solidus_c:
        begins = degrees_text(alloy.solidus_c)
        raise InvalidInputError(f"{alloy.designation} begins to melt at {begins} °C: {lowest}.", field="peak_c")
    if peak.low < alloy.melted_c:
        melted = degrees_text(alloy.melted_c)
        raise InvalidInputError(f"{alloy.designation} is 99 % liquid at {melted} °C only: {lowest}.", field="peak_c")
    return peak


def _range_text(span: Span) -> str:
    return number_text(span.low) if span.known else f"{number_text(span.low)}…{number_text(span.high)}"
