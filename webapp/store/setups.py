"""Tables of what a product is, where it is used, and the routes by which it is soldered."""

from datetime import datetime
from typing import ClassVar

from sqlalchemy import CheckConstraint, ForeignKey, Index, Text, UniqueConstraint, text
from sqlmodel import Field, SQLModel

from webapp.store.base import UtcDateTime
from webapp.trade.masks import BoardFinish
from webapp.trade.pastes import NAME_LENGTH as PASTE_NAME_LENGTH
from webapp.trade.ranges import Span
from webapp.trade.route import NAME_LENGTH, STEP_LIMITS, Side, StepKind
from webapp.trade.setup import LIMITS, DropClass


def _between(limits: dict[str, Span]) -> str:
    return " AND ".join(f"({n} IS NULL OR {n} BETWEEN {s.low:g} AND {s.high:g})" for n, s in limits.items())


def _words(column: str, kinds: type[Side] | type[StepKind] | type[DropClass]) -> str:
    return f"{column} IN ({', '.join(repr(kind.value) for kind in kinds)})"


class ProductSetupRow(SQLModel, table=True):
    """Board and environment of a product, as trade.setup has them; None is "not known". The limits are those of
    ``trade.setup.LIMITS``."""

    __tablename__: ClassVar[str] = "product_setup"
    __table_args__ = (
        CheckConstraint(_between(LIMITS), name="plausible"),
        CheckConstraint("t_min_c IS NULL OR t_max_c IS NULL OR t_min_c <= t_max_c", name="ambient_forward"),
        CheckConstraint(f"finish BETWEEN 1 AND {int(BoardFinish.everything())}", name="finish_known"),
        CheckConstraint(_words("drop_class", DropClass), name="drop_class_known"),
        CheckConstraint("version >= 1", name="version_positive"),
    )

    product_id: int = Field(primary_key=True, sa_column_args=[ForeignKey("product.id")])
    length_mm: float | None = None
    width_mm: float | None = None
    thickness_mm: float | None = None
    layers: int | None = None
    copper_um: float | None = None
    laminate_tg_c: float | None = None
    laminate_td_c: float | None = None
    cte_ppm_k: float | None = None
    finish: int
    t_min_c: float | None = None
    t_max_c: float | None = None
    board_heating_k: float | None = None
    cycles_per_day: float | None = None
    years: float | None = None
    drop_class: str | None = Field(default=None, max_length=12)
    humidity_pct: float | None = None
    bias_v: float | None = None
    changed_by: int = Field(sa_column_args=[ForeignKey("person.id")])
    changed_at: datetime = Field(sa_type=UtcDateTime)
    version: int = 1


class RouteRow(SQLModel, table=True):
    """A route of a product; exactly one may be today's."""

    __tablename__: ClassVar[str] = "route"
    __table_args__ = (
        Index(
            "ux_route_today",
            "product_id",
            unique=True,
            sqlite_where=text("is_today AND archived_at IS NULL"),
            postgresql_where=text("is_today AND archived_at IS NULL"),
        ),
        Index(
            "ux_route_name",
            "product_id",
            "name_key",
            unique=True,
            sqlite_where=text("archived_at IS NULL"),
            postgresql_where=text("archived_at IS NULL"),
        ),
        Index(None, "product_id"),
        CheckConstraint(f"length(name) BETWEEN 1 AND {NAME_LENGTH}", name="name_length"),
        CheckConstraint("position >= 0", name="position_not_negative"),
        CheckConstraint("version >= 1", name="version_positive"),
    )

    id: int | None = Field(default=None, primary_key=True)
    product_id: int = Field(sa_column_args=[ForeignKey("product.id")])
    name: str = Field(max_length=NAME_LENGTH)
    name_key: str = Field(max_length=3 * NAME_LENGTH)
    is_today: bool = False
    position: int = 0
    changed_by: int = Field(sa_column_args=[ForeignKey("person.id")])
    changed_at: datetime = Field(sa_type=UtcDateTime)
    archived_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    version: int = 1


class RouteStepRow(SQLModel, table=True):
    """A step of a route, as trade.route.Step has it. ``alloy`` is kept in step with that of the paste it names."""

    __tablename__: ClassVar[str] = "route_step"
    __table_args__ = (
        UniqueConstraint("route_id", "position"),
        CheckConstraint(_between(STEP_LIMITS), name="plausible"),
        CheckConstraint(_words("kind", StepKind), name="kind_known"),
        CheckConstraint(_words("side", Side), name="side_known"),
        CheckConstraint(f"length(name) <= {NAME_LENGTH}", name="name_length"),
        CheckConstraint("position >= 0", name="position_not_negative"),
        CheckConstraint("paste IS NULL OR alloy IS NOT NULL", name="paste_has_alloy"),
        CheckConstraint(f"length(paste) <= {PASTE_NAME_LENGTH}", name="paste_length"),
    )

    id: int | None = Field(default=None, primary_key=True)
    route_id: int = Field(sa_column_args=[ForeignKey("route.id", ondelete="CASCADE")])
    position: int
    kind: str = Field(max_length=20)
    name: str = Field(default="", max_length=NAME_LENGTH)
    side: str | None = Field(default=None, max_length=6)
    alloy: str | None = Field(default=None, sa_type=Text)
    peak_c: float | None = None
    spread_k: float = 0.0
    above_melting_s: float | None = None
    hours: float | None = None
    neighbour_c: float | None = None
    paste: str | None = Field(default=None, sa_type=Text)
    foil_mm: float | None = None
    wave_side_c: float | None = None
