"""Tables of parts, what is stated of them, declarations, and which parts a line may be fitted with."""

from datetime import datetime
from typing import ClassVar

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, Index, Text, UniqueConstraint, text
from sqlmodel import Field, SQLModel

from webapp.store.base import UtcDateTime
from webapp.trade.facts import Claim, PartField, Scope
from webapp.trade.part_keys import KEY_LENGTH
from webapp.trade.sources import Kind, Status

REFERENCE_LENGTH = 300
NOTE_LENGTH = 500


def _one_of(column: str, words: type[PartField] | type[Kind] | type[Status] | type[Claim] | type[Scope]) -> str:
    return f"{column} IN ({', '.join(repr(word.value) for word in words)})"


class PartRow(SQLModel, table=True):
    """A part: ``key`` by trade.part_keys. ``mpn`` is None for a part known only by what its lines say.

    ``package``, ``value``, ``description`` and ``prefix`` (designator letters) are what lists say of it, from which its
    class is read; ``size_system``: the system of the chip codes of that list (inch, metric, or "" for not known).
    ``class_text``: that class in words when it was last looked at, to search by. ``version`` counts edits by people.
    """

    __tablename__: ClassVar[str] = "part"
    __table_args__ = (UniqueConstraint("key"), CheckConstraint("version >= 1", name="version_positive"))

    id: int | None = Field(default=None, primary_key=True)
    key: str = Field(max_length=KEY_LENGTH)
    label: str = Field(sa_type=Text)
    maker: str | None = Field(default=None, sa_type=Text)
    maker_key: str = Field(default="", max_length=KEY_LENGTH, index=True)
    mpn: str | None = Field(default=None, sa_type=Text)
    package: str | None = Field(default=None, sa_type=Text)
    value: str | None = Field(default=None, sa_type=Text)
    description: str | None = Field(default=None, sa_type=Text)
    prefix: str = Field(default="", max_length=KEY_LENGTH)
    size_system: str = Field(default="", max_length=10)
    class_text: str = Field(default="", sa_type=Text)
    created_at: datetime = Field(sa_type=UtcDateTime)
    version: int = 1


class PartValueRow(SQLModel, table=True):
    """One stated value of a part. Nothing is overwritten: a value that is replaced or withdrawn gets ``ended_at``.

    A number is ``low`` to ``high`` (None: no bound), a kind is the bits of ``mask``; ``typed`` is the text as typed.
    """

    __tablename__: ClassVar[str] = "part_value"
    __table_args__ = (
        # One current value a field; past ones stay beside it.
        Index(
            "ux_part_value_current",
            "part_id",
            "field",
            unique=True,
            sqlite_where=text("ended_at IS NULL"),
            postgresql_where=text("ended_at IS NULL"),
        ),
        Index(None, "part_id"),
        CheckConstraint(_one_of("field", PartField), name="field_known"),
        CheckConstraint(_one_of("source_kind", Kind), name="source_kind_known"),
        CheckConstraint(_one_of("source_status", Status), name="source_status_known"),
        CheckConstraint("low IS NULL OR high IS NULL OR low <= high", name="range_forward"),
        CheckConstraint("mask IS NULL OR (mask > 0 AND low IS NULL AND high IS NULL)", name="mask_or_range"),
        CheckConstraint("mask IS NOT NULL OR low IS NOT NULL OR high IS NOT NULL", name="value_given"),
        CheckConstraint(f"length(reference) <= {REFERENCE_LENGTH}", name="reference_length"),
        CheckConstraint(f"length(note) <= {NOTE_LENGTH}", name="note_length"),
        CheckConstraint("(ended_at IS NULL) = (ended_by IS NULL)", name="ended_whole"),
    )

    id: int | None = Field(default=None, primary_key=True)
    part_id: int = Field(sa_column_args=[ForeignKey("part.id")])
    field: str = Field(max_length=30)
    low: float | None = None
    high: float | None = None
    mask: int | None = Field(default=None, sa_type=BigInteger)
    typed: str = Field(sa_type=Text)
    source_kind: str = Field(max_length=20)
    source_status: str = Field(max_length=20)
    reference: str = Field(max_length=REFERENCE_LENGTH)
    note: str = Field(default="", max_length=NOTE_LENGTH)
    stated_by: int = Field(sa_column_args=[ForeignKey("person.id")])
    stated_at: datetime = Field(sa_type=UtcDateTime)
    ended_by: int | None = Field(default=None, sa_column_args=[ForeignKey("person.id")])
    ended_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


class DeclarationRow(SQLModel, table=True):
    """A declaration (trade.facts.Declaration). ``scope_key``: folded maker or part key; ``product_id`` for scope BOM,
    which covers all revisions of that product's BOM; ``maker``: as typed, "" for those of before."""

    __tablename__: ClassVar[str] = "declaration"
    __table_args__ = (
        CheckConstraint(_one_of("claim", Claim), name="claim_known"),
        CheckConstraint(_one_of("scope", Scope), name="scope_known"),
        CheckConstraint("(scope = 'bom') = (product_id IS NOT NULL)", name="bom_has_product"),
        CheckConstraint("(scope IN ('maker', 'part')) = (length(scope_key) > 0)", name="scope_key_given"),
        CheckConstraint("(claim = 'lead-free') = (number IS NULL)", name="number_where_needed"),
        CheckConstraint(f"length(reference) BETWEEN 1 AND {REFERENCE_LENGTH}", name="reference_length"),
        CheckConstraint("(withdrawn_at IS NULL) = (withdrawn_by IS NULL)", name="withdrawn_whole"),
    )

    id: int | None = Field(default=None, primary_key=True)
    claim: str = Field(max_length=30)
    scope: str = Field(max_length=10, index=True)
    scope_key: str = Field(default="", max_length=KEY_LENGTH)
    maker: str = Field(default="", max_length=KEY_LENGTH, sa_column_kwargs={"server_default": ""})
    product_id: int | None = Field(default=None, sa_column_args=[ForeignKey("product.id")], index=True)
    number: float | None = None
    reference: str = Field(max_length=REFERENCE_LENGTH)
    stated_on: str = Field(default="", max_length=10)
    declared_by: int = Field(sa_column_args=[ForeignKey("person.id")])
    declared_at: datetime = Field(sa_type=UtcDateTime)
    withdrawn_by: int | None = Field(default=None, sa_column_args=[ForeignKey("person.id")])
    withdrawn_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


class LinePartRow(SQLModel, table=True):
    """A part that a line may be fitted with: position 0 is the line's own, the others are alternates.

    Only approved ones count; the worst of them decides. ``changed_by`` last said so or otherwise (None: as committed).
    """

    __tablename__: ClassVar[str] = "line_part"
    __table_args__ = (
        UniqueConstraint("line_id", "part_id"),
        CheckConstraint("position >= 0", name="position_not_negative"),
        CheckConstraint("version >= 1", name="version_positive"),
    )

    line_id: int = Field(primary_key=True, sa_column_args=[ForeignKey("bom_line.id", ondelete="CASCADE")])
    position: int = Field(primary_key=True)
    part_id: int = Field(sa_column_args=[ForeignKey("part.id")], index=True)
    approved: bool = True
    changed_by: int | None = Field(default=None, sa_column_args=[ForeignKey("person.id")])
    changed_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    version: int = 1


class PartUseRow(SQLModel, table=True):
    """A part that the newest revision of a product may be fitted with, approved or taken out: what its lines say, so
    that lists of parts need not read all lines of all products."""

    __tablename__: ClassVar[str] = "part_use"

    part_id: int = Field(primary_key=True, sa_column_args=[ForeignKey("part.id")])
    product_id: int = Field(primary_key=True, sa_column_args=[ForeignKey("product.id")], index=True)
