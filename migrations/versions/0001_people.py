"""People, their roles, sessions and counted tries."""

import sqlalchemy as sa
from alembic import op

revision: str = "0001"
down_revision: str | None = None
branch_labels: str | None = None
depends_on: str | None = None


def upgrade() -> None:
    op.create_table(
        "login_throttle",
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("subject", sa.String(length=100), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("since", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("tries >= 0", name=op.f("ck_login_throttle_tries_not_negative")),
        sa.PrimaryKeyConstraint("kind", "subject", name=op.f("pk_login_throttle")),
    )
    op.create_table(
        "person",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("login", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("password_hash", sa.String(length=255), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.Column("is_demo", sa.Boolean(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(login) BETWEEN 2 AND 64", name=op.f("ck_person_login_length")),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 120", name=op.f("ck_person_name_length")),
        sa.CheckConstraint("length(password_hash) > 0", name=op.f("ck_person_password_hash_given")),
        sa.CheckConstraint("login = lower(login)", name=op.f("ck_person_login_folded")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_person_version_positive")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("login", name=op.f("uq_person_login")),
    )
    op.create_table(
        "login_session",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("rotated_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("expires_at > created_at", name=op.f("ck_login_session_expires_later")),
        sa.CheckConstraint("length(id) = 64", name=op.f("ck_login_session_id_is_sha256")),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_login_session_person_id_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_login_session")),
    )
    op.create_index(op.f("ix_login_session_person_id"), "login_session", ["person_id"])

    op.create_table(
        "person_role",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("role", sa.String(length=20), nullable=False),
        sa.CheckConstraint(
            "role IN ('engineer', 'reviewer', 'manager', 'administrator')", name=op.f("ck_person_role_role_known")
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_person_role_person_id_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person_id", "role", name=op.f("pk_person_role")),
    )


def downgrade() -> None:
    op.drop_table("person_role")
    op.drop_index(op.f("ix_login_session_person_id"), table_name="login_session")

    op.drop_table("login_session")
    op.drop_table("person")
    op.drop_table("login_throttle")
