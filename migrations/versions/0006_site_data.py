"""Alloys, pastes and figures of the site; paste and stencil foil of a step."""

from collections.abc import Mapping

import sqlalchemy as sa
from alembic import op

revision: str = "0006"
down_revision: str | None = "0005"
branch_labels: str | None = None
depends_on: str | None = None

_LIMITS = {
    "peak_c": (-80, 450),
    "spread_k": (0, 100),
    "above_melting_s": (0, 3600),
    "hours": (0, 100000),
    "neighbour_c": (-80, 450),
}


def upgrade() -> None:
    op.create_table(
        "site_alloy",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("reference", sa.String(length=300), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("saved_by", sa.Integer(), nullable=False),
        sa.Column("saved_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_by", sa.Integer(), nullable=True),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("key", sa.String(length=120), nullable=False),
        sa.Column("designation", sa.String(length=40), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("composition_wt_pct", sa.JSON(), nullable=False),
        sa.Column("solidus_c", sa.Float(), nullable=False),
        sa.Column("melted_c", sa.Float(), nullable=False),
        sa.Column("liquidus_c", sa.Float(), nullable=False),
        sa.Column("density_g_cm3", sa.Float(), nullable=False),
        sa.Column("typed_solidus", sa.Boolean(), nullable=False),
        sa.Column("typed_liquid", sa.Boolean(), nullable=False),
        sa.Column("typed_density", sa.Boolean(), nullable=False),
        sa.Column("data_version", sa.String(length=12), nullable=True),
        sa.CheckConstraint("(ended_at IS NULL) = (ended_by IS NULL)", name=op.f("ck_site_alloy_ended_whole")),
        sa.CheckConstraint(
            "(typed_solidus AND typed_liquid) = (data_version IS NULL)", name=op.f("ck_site_alloy_calculated_with_data")
        ),
        sa.CheckConstraint(
            "NOT (typed_solidus OR typed_liquid OR typed_density) OR length(reference) > 0",
            name=op.f("ck_site_alloy_typed_has_reference"),
        ),
        sa.CheckConstraint("length(designation) BETWEEN 1 AND 40", name=op.f("ck_site_alloy_designation_length")),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 80", name=op.f("ck_site_alloy_name_length")),
        sa.CheckConstraint("length(reference) <= 300", name=op.f("ck_site_alloy_reference_length")),
        sa.CheckConstraint(
            "solidus_c <= melted_c AND melted_c <= liquidus_c", name=op.f("ck_site_alloy_melts_upwards")
        ),
        sa.CheckConstraint(
            "solidus_c BETWEEN 20 AND 450 AND melted_c BETWEEN 20 AND 450 AND liquidus_c BETWEEN 20 AND 450 "
            "AND density_g_cm3 BETWEEN 4 AND 20",
            name=op.f("ck_site_alloy_plausible"),
        ),
        sa.CheckConstraint("version >= 1", name=op.f("ck_site_alloy_version_positive")),
        sa.ForeignKeyConstraint(["ended_by"], ["person.id"], name=op.f("fk_site_alloy_ended_by_person")),
        sa.ForeignKeyConstraint(["saved_by"], ["person.id"], name=op.f("fk_site_alloy_saved_by_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_site_alloy")),
    )
    with op.batch_alter_table("site_alloy", schema=None) as batch_op:
        batch_op.create_index(
            "ux_site_alloy_current",
            ["key"],
            unique=True,
            sqlite_where=sa.text("ended_at IS NULL"),
            postgresql_where=sa.text("ended_at IS NULL"),
        )

    op.create_table(
        "site_figure",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("reference", sa.String(length=300), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("saved_by", sa.Integer(), nullable=False),
        sa.Column("saved_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_by", sa.Integer(), nullable=True),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("key", sa.String(length=40), nullable=False),
        sa.Column("value", sa.Float(), nullable=False),
        sa.CheckConstraint("(ended_at IS NULL) = (ended_by IS NULL)", name=op.f("ck_site_figure_ended_whole")),
        sa.CheckConstraint("length(key) BETWEEN 1 AND 40", name=op.f("ck_site_figure_key_length")),
        sa.CheckConstraint("length(reference) <= 300", name=op.f("ck_site_figure_reference_length")),
        sa.CheckConstraint("length(reference) > 0", name=op.f("ck_site_figure_has_reference")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_site_figure_version_positive")),
        sa.ForeignKeyConstraint(["ended_by"], ["person.id"], name=op.f("fk_site_figure_ended_by_person")),
        sa.ForeignKeyConstraint(["saved_by"], ["person.id"], name=op.f("fk_site_figure_saved_by_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_site_figure")),
    )
    with op.batch_alter_table("site_figure", schema=None) as batch_op:
        batch_op.create_index(
            "ux_site_figure_current",
            ["key"],
            unique=True,
            sqlite_where=sa.text("ended_at IS NULL"),
            postgresql_where=sa.text("ended_at IS NULL"),
        )

    op.create_table(
        "site_paste",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("reference", sa.String(length=300), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("saved_by", sa.Integer(), nullable=False),
        sa.Column("saved_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_by", sa.Integer(), nullable=True),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("first_id", sa.Integer(), nullable=True),
        sa.Column("key", sa.String(length=240), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("alloy", sa.Text(), nullable=False),
        sa.Column("powder", sa.Integer(), nullable=False),
        sa.Column("metal_wt_pct", sa.Float(), nullable=False),
        sa.Column("flux", sa.String(length=4), nullable=False),
        sa.Column("peak_low_c", sa.Float(), nullable=False),
        sa.Column("peak_high_c", sa.Float(), nullable=False),
        sa.Column("above_low_s", sa.Float(), nullable=False),
        sa.Column("above_high_s", sa.Float(), nullable=False),
        sa.CheckConstraint("(ended_at IS NULL) = (ended_by IS NULL)", name=op.f("ck_site_paste_ended_whole")),
        sa.CheckConstraint(
            "0 <= above_low_s AND above_low_s <= above_high_s AND above_high_s <= 600",
            name=op.f("ck_site_paste_time_plausible"),
        ),
        sa.CheckConstraint(
            "100 <= peak_low_c AND peak_low_c <= peak_high_c AND peak_high_c <= 400",
            name=op.f("ck_site_paste_peak_plausible"),
        ),
        sa.CheckConstraint("length(flux) = 4", name=op.f("ck_site_paste_flux_length")),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 80", name=op.f("ck_site_paste_name_length")),
        sa.CheckConstraint("length(reference) <= 300", name=op.f("ck_site_paste_reference_length")),
        sa.CheckConstraint("length(reference) > 0", name=op.f("ck_site_paste_has_reference")),
        sa.CheckConstraint("metal_wt_pct BETWEEN 70 AND 95", name=op.f("ck_site_paste_metal_plausible")),
        sa.CheckConstraint("powder BETWEEN 1 AND 8", name=op.f("ck_site_paste_powder_known")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_site_paste_version_positive")),
        sa.ForeignKeyConstraint(["ended_by"], ["person.id"], name=op.f("fk_site_paste_ended_by_person")),
        sa.ForeignKeyConstraint(["first_id"], ["site_paste.id"], name=op.f("fk_site_paste_first_id_site_paste")),
        sa.ForeignKeyConstraint(["saved_by"], ["person.id"], name=op.f("fk_site_paste_saved_by_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_site_paste")),
    )
    with op.batch_alter_table("site_paste", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_site_paste_first_id"), ["first_id"], unique=False)
        batch_op.create_index(
            "ux_site_paste_current",
            ["key"],
            unique=True,
            sqlite_where=sa.text("ended_at IS NULL"),
            postgresql_where=sa.text("ended_at IS NULL"),
        )

    _change_steps()


def downgrade() -> None:
    with op.batch_alter_table("route_step") as batch_op:
        for name in ("plausible", "paste_has_alloy", "paste_length"):
            batch_op.drop_constraint(op.f(f"ck_route_step_{name}"), type_="check")
        batch_op.create_check_constraint(op.f("ck_route_step_plausible"), _between(_LIMITS))
        batch_op.drop_column("foil_mm")
        batch_op.drop_column("paste")
    for table in ("site_figure", "site_paste", "site_alloy"):
        op.drop_table(table)


def _change_steps() -> None:
    """SQLite copies the table for that, as in 0005."""
    with op.batch_alter_table("route_step") as batch_op:
        batch_op.add_column(sa.Column("paste", sa.Text(), nullable=True))
        batch_op.add_column(sa.Column("foil_mm", sa.Float(), nullable=True))
        batch_op.drop_constraint(op.f("ck_route_step_plausible"), type_="check")
        limits = _between(_LIMITS | {"foil_mm": (0.02, 0.5)})
        batch_op.create_check_constraint(op.f("ck_route_step_plausible"), limits)
        batch_op.create_check_constraint(op.f("ck_route_step_paste_has_alloy"), "paste IS NULL OR alloy IS NOT NULL")
        batch_op.create_check_constraint(op.f("ck_route_step_paste_length"), "length(paste) <= 80")


def _between(limits: Mapping[str, tuple[float, float]]) -> str:
    return " AND ".join(
        f"({name} IS NULL OR {name} BETWEEN {low:g} AND {high:g})" for name, (low, high) in limits.items()
    )
