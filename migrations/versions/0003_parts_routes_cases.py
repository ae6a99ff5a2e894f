"""Parts, what is stated of them, declarations; setups and routes of products; cases and findings."""

import sqlalchemy as sa
from alembic import op

revision: str = "0003"
down_revision: str | None = "0002"
branch_labels: str | None = None
depends_on: str | None = None


def upgrade() -> None:
    op.create_table(
        "part",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=200), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("maker", sa.Text(), nullable=True),
        sa.Column("maker_key", sa.String(length=200), nullable=False),
        sa.Column("mpn", sa.Text(), nullable=True),
        sa.Column("package", sa.Text(), nullable=True),
        sa.Column("value", sa.Text(), nullable=True),
        sa.Column("description", sa.Text(), nullable=True),
        sa.Column("prefix", sa.String(length=200), nullable=False),
        sa.Column("size_system", sa.String(length=10), nullable=False),
        sa.Column("class_text", sa.Text(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("version >= 1", name=op.f("ck_part_version_positive")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part")),
        sa.UniqueConstraint("key", name=op.f("uq_part_key")),
    )
    with op.batch_alter_table("part", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_part_maker_key"), ["maker_key"], unique=False)

    op.create_table(
        "part_value",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("field", sa.String(length=30), nullable=False),
        sa.Column("low", sa.Float(), nullable=True),
        sa.Column("high", sa.Float(), nullable=True),
        sa.Column("mask", sa.BigInteger(), nullable=True),
        sa.Column("typed", sa.Text(), nullable=False),
        sa.Column("source_kind", sa.String(length=20), nullable=False),
        sa.Column("source_status", sa.String(length=20), nullable=False),
        sa.Column("reference", sa.String(length=300), nullable=False),
        sa.Column("note", sa.String(length=500), nullable=False),
        sa.Column("stated_by", sa.Integer(), nullable=False),
        sa.Column("stated_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_by", sa.Integer(), nullable=True),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "field IN ('classes', 'mounting', 'limit_c', 'passes', 'oven', 'finish', 'balls', 'msl', "
            "'self_heating_k', 'length_mm', 'width_mm', 'height_mm', 'pitch_mm', 'terminals', 'mass_g', "
            "'ball_diameter_mm')",
            name=op.f("ck_part_value_field_known"),
        ),
        sa.CheckConstraint(
            "source_kind IN ('datasheet', 'declaration', 'standard table', 'same-package part', 'assumed', 'entered')",
            name=op.f("ck_part_value_source_kind_known"),
        ),
        sa.CheckConstraint(
            "source_status IN ('entered', 'declared', 'opened', 'derived', 'practice', 'memory', 'assumed')",
            name=op.f("ck_part_value_source_status_known"),
        ),
        sa.CheckConstraint("(ended_at IS NULL) = (ended_by IS NULL)", name=op.f("ck_part_value_ended_whole")),
        sa.CheckConstraint("length(note) <= 500", name=op.f("ck_part_value_note_length")),
        sa.CheckConstraint("length(reference) <= 300", name=op.f("ck_part_value_reference_length")),
        sa.CheckConstraint("low IS NULL OR high IS NULL OR low <= high", name=op.f("ck_part_value_range_forward")),
        sa.CheckConstraint(
            "mask IS NOT NULL OR low IS NOT NULL OR high IS NOT NULL", name=op.f("ck_part_value_value_given")
        ),
        sa.CheckConstraint(
            "mask IS NULL OR (mask > 0 AND low IS NULL AND high IS NULL)", name=op.f("ck_part_value_mask_or_range")
        ),
        sa.ForeignKeyConstraint(["ended_by"], ["person.id"], name=op.f("fk_part_value_ended_by_person")),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_part_value_part_id_part")),
        sa.ForeignKeyConstraint(["stated_by"], ["person.id"], name=op.f("fk_part_value_stated_by_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part_value")),
    )
    with op.batch_alter_table("part_value", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_part_value_part_id"), ["part_id"], unique=False)
        batch_op.create_index(
            "ux_part_value_current",
            ["part_id", "field"],
            unique=True,
            sqlite_where=sa.text("ended_at IS NULL"),
            postgresql_where=sa.text("ended_at IS NULL"),
        )

    op.create_table(
        "declaration",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("claim", sa.String(length=30), nullable=False),
        sa.Column("scope", sa.String(length=10), nullable=False),
        sa.Column("scope_key", sa.String(length=200), nullable=False),
        sa.Column("product_id", sa.Integer(), nullable=True),
        sa.Column("number", sa.Float(), nullable=True),
        sa.Column("reference", sa.String(length=300), nullable=False),
        sa.Column("stated_on", sa.String(length=10), nullable=False),
        sa.Column("declared_by", sa.Integer(), nullable=False),
        sa.Column("declared_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("withdrawn_by", sa.Integer(), nullable=True),
        sa.Column("withdrawn_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("(claim = 'lead-free') = (number IS NULL)", name=op.f("ck_declaration_number_where_needed")),
        sa.CheckConstraint("(scope = 'bom') = (product_id IS NOT NULL)", name=op.f("ck_declaration_bom_has_product")),
        sa.CheckConstraint(
            "(scope IN ('maker', 'part')) = (length(scope_key) > 0)", name=op.f("ck_declaration_scope_key_given")
        ),
        sa.CheckConstraint(
            "claim IN ('lead-free', 'limit-at-least', 'passes-at-least', 'self-heating-at-most')",
            name=op.f("ck_declaration_claim_known"),
        ),
        sa.CheckConstraint("scope IN ('site', 'maker', 'bom', 'part')", name=op.f("ck_declaration_scope_known")),
        sa.CheckConstraint(
            "(withdrawn_at IS NULL) = (withdrawn_by IS NULL)", name=op.f("ck_declaration_withdrawn_whole")
        ),
        sa.CheckConstraint("length(reference) BETWEEN 1 AND 300", name=op.f("ck_declaration_reference_length")),
        sa.ForeignKeyConstraint(["declared_by"], ["person.id"], name=op.f("fk_declaration_declared_by_person")),
        sa.ForeignKeyConstraint(["product_id"], ["product.id"], name=op.f("fk_declaration_product_id_product")),
        sa.ForeignKeyConstraint(["withdrawn_by"], ["person.id"], name=op.f("fk_declaration_withdrawn_by_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_declaration")),
    )
    with op.batch_alter_table("declaration", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_declaration_product_id"), ["product_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_declaration_scope"), ["scope"], unique=False)

    op.create_table(
        "product_setup",
        sa.Column("product_id", sa.Integer(), nullable=False),
        sa.Column("length_mm", sa.Float(), nullable=True),
        sa.Column("width_mm", sa.Float(), nullable=True),
        sa.Column("thickness_mm", sa.Float(), nullable=True),
        sa.Column("layers", sa.Integer(), nullable=True),
        sa.Column("copper_um", sa.Float(), nullable=True),
        sa.Column("laminate_tg_c", sa.Float(), nullable=True),
        sa.Column("laminate_td_c", sa.Float(), nullable=True),
        sa.Column("cte_ppm_k", sa.Float(), nullable=True),
        sa.Column("finish", sa.Integer(), nullable=False),
        sa.Column("t_min_c", sa.Float(), nullable=True),
        sa.Column("t_max_c", sa.Float(), nullable=True),
        sa.Column("board_heating_k", sa.Float(), nullable=True),
        sa.Column("cycles_per_day", sa.Float(), nullable=True),
        sa.Column("years", sa.Float(), nullable=True),
        sa.Column("drop_class", sa.String(length=12), nullable=True),
        sa.Column("humidity_pct", sa.Float(), nullable=True),
        sa.Column("bias_v", sa.Float(), nullable=True),
        sa.Column("changed_by", sa.Integer(), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "drop_class IN ('none', 'occasional', 'handheld')", name=op.f("ck_product_setup_drop_class_known")
        ),
        sa.CheckConstraint(
            "(length_mm IS NULL OR length_mm BETWEEN 1 AND 1500) AND "
            "(width_mm IS NULL OR width_mm BETWEEN 1 AND 1500) AND "
            "(thickness_mm IS NULL OR thickness_mm BETWEEN 0.05 AND 10) AND "
            "(layers IS NULL OR layers BETWEEN 1 AND 100) AND (copper_um IS NULL OR copper_um BETWEEN 1 AND "
            "500) AND (laminate_tg_c IS NULL OR laminate_tg_c BETWEEN 20 AND 400) AND "
            "(laminate_td_c IS NULL OR laminate_td_c BETWEEN 100 AND 700) AND "
            "(cte_ppm_k IS NULL OR cte_ppm_k BETWEEN 0 AND 500) AND "
            "(t_min_c IS NULL OR t_min_c BETWEEN -80 AND 200) AND (t_max_c IS NULL OR t_max_c BETWEEN -80 AND "
            "200) AND (board_heating_k IS NULL OR board_heating_k BETWEEN 0 AND 150) AND "
            "(cycles_per_day IS NULL OR cycles_per_day BETWEEN 0 AND 10000) AND "
            "(years IS NULL OR years BETWEEN 0 AND 100) AND "
            "(humidity_pct IS NULL OR humidity_pct BETWEEN 0 AND 100) AND "
            "(bias_v IS NULL OR bias_v BETWEEN 0 AND 10000)",
            name=op.f("ck_product_setup_plausible"),
        ),
        sa.CheckConstraint("finish BETWEEN 1 AND 511", name=op.f("ck_product_setup_finish_known")),
        sa.CheckConstraint(
            "t_min_c IS NULL OR t_max_c IS NULL OR t_min_c <= t_max_c", name=op.f("ck_product_setup_ambient_forward")
        ),
        sa.CheckConstraint("version >= 1", name=op.f("ck_product_setup_version_positive")),
        sa.ForeignKeyConstraint(["changed_by"], ["person.id"], name=op.f("fk_product_setup_changed_by_person")),
        sa.ForeignKeyConstraint(["product_id"], ["product.id"], name=op.f("fk_product_setup_product_id_product")),
        sa.PrimaryKeyConstraint("product_id", name=op.f("pk_product_setup")),
    )
    op.create_table(
        "route",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("product_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("name_key", sa.String(length=240), nullable=False),
        sa.Column("is_today", sa.Boolean(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("changed_by", sa.Integer(), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("archived_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 80", name=op.f("ck_route_name_length")),
        sa.CheckConstraint("position >= 0", name=op.f("ck_route_position_not_negative")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_route_version_positive")),
        sa.ForeignKeyConstraint(["changed_by"], ["person.id"], name=op.f("fk_route_changed_by_person")),
        sa.ForeignKeyConstraint(["product_id"], ["product.id"], name=op.f("fk_route_product_id_product")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_route")),
    )
    with op.batch_alter_table("route", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_route_product_id"), ["product_id"], unique=False)
        batch_op.create_index(
            "ux_route_name",
            ["product_id", "name_key"],
            unique=True,
            sqlite_where=sa.text("archived_at IS NULL"),
            postgresql_where=sa.text("archived_at IS NULL"),
        )
        batch_op.create_index(
            "ux_route_today",
            ["product_id"],
            unique=True,
            sqlite_where=sa.text("is_today AND archived_at IS NULL"),
            postgresql_where=sa.text("is_today AND archived_at IS NULL"),
        )

    op.create_table(
        "route_step",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("route_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("side", sa.String(length=6), nullable=True),
        sa.Column("alloy", sa.Text(), nullable=True),
        sa.Column("peak_c", sa.Float(), nullable=True),
        sa.Column("spread_k", sa.Float(), nullable=False),
        sa.Column("above_melting_s", sa.Float(), nullable=True),
        sa.Column("hours", sa.Float(), nullable=True),
        sa.Column("neighbour_c", sa.Float(), nullable=True),
        sa.CheckConstraint(
            "kind IN ('reflow', 'wave', 'selective', 'hand', 'rework', 'hot-bar', 'underfill', 'potting', "
            "'cure', 'bake', 'wash', 'press-fit', 'depanel', 'test', 'burn-in', 'stress-screen', 'transport')",
            name=op.f("ck_route_step_kind_known"),
        ),
        sa.CheckConstraint("side IN ('top', 'bottom')", name=op.f("ck_route_step_side_known")),
        sa.CheckConstraint(
            "(peak_c IS NULL OR peak_c BETWEEN -80 AND 450) AND (spread_k IS NULL OR spread_k BETWEEN 0 AND "
            "100) AND (above_melting_s IS NULL OR above_melting_s BETWEEN 0 AND 3600) AND "
            "(hours IS NULL OR hours BETWEEN 0 AND 100000) AND "
            "(neighbour_c IS NULL OR neighbour_c BETWEEN -80 AND 450)",
            name=op.f("ck_route_step_plausible"),
        ),
        sa.CheckConstraint("length(name) <= 80", name=op.f("ck_route_step_name_length")),
        sa.CheckConstraint("position >= 0", name=op.f("ck_route_step_position_not_negative")),
        sa.ForeignKeyConstraint(
            ["route_id"], ["route.id"], name=op.f("fk_route_step_route_id_route"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_route_step")),
        sa.UniqueConstraint("route_id", "position", name=op.f("uq_route_step_route_id_position")),
    )
    op.create_table(
        "assessment_case",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("product_id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("route_id", sa.Integer(), nullable=False),
        sa.Column("input_seq", sa.Integer(), nullable=False),
        sa.Column("assessed_seq", sa.Integer(), nullable=True),
        sa.Column("assessed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("engine", sa.String(length=64), nullable=False),
        sa.Column("readiness", sa.Float(), nullable=True),
        sa.Column("blocks", sa.Integer(), nullable=False),
        sa.Column("change", sa.Integer(), nullable=False),
        sa.Column("prove", sa.Integer(), nullable=False),
        sa.Column("gain", sa.Integer(), nullable=False),
        sa.Column("fine", sa.Integer(), nullable=False),
        sa.Column("shown", sa.Integer(), nullable=False),
        sa.Column("open_board_step_product", sa.Integer(), nullable=False),
        sa.Column("fine_by_check", sa.JSON(), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("assessed_seq <= input_seq", name=op.f("ck_assessment_case_assessed_not_ahead")),
        sa.CheckConstraint(
            "blocks >= 0 AND change >= 0 AND prove >= 0 AND gain >= 0 AND fine >= 0 AND shown >= 0",
            name=op.f("ck_assessment_case_counts_not_negative"),
        ),
        sa.CheckConstraint("input_seq >= 1", name=op.f("ck_assessment_case_input_seq_positive")),
        sa.CheckConstraint("readiness BETWEEN 0 AND 1", name=op.f("ck_assessment_case_readiness_share")),
        sa.ForeignKeyConstraint(["product_id"], ["product.id"], name=op.f("fk_assessment_case_product_id_product")),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["bom_revision.id"], name=op.f("fk_assessment_case_revision_id_bom_revision")
        ),
        sa.ForeignKeyConstraint(["route_id"], ["route.id"], name=op.f("fk_assessment_case_route_id_route")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_assessment_case")),
        sa.UniqueConstraint("revision_id", "route_id", name=op.f("uq_assessment_case_revision_id_route_id")),
    )
    with op.batch_alter_table("assessment_case", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_assessment_case_product_id"), ["product_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_assessment_case_route_id"), ["route_id"], unique=False)

    op.create_table(
        "finding",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("case_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("check", sa.String(length=40), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("verdict", sa.String(length=10), nullable=False),
        sa.Column("why", sa.String(length=20), nullable=False),
        sa.Column("step", sa.Integer(), nullable=True),
        sa.Column("step_title", sa.Text(), nullable=False),
        sa.Column("value", sa.Float(), nullable=True),
        sa.Column("limit", sa.Float(), nullable=True),
        sa.Column("unit", sa.String(length=20), nullable=False),
        sa.Column("sentence", sa.Text(), nullable=False),
        sa.Column("need", sa.String(length=40), nullable=False),
        sa.Column("missing", sa.Text(), nullable=False),
        sa.Column("sources", sa.JSON(), nullable=False),
        sa.Column("remedies", sa.JSON(), nullable=False),
        sa.Column("caution", sa.Text(), nullable=False),
        sa.Column("refdes", sa.JSON(), nullable=False),
        sa.Column("lines", sa.JSON(), nullable=False),
        sa.Column("parts", sa.JSON(), nullable=False),
        sa.Column("placements", sa.Integer(), nullable=False),
        sa.Column("same_as_today", sa.Boolean(), nullable=False),
        sa.Column("fingerprint", sa.String(length=64), nullable=False),
        sa.CheckConstraint("verdict IN ('blocks', 'change', 'prove', 'gain')", name=op.f("ck_finding_verdict_known")),
        sa.CheckConstraint("length(fingerprint) = 64", name=op.f("ck_finding_fingerprint_length")),
        sa.ForeignKeyConstraint(
            ["case_id"], ["assessment_case.id"], name=op.f("fk_finding_case_id_assessment_case"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_finding")),
        sa.UniqueConstraint("case_id", "key", name=op.f("uq_finding_case_id_key")),
    )
    op.create_table(
        "line_part",
        sa.Column("line_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("approved", sa.Boolean(), nullable=False),
        sa.CheckConstraint("position >= 0", name=op.f("ck_line_part_position_not_negative")),
        sa.ForeignKeyConstraint(
            ["line_id"], ["bom_line.id"], name=op.f("fk_line_part_line_id_bom_line"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_line_part_part_id_part")),
        sa.PrimaryKeyConstraint("line_id", "position", name=op.f("pk_line_part")),
        sa.UniqueConstraint("line_id", "part_id", name=op.f("uq_line_part_line_id_part_id")),
    )
    with op.batch_alter_table("line_part", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_line_part_part_id"), ["part_id"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("line_part", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_line_part_part_id"))

    op.drop_table("line_part")
    op.drop_table("finding")
    with op.batch_alter_table("assessment_case", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_assessment_case_route_id"))
        batch_op.drop_index(batch_op.f("ix_assessment_case_product_id"))

    op.drop_table("assessment_case")
    op.drop_table("route_step")
    with op.batch_alter_table("route", schema=None) as batch_op:
        batch_op.drop_index(
            "ux_route_today",
            sqlite_where=sa.text("is_today AND archived_at IS NULL"),
            postgresql_where=sa.text("is_today AND archived_at IS NULL"),
        )
        batch_op.drop_index(
            "ux_route_name",
            sqlite_where=sa.text("archived_at IS NULL"),
            postgresql_where=sa.text("archived_at IS NULL"),
        )
        batch_op.drop_index(batch_op.f("ix_route_product_id"))

    op.drop_table("route")
    op.drop_table("product_setup")
    with op.batch_alter_table("declaration", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_declaration_scope"))
        batch_op.drop_index(batch_op.f("ix_declaration_product_id"))

    op.drop_table("declaration")
    with op.batch_alter_table("part_value", schema=None) as batch_op:
        batch_op.drop_index(
            "ux_part_value_current",
            sqlite_where=sa.text("ended_at IS NULL"),
            postgresql_where=sa.text("ended_at IS NULL"),
        )
        batch_op.drop_index(batch_op.f("ix_part_value_part_id"))

    op.drop_table("part_value")
    with op.batch_alter_table("part", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_part_maker_key"))

    op.drop_table("part")
