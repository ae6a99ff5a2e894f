"""Table of actions: who owes what by when."""

from datetime import date, datetime
from typing import ClassVar

from sqlalchemy import CheckConstraint, Date, ForeignKey, Text
from sqlmodel import Field, SQLModel

from webapp.store.base import UtcDateTime

TITLE_LENGTH = 200
NOTE_LENGTH = 1000


class ActionRow(SQLModel, table=True):
    """One action. ``finding_key`` and ``finding_title``: the finding of the product it comes from, if any."""

    __tablename__: ClassVar[str] = "action"
    __table_args__ = (
        CheckConstraint(f"length(title) BETWEEN 1 AND {TITLE_LENGTH}", name="title_length"),
        CheckConstraint(f"length(note) <= {NOTE_LENGTH}", name="note_length"),
        CheckConstraint("(done_at IS NULL) = (done_by IS NULL)", name="done_whole"),
        CheckConstraint("finding_key IS NULL OR route_id IS NOT NULL", name="finding_has_route"),
        CheckConstraint("version >= 1", name="version_positive"),
    )

    id: int | None = Field(default=None, primary_key=True)
    title: str = Field(max_length=TITLE_LENGTH)
    note: str = Field(default="", max_length=NOTE_LENGTH)
    owner_id: int = Field(sa_column_args=[ForeignKey("person.id")], index=True)
    due_on: date | None = Field(default=None, sa_type=Date)
    product_id: int | None = Field(default=None, sa_column_args=[ForeignKey("product.id")], index=True)
    route_id: int | None = Field(default=None, sa_column_args=[ForeignKey("route.id")])
    finding_key: str | None = Field(default=None, sa_type=Text)
    finding_title: str = Field(default="", sa_type=Text)
    created_by: int = Field(sa_column_args=[ForeignKey("person.id")])
    created_at: datetime = Field(sa_type=UtcDateTime)
    done_by: int | None = Field(default=None, sa_column_args=[ForeignKey("person.id")])
    done_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    version: int = 1
