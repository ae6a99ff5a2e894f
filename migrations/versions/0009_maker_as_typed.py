"""A declaration keeps the maker as it was typed: no part may have told the spelling yet."""

import sqlalchemy as sa
from alembic import op

revision: str = "0009"
down_revision: str | None = "0008"
branch_labels: str | None = None
depends_on: str | None = None


def upgrade() -> None:
    op.add_column("declaration", sa.Column("maker", sa.String(length=200), nullable=False, server_default=""))


def downgrade() -> None:
    op.drop_column("declaration", "maker")
