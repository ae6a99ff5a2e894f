"""Which products use a part, worked out from their newest revisions."""

import sqlalchemy as sa
from alembic import op

revision: str = "0007"
down_revision: str | None = "0006"
branch_labels: str | None = None
depends_on: str | None = None

_FILL = """
INSERT INTO part_use (part_id, product_id)
SELECT DISTINCT line_part.part_id, bom_revision.product_id
FROM line_part
JOIN bom_line ON bom_line.id = line_part.line_id
JOIN bom_revision ON bom_revision.id = bom_line.revision_id
JOIN (SELECT product_id, max(number) AS number FROM bom_revision GROUP BY product_id) AS newest
  ON newest.product_id = bom_revision.product_id AND newest.number = bom_revision.number
"""


def upgrade() -> None:
    op.create_table(
        "part_use",
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("product_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_part_use_part_id_part")),
        sa.ForeignKeyConstraint(["product_id"], ["product.id"], name=op.f("fk_part_use_product_id_product")),
        sa.PrimaryKeyConstraint("part_id", "product_id", name=op.f("pk_part_use")),
    )
    op.create_index(op.f("ix_part_use_product_id"), "part_use", ["product_id"], unique=False)
    op.execute(_FILL)


def downgrade() -> None:
    op.drop_table("part_use")
