"""Tables of products, their BOM revisions and the lines of these."""

from datetime import datetime
from typing import Any, ClassVar

from sqlalchemy import JSON, CheckConstraint, ForeignKey, Text, UniqueConstraint
from sqlmodel import Field, SQLModel

from webapp.store.base import UtcDateTime
from webapp.store.uploads import FILENAME_LENGTH
from webapp.trade.products import CODE_LENGTH, CUSTOMER_LENGTH, LABEL_LENGTH, NAME_LENGTH, NOTE_LENGTH

# Folding may make one letter two or three ("ß" becomes "ss").
_CODE_KEY_LENGTH = 3 * CODE_LENGTH[1]
_COUNTS = ("line_count", "fitted_count", "dnp_count", "excluded_count", "loose_count", "problem_count")


class ProductRow(SQLModel, table=True):
    """A product. ``code_key`` is the code folded: codes that differ in case only are the same.

    ``label`` (a family, a programme), ``customer`` and ``owner_id`` group products in the portfolio.
    """

    __tablename__: ClassVar[str] = "product"
    __table_args__ = (
        UniqueConstraint("code_key"),
        CheckConstraint(f"length(code) BETWEEN {CODE_LENGTH[0]} AND {CODE_LENGTH[1]}", name="code_length"),
        CheckConstraint(f"length(name) BETWEEN {NAME_LENGTH[0]} AND {NAME_LENGTH[1]}", name="name_length"),
        CheckConstraint(f"length(label) <= {LABEL_LENGTH}", name="label_length"),
        CheckConstraint(f"length(customer) <= {CUSTOMER_LENGTH}", name="customer_length"),
        CheckConstraint("version >= 1", name="version_positive"),
    )

    id: int | None = Field(default=None, primary_key=True)
    code: str = Field(max_length=CODE_LENGTH[1])
    code_key: str = Field(max_length=_CODE_KEY_LENGTH)
    name: str = Field(max_length=NAME_LENGTH[1])
    created_by: int = Field(sa_column_args=[ForeignKey("person.id")])
    created_at: datetime = Field(sa_type=UtcDateTime)
    archived_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    label: str = Field(default="", max_length=LABEL_LENGTH)
    customer: str = Field(default="", max_length=CUSTOMER_LENGTH)
    owner_id: int | None = Field(default=None, sa_column_args=[ForeignKey("person.id")])
    version: int = 1


class BomRevisionRow(SQLModel, table=True):
    """One committed BOM of a product: where it came from and its counts (webapp.trade.tally).

    ``upload_id`` is unique: a draft is committed once, whatever happens. ``doubts`` are the problems that concerned the
    file as a whole, as sentences; those of a line are with the line.
    """

    __tablename__: ClassVar[str] = "bom_revision"
    __table_args__ = (
        UniqueConstraint("product_id", "number"),
        UniqueConstraint("upload_id"),
        CheckConstraint("number >= 1", name="number_positive"),
        CheckConstraint(f"length(note) <= {NOTE_LENGTH}", name="note_length"),
        CheckConstraint(" AND ".join(f"{name} >= 0" for name in _COUNTS), name="counts_not_negative"),
    )

    id: int | None = Field(default=None, primary_key=True)
    product_id: int = Field(sa_column_args=[ForeignKey("product.id")])
    number: int
    upload_id: int = Field(sa_column_args=[ForeignKey("upload.id")])
    filename: str = Field(max_length=FILENAME_LENGTH)
    file_sha256: str = Field(max_length=64, sa_column_args=[ForeignKey("stored_file.sha256")])
    placement_filename: str | None = Field(default=None, max_length=FILENAME_LENGTH)
    placement_sha256: str | None = Field(default=None, max_length=64, sa_column_args=[ForeignKey("stored_file.sha256")])
    sheet: str | None = Field(default=None, sa_type=Text)
    encoding: str | None = Field(default=None, sa_type=Text)
    uploaded_by: int = Field(sa_column_args=[ForeignKey("person.id")], index=True)
    committed_at: datetime = Field(sa_type=UtcDateTime)
    line_count: int
    fitted_count: int
    dnp_count: int
    excluded_count: int
    loose_count: int
    problem_count: int
    doubts: list[str] = Field(sa_type=JSON)
    note: str = Field(default="", max_length=NOTE_LENGTH)


class BomLineRow(SQLModel, table=True):
    """One line of a revision, as webapp.trade.bom.BomLine has it; ``position`` counts from 1 in the file's order.

    ``read_mpn`` and ``read_manufacturer`` are the part to use where the cells as printed hold more than that.
    ``bottom_refdes``: of a line on both sides, what sits on the bottom. ``doubts``: its problems as sentences when it
    was committed. ``refdes_key`` sorts by designator. ``search_text`` is its text folded: each designator between line
    ends, then the other values between tabs.
    """

    __tablename__: ClassVar[str] = "bom_line"
    __table_args__ = (
        UniqueConstraint("revision_id", "position"),
        CheckConstraint("position >= 1", name="position_positive"),
        CheckConstraint("row >= 1", name="row_positive"),
        CheckConstraint("side IN ('top', 'bottom', 'both')", name="side_known"),
        CheckConstraint(
            "fitted_count >= 0 AND dnp_count >= 0 AND excluded_count >= 0 AND doubt_count >= 0",
            name="counts_not_negative",
        ),
    )

    id: int | None = Field(default=None, primary_key=True)
    revision_id: int = Field(sa_column_args=[ForeignKey("bom_revision.id", ondelete="CASCADE")])
    position: int
    row: int
    refdes: list[str] = Field(sa_type=JSON)
    dnp_refdes: list[str] = Field(sa_type=JSON)
    excluded_refdes: list[str] = Field(sa_type=JSON)
    bottom_refdes: list[str] = Field(sa_type=JSON)
    fitted_count: int
    dnp_count: int
    excluded_count: int
    doubt_count: int
    loose: bool = False
    qty: float | None = None
    mpn: str | None = Field(default=None, sa_type=Text)
    manufacturer: str | None = Field(default=None, sa_type=Text)
    read_mpn: str | None = Field(default=None, sa_type=Text)
    read_manufacturer: str | None = Field(default=None, sa_type=Text)
    value: str | None = Field(default=None, sa_type=Text)
    description: str | None = Field(default=None, sa_type=Text)
    package: str | None = Field(default=None, sa_type=Text)
    side: str | None = Field(default=None, max_length=6)
    alternates: list[dict[str, Any]] = Field(sa_type=JSON)
    alternate_of: int | None = None
    doubts: list[str] = Field(sa_type=JSON)
    refdes_key: str = Field(sa_type=Text)
    search_text: str = Field(sa_type=Text)
