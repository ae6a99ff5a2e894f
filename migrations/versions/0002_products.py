"""Uploaded files, drafts, remembered columns; products, their BOM revisions and lines."""

import sqlalchemy as sa
from alembic import op

revision: str = "0002"
down_revision: str | None = "0001"
branch_labels: str | None = None
depends_on: str | None = None


def upgrade() -> None:
    op.create_table(
        "stored_file",
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_stored_file_sha256_length")),
        sa.CheckConstraint("size > 0", name=op.f("ck_stored_file_size_positive")),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_stored_file")),
    )
    op.create_table(
        "column_memory",
        sa.Column("header_hash", sa.String(length=64), nullable=False),
        sa.Column("header_key", sa.Text(), nullable=False),
        sa.Column("columns", sa.JSON(), nullable=False),
        sa.Column("decimal", sa.String(length=1), nullable=True),
        sa.Column("taught_by", sa.Integer(), nullable=False),
        sa.Column("taught_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("filename", sa.String(length=255), nullable=False),
        sa.CheckConstraint("decimal IN ('.', ',')", name=op.f("ck_column_memory_decimal_known")),
        sa.CheckConstraint("length(header_hash) = 64", name=op.f("ck_column_memory_header_hash_length")),
        sa.ForeignKeyConstraint(["taught_by"], ["person.id"], name=op.f("fk_column_memory_taught_by_person")),
        sa.PrimaryKeyConstraint("header_hash", name=op.f("pk_column_memory")),
    )
    op.create_table(
        "product",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=40), nullable=False),
        sa.Column("code_key", sa.String(length=120), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("created_by", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("archived_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(code) BETWEEN 1 AND 40", name=op.f("ck_product_code_length")),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 200", name=op.f("ck_product_name_length")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_product_version_positive")),
        sa.ForeignKeyConstraint(["created_by"], ["person.id"], name=op.f("fk_product_created_by_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_product")),
        sa.UniqueConstraint("code_key", name=op.f("uq_product_code_key")),
    )
    op.create_table(
        "upload",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token", sa.String(length=64), nullable=False),
        sa.Column("owner_id", sa.Integer(), nullable=False),
        sa.Column("form_key", sa.String(length=64), nullable=False),
        sa.Column("filename", sa.String(length=255), nullable=False),
        sa.Column("file_sha256", sa.String(length=64), nullable=False),
        sa.Column("placement_filename", sa.String(length=255), nullable=True),
        sa.Column("placement_sha256", sa.String(length=64), nullable=True),
        sa.Column("choices", sa.JSON(), nullable=False),
        sa.Column("columns_from", sa.JSON(), nullable=True),
        sa.Column("tally", sa.JSON(), nullable=False),
        sa.Column("product_id", sa.Integer(), nullable=True),
        sa.Column("status", sa.String(length=10), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("status IN ('open', 'committed', 'discarded')", name=op.f("ck_upload_status_known")),
        sa.CheckConstraint(
            "(placement_filename IS NULL) = (placement_sha256 IS NULL)", name=op.f("ck_upload_placement_whole")
        ),
        sa.CheckConstraint("length(filename) BETWEEN 1 AND 255", name=op.f("ck_upload_filename_length")),
        sa.CheckConstraint("length(token) BETWEEN 20 AND 64", name=op.f("ck_upload_token_length")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_upload_version_positive")),
        sa.ForeignKeyConstraint(
            ["file_sha256"], ["stored_file.sha256"], name=op.f("fk_upload_file_sha256_stored_file")
        ),
        sa.ForeignKeyConstraint(["owner_id"], ["person.id"], name=op.f("fk_upload_owner_id_person")),
        sa.ForeignKeyConstraint(
            ["placement_sha256"], ["stored_file.sha256"], name=op.f("fk_upload_placement_sha256_stored_file")
        ),
        sa.ForeignKeyConstraint(["product_id"], ["product.id"], name=op.f("fk_upload_product_id_product")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_upload")),
        sa.UniqueConstraint(
            "owner_id", "form_key", "file_sha256", name=op.f("uq_upload_owner_id_form_key_file_sha256")
        ),
        sa.UniqueConstraint("token", name=op.f("uq_upload_token")),
    )
    op.create_index(op.f("ix_upload_owner_id_status"), "upload", ["owner_id", "status"], unique=False)
    op.create_table(
        "bom_revision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("product_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("upload_id", sa.Integer(), nullable=False),
        sa.Column("filename", sa.String(length=255), nullable=False),
        sa.Column("file_sha256", sa.String(length=64), nullable=False),
        sa.Column("placement_filename", sa.String(length=255), nullable=True),
        sa.Column("placement_sha256", sa.String(length=64), nullable=True),
        sa.Column("sheet", sa.Text(), nullable=True),
        sa.Column("encoding", sa.Text(), nullable=True),
        sa.Column("uploaded_by", sa.Integer(), nullable=False),
        sa.Column("committed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("line_count", sa.Integer(), nullable=False),
        sa.Column("fitted_count", sa.Integer(), nullable=False),
        sa.Column("dnp_count", sa.Integer(), nullable=False),
        sa.Column("excluded_count", sa.Integer(), nullable=False),
        sa.Column("loose_count", sa.Integer(), nullable=False),
        sa.Column("problem_count", sa.Integer(), nullable=False),
        sa.Column("doubts", sa.JSON(), nullable=False),
        sa.Column("note", sa.String(length=500), nullable=False),
        sa.CheckConstraint("length(note) <= 500", name=op.f("ck_bom_revision_note_length")),
        sa.CheckConstraint(
            "line_count >= 0 AND fitted_count >= 0 AND dnp_count >= 0 AND excluded_count >= 0 AND loose_count >= 0"
            " AND problem_count >= 0",
            name=op.f("ck_bom_revision_counts_not_negative"),
        ),
        sa.CheckConstraint("number >= 1", name=op.f("ck_bom_revision_number_positive")),
        sa.ForeignKeyConstraint(
            ["file_sha256"], ["stored_file.sha256"], name=op.f("fk_bom_revision_file_sha256_stored_file")
        ),
        sa.ForeignKeyConstraint(
            ["placement_sha256"], ["stored_file.sha256"], name=op.f("fk_bom_revision_placement_sha256_stored_file")
        ),
        sa.ForeignKeyConstraint(["product_id"], ["product.id"], name=op.f("fk_bom_revision_product_id_product")),
        sa.ForeignKeyConstraint(["upload_id"], ["upload.id"], name=op.f("fk_bom_revision_upload_id_upload")),
        sa.ForeignKeyConstraint(["uploaded_by"], ["person.id"], name=op.f("fk_bom_revision_uploaded_by_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bom_revision")),
        sa.UniqueConstraint("product_id", "number", name=op.f("uq_bom_revision_product_id_number")),
        sa.UniqueConstraint("upload_id", name=op.f("uq_bom_revision_upload_id")),
    )
    op.create_index(op.f("ix_bom_revision_uploaded_by"), "bom_revision", ["uploaded_by"], unique=False)
    op.create_table(
        "upload_reading",
        sa.Column("upload_id", sa.Integer(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("placement", sa.LargeBinary(), nullable=True),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["upload_id"], ["upload.id"], name=op.f("fk_upload_reading_upload_id_upload"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("upload_id", name=op.f("pk_upload_reading")),
    )
    op.create_table(
        "bom_line",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("row", sa.Integer(), nullable=False),
        sa.Column("refdes", sa.JSON(), nullable=False),
        sa.Column("dnp_refdes", sa.JSON(), nullable=False),
        sa.Column("excluded_refdes", sa.JSON(), nullable=False),
        sa.Column("bottom_refdes", sa.JSON(), nullable=False),
        sa.Column("fitted_count", sa.Integer(), nullable=False),
        sa.Column("dnp_count", sa.Integer(), nullable=False),
        sa.Column("excluded_count", sa.Integer(), nullable=False),
        sa.Column("doubt_count", sa.Integer(), nullable=False),
        sa.Column("loose", sa.Boolean(), nullable=False),
        sa.Column("qty", sa.Float(), nullable=True),
        sa.Column("mpn", sa.Text(), nullable=True),
        sa.Column("manufacturer", sa.Text(), nullable=True),
        sa.Column("read_mpn", sa.Text(), nullable=True),
        sa.Column("read_manufacturer", sa.Text(), nullable=True),
        sa.Column("value", sa.Text(), nullable=True),
        sa.Column("description", sa.Text(), nullable=True),
        sa.Column("package", sa.Text(), nullable=True),
        sa.Column("side", sa.String(length=6), nullable=True),
        sa.Column("alternates", sa.JSON(), nullable=False),
        sa.Column("alternate_of", sa.Integer(), nullable=True),
        sa.Column("doubts", sa.JSON(), nullable=False),
        sa.Column("refdes_key", sa.Text(), nullable=False),
        sa.Column("search_text", sa.Text(), nullable=False),
        sa.CheckConstraint("side IN ('top', 'bottom', 'both')", name=op.f("ck_bom_line_side_known")),
        sa.CheckConstraint(
            "fitted_count >= 0 AND dnp_count >= 0 AND excluded_count >= 0 AND doubt_count >= 0",
            name=op.f("ck_bom_line_counts_not_negative"),
        ),
        sa.CheckConstraint("position >= 1", name=op.f("ck_bom_line_position_positive")),
        sa.CheckConstraint("row >= 1", name=op.f("ck_bom_line_row_positive")),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["bom_revision.id"], name=op.f("fk_bom_line_revision_id_bom_revision"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bom_line")),
        sa.UniqueConstraint("revision_id", "position", name=op.f("uq_bom_line_revision_id_position")),
    )


def downgrade() -> None:
    op.drop_table("bom_line")
    op.drop_table("upload_reading")
    op.drop_index(op.f("ix_bom_revision_uploaded_by"), table_name="bom_revision")
    op.drop_table("bom_revision")
    op.drop_index(op.f("ix_upload_owner_id_status"), table_name="upload")
    op.drop_table("upload")
    op.drop_table("product")
    op.drop_table("column_memory")
    op.drop_table("stored_file")
