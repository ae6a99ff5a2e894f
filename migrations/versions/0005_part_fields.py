"""More fields of parts; who last said whether a line may be fitted with a part."""

import sqlalchemy as sa
from alembic import op

revision: str = "0005"
down_revision: str | None = "0004"
branch_labels: str | None = None
depends_on: str | None = None

_BEFORE = (
    "classes",
    "mounting",
    "limit_c",
    "passes",
    "oven",
    "finish",
    "balls",
    "msl",
    "self_heating_k",
    "length_mm",
    "width_mm",
    "height_mm",
    "pitch_mm",
    "terminals",
    "mass_g",
    "ball_diameter_mm",
)
_NEW = ("limit_s", "standoff_mm", "current_a", "mating_force_n", "wash", "vacuum")
_COLUMNS = (
    ("version", "INTEGER DEFAULT 1 NOT NULL CONSTRAINT ck_line_part_version_positive CHECK (version >= 1)"),
    ("changed_by", "INTEGER CONSTRAINT fk_line_part_changed_by_person REFERENCES person (id)"),
    ("changed_at", "TIMESTAMP WITH TIME ZONE"),
)


def upgrade() -> None:
    _allow_fields(*_BEFORE, *_NEW)
    # As plain SQL, as in 0004: adding a column needs no copy of the table.
    on_sqlite = op.get_bind().dialect.name == "sqlite"
    for name, definition in _COLUMNS:
        words = definition.replace("TIMESTAMP WITH TIME ZONE", "DATETIME") if on_sqlite else definition
        op.execute(f"ALTER TABLE line_part ADD COLUMN {name} {words}")


def downgrade() -> None:
    for name, _ in reversed(_COLUMNS):
        op.execute(f"ALTER TABLE line_part DROP COLUMN {name}")
    value = sa.table("part_value", sa.column("field"))
    op.execute(sa.delete(value).where(value.c.field.in_(_NEW)))
    _allow_fields(*_BEFORE)


def _allow_fields(*names: str) -> None:
    """SQLite copies the table for that; the other constraints are named, so they come along."""
    words = ", ".join(f"'{name}'" for name in names)
    with op.batch_alter_table("part_value") as batch_op:
        batch_op.drop_constraint(op.f("ck_part_value_field_known"), type_="check")
        batch_op.create_check_constraint(op.f("ck_part_value_field_known"), f"field IN ({words})")
