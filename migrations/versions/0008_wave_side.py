"""What joints on the side that meets a wave reach."""

from collections.abc import Mapping

import sqlalchemy as sa
from alembic import op

revision: str = "0008"
down_revision: str | None = "0007"
branch_labels: str | None = None
depends_on: str | None = None

_LIMITS = {
    "peak_c": (-80, 450),
    "spread_k": (0, 100),
    "above_melting_s": (0, 3600),
    "hours": (0, 100000),
    "neighbour_c": (-80, 450),
    "foil_mm": (0.02, 0.5),
}
_CHECK = "ck_route_step_plausible"


def upgrade() -> None:
    # SQLite copies the table for that, as in 0005.
    with op.batch_alter_table("route_step") as batch_op:
        batch_op.add_column(sa.Column("wave_side_c", sa.Float(), nullable=True))
        batch_op.drop_constraint(op.f(_CHECK), type_="check")
        batch_op.create_check_constraint(op.f(_CHECK), _between(_LIMITS | {"wave_side_c": (-80, 450)}))


def downgrade() -> None:
    with op.batch_alter_table("route_step") as batch_op:
        batch_op.drop_constraint(op.f(_CHECK), type_="check")
        batch_op.create_check_constraint(op.f(_CHECK), _between(_LIMITS))
        batch_op.drop_column("wave_side_c")


def _between(limits: Mapping[str, tuple[float, float]]) -> str:
    return " AND ".join(
        f"({name} IS NULL OR {name} BETWEEN {low:g} AND {high:g})" for name, (low, high) in limits.items()
    )
