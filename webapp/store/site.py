"""Tables of what a whole site has: its own alloys and pastes, and the figures it set its own way.

Nothing is overwritten: an edit is a new row with the next version, and the row before it ends at the same moment by the
same person. What is retired or reset ends without a row after it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar, Generic, TypeVar

from sqlalchemy import JSON, CheckConstraint, ColumnElement, Index, SQLColumnExpression, Text, text
from sqlalchemy.orm import aliased
from sqlmodel import Field, Session, SQLModel, col, select

from webapp.store.base import UtcDateTime
from webapp.store.parts import REFERENCE_LENGTH
from webapp.store.people import PersonRow
from webapp.store.products import ProductRow
from webapp.store.setups import RouteRow, RouteStepRow
from webapp.trade.own_alloys import ALLOY_LIMITS, DESIGNATION_LENGTH
from webapp.trade.own_alloys import NAME_LENGTH as ALLOY_NAME_LENGTH
from webapp.trade.pastes import NAME_LENGTH, PASTE_LIMITS, powders

FIGURE_KEY_LENGTH = 40
# Folding may make a letter into three.
_FOLDED = 3


class Versioned(SQLModel):
    """What the three tables share: ``key`` (folded name) stands for the thing, ``ended_at`` is None for what holds."""

    id: int | None = Field(default=None, primary_key=True)
    reference: str = Field(default="", max_length=REFERENCE_LENGTH)
    version: int = 1
    saved_by: int = Field(foreign_key="person.id")
    saved_at: datetime = Field(sa_type=UtcDateTime)
    ended_by: int | None = Field(default=None, foreign_key="person.id")
    ended_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


def _shared(table: str) -> tuple[Index | CheckConstraint, ...]:
    return (
        Index(
            f"ux_{table}_current",
            "key",
            unique=True,
            sqlite_where=text("ended_at IS NULL"),
            postgresql_where=text("ended_at IS NULL"),
        ),
        CheckConstraint("version >= 1", name="version_positive"),
        CheckConstraint(f"length(reference) <= {REFERENCE_LENGTH}", name="reference_length"),
        CheckConstraint("(ended_at IS NULL) = (ended_by IS NULL)", name="ended_whole"),
    )


class SiteAlloyRow(Versioned, table=True):
    """An alloy of the site's own, as trade.alloys.Alloy has it.

    ``typed_solidus``, ``typed_liquid`` (99 % point and liquidus), ``typed_density``: what people stated, with
    ``reference``; the rest is calculated, the melting with the thermodynamic data of ``data_version``.
    """

    __tablename__: ClassVar[str] = "site_alloy"
    __table_args__ = (
        *_shared("site_alloy"),
        CheckConstraint(
            " AND ".join(f"{name} BETWEEN {span.low:g} AND {span.high:g}" for name, span in ALLOY_LIMITS.items()),
            name="plausible",
        ),
        CheckConstraint("solidus_c <= melted_c AND melted_c <= liquidus_c", name="melts_upwards"),
        CheckConstraint(f"length(designation) BETWEEN 1 AND {DESIGNATION_LENGTH}", name="designation_length"),
        CheckConstraint(f"length(name) BETWEEN 1 AND {ALLOY_NAME_LENGTH}", name="name_length"),
        CheckConstraint("(typed_solidus AND typed_liquid) = (data_version IS NULL)", name="calculated_with_data"),
        CheckConstraint(
            "NOT (typed_solidus OR typed_liquid OR typed_density) OR length(reference) > 0", name="typed_has_reference"
        ),
    )

    key: str = Field(max_length=_FOLDED * DESIGNATION_LENGTH)
    designation: str = Field(max_length=DESIGNATION_LENGTH)
    name: str = Field(max_length=ALLOY_NAME_LENGTH)
    composition_wt_pct: dict[str, float] = Field(sa_type=JSON)
    solidus_c: float
    melted_c: float
    liquidus_c: float
    density_g_cm3: float
    typed_solidus: bool
    typed_liquid: bool
    typed_density: bool
    data_version: str | None = Field(default=None, max_length=12)


class SitePasteRow(Versioned, table=True):
    """A paste of the site's own, as trade.pastes.Paste has it. ``first_id``: the row of its version 1, None in that row
    itself; so it stays the same paste under another name."""

    __tablename__: ClassVar[str] = "site_paste"
    __table_args__ = (
        *_shared("site_paste"),
        Index(None, "first_id"),
        CheckConstraint(f"length(name) BETWEEN 1 AND {NAME_LENGTH}", name="name_length"),
        CheckConstraint(f"powder BETWEEN {min(powders())} AND {max(powders())}", name="powder_known"),
        CheckConstraint(
            f"metal_wt_pct BETWEEN {PASTE_LIMITS['metal_wt_pct'].low:g} AND {PASTE_LIMITS['metal_wt_pct'].high:g}",
            name="metal_plausible",
        ),
        CheckConstraint("length(flux) = 4", name="flux_length"),
        CheckConstraint(
            f"{PASTE_LIMITS['peak_c'].low:g} <= peak_low_c AND peak_low_c <= peak_high_c "
            f"AND peak_high_c <= {PASTE_LIMITS['peak_c'].high:g}",
            name="peak_plausible",
        ),
        CheckConstraint(
            f"{PASTE_LIMITS['above_liquidus_s'].low:g} <= above_low_s AND above_low_s <= above_high_s "
            f"AND above_high_s <= {PASTE_LIMITS['above_liquidus_s'].high:g}",
            name="time_plausible",
        ),
        CheckConstraint("length(reference) > 0", name="has_reference"),
    )

    first_id: int | None = Field(default=None, foreign_key="site_paste.id")
    key: str = Field(max_length=_FOLDED * NAME_LENGTH)
    name: str = Field(max_length=NAME_LENGTH)
    alloy: str = Field(sa_type=Text)
    powder: int
    metal_wt_pct: float
    flux: str = Field(max_length=4)
    peak_low_c: float
    peak_high_c: float
    above_low_s: float
    above_high_s: float


class SiteFigureRow(Versioned, table=True):
    """A figure of the site's own: ``key`` and ``value`` as trade.figures.SiteFigure has them. What is plausible differs
    by key and is the table's to say."""

    __tablename__: ClassVar[str] = "site_figure"
    __table_args__ = (
        *_shared("site_figure"),
        CheckConstraint(f"length(key) BETWEEN 1 AND {FIGURE_KEY_LENGTH}", name="key_length"),
        CheckConstraint("length(reference) > 0", name="has_reference"),
    )

    key: str = Field(max_length=FIGURE_KEY_LENGTH)
    value: float


_Row = TypeVar("_Row", SiteAlloyRow, SitePasteRow, SiteFigureRow)


def current_rows(session: Session, table: type[_Row]) -> Sequence[_Row]:
    """What holds now, in the order of the keys."""
    return session.exec(select(table).where(col(table.ended_at).is_(None)).order_by(col(table.key))).all()


def current_row(session: Session, table: type[_Row], key: str, *, lock: bool = False) -> _Row | None:
    """What holds now under this key; None for nothing."""
    query = select(table).where(table.key == key, col(table.ended_at).is_(None))
    return session.exec(query.with_for_update() if lock else query).one_or_none()


def current_paste(session: Session, paste_id: int, *, lock: bool = False) -> SitePasteRow | None:
    """What holds now of the paste that began with row ``paste_id``; None when it is retired or none."""
    query = select(SitePasteRow).where(_of_paste(paste_id), col(SitePasteRow.ended_at).is_(None))
    return session.exec(query.with_for_update() if lock else query).one_or_none()


def last_version(session: Session, table: type[_Row], key: str) -> int:
    """The newest version there ever was under this key; 0 for none."""
    query = select(table.version).where(table.key == key).order_by(col(table.version).desc()).limit(1)
    return session.exec(query).first() or 0


@dataclass(frozen=True, slots=True)
class Past(Generic[_Row]):
    """One version: who saved it and, where it ended and nothing took its place, who ended it."""

    row: _Row
    saved_by: str
    ended_by: str | None


def alloy_history(session: Session, key: str) -> list[Past[SiteAlloyRow]]:
    """All versions of an alloy, the newest first."""
    return _history(session, SiteAlloyRow, col(SiteAlloyRow.key) == key)


def paste_history(session: Session, paste_id: int) -> list[Past[SitePasteRow]]:
    """All versions of a paste, under whatever names, the newest first."""
    return _history(session, SitePasteRow, _of_paste(paste_id))


def figure_history(session: Session, key: str) -> list[Past[SiteFigureRow]]:
    """All values that the site gave a figure, the newest first."""
    return _history(session, SiteFigureRow, col(SiteFigureRow.key) == key)


def _of_paste(paste_id: int) -> ColumnElement[bool]:
    return (col(SitePasteRow.id) == paste_id) | (col(SitePasteRow.first_id) == paste_id)


def _history(session: Session, table: type[_Row], which: ColumnElement[bool]) -> list[Past[_Row]]:
    ender = aliased(PersonRow)
    query = (
        select(table, PersonRow.name, ender.name)
        .join(PersonRow, col(PersonRow.id) == col(table.saved_by))
        .outerjoin(ender, col(ender.id) == col(table.ended_by))
        .where(which)
        .order_by(col(table.version).desc())
    )
    found = session.exec(query).all()
    begun = {row.saved_at for row, _, _ in found}
    return [Past(row, saver, None if row.ended_at in begun else ended) for row, saver, ended in found]


@dataclass(frozen=True, slots=True)
class SiteUse:
    """A route with a step that uses an alloy or a paste; the product it is of."""

    product_id: int
    code: str
    product: str
    route: str


def alloy_uses(session: Session, designation: str | None = None) -> dict[str, list[SiteUse]]:
    """Designation -> the routes that use it; of one alloy, or of all."""
    return _uses(session, col(RouteStepRow.alloy), designation)


def paste_uses(session: Session, name: str | None = None) -> dict[str, list[SiteUse]]:
    """Name of a paste -> the routes that use it; of one paste, or of all."""
    return _uses(session, col(RouteStepRow.paste), name)


def _uses(session: Session, column: SQLColumnExpression[str | None], wanted: str | None) -> dict[str, list[SiteUse]]:
    query = (
        select(column, RouteRow.name, ProductRow)
        .join(RouteRow, col(RouteRow.id) == col(RouteStepRow.route_id))
        .join(ProductRow, col(ProductRow.id) == col(RouteRow.product_id))
        .where(col(RouteRow.archived_at).is_(None), column.is_not(None))
        .order_by(col(ProductRow.code_key), col(RouteRow.is_today).desc(), col(RouteRow.position))
    )
    # As keys of dictionaries: each route once, in this order, however many steps name it.
    found: dict[str, dict[SiteUse, None]] = {}
    for name, route, product in session.exec(query if wanted is None else query.where(column == wanted)):
        found.setdefault(name or "", {})[SiteUse(product.id or 0, product.code, product.name, route)] = None
    return {name: list(uses) for name, uses in found.items()}
