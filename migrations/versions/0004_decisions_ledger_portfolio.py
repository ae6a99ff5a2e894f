"""Decisions and what they cover, the ledger, actions, daily snapshots; counters of cases, standing of findings."""

import sqlalchemy as sa
from alembic import op

revision: str = "0004"
down_revision: str | None = "0003"
branch_labels: str | None = None
depends_on: str | None = None

_COUNTERS = ("open_blocks", "open_change", "open_prove", "waiting", "reopened", "wanting", "planned")
_COUNT = "INTEGER DEFAULT 0 NOT NULL"
_STANDINGS = "'none', 'undecided', 'stale', 'expired', 'accepted', 'planned', 'refused'"
# Table, column, definition; in this order, since the last counter's constraint speaks of all of them.
_COLUMNS = (
    *(("assessment_case", name, _COUNT) for name in _COUNTERS),
    (
        "assessment_case",
        "refused",
        f"{_COUNT} CONSTRAINT ck_assessment_case_counters_not_negative "
        f"CHECK ({' AND '.join(f'{name} >= 0' for name in (*_COUNTERS, 'refused'))})",
    ),
    ("assessment_case", "expires_on", "DATE"),
    ("finding", "inputs", "JSON DEFAULT '{}' NOT NULL"),
    (
        "finding",
        "standing",
        f"VARCHAR(10) DEFAULT 'none' NOT NULL CONSTRAINT ck_finding_standing_known CHECK (standing IN ({_STANDINGS}))",
    ),
    ("login_session", "proved_at", "TIMESTAMP WITH TIME ZONE"),
    (
        "product",
        "label",
        "VARCHAR(60) DEFAULT '' NOT NULL CONSTRAINT ck_product_label_length CHECK (length(label) <= 60)",
    ),
    (
        "product",
        "customer",
        "VARCHAR(120) DEFAULT '' NOT NULL CONSTRAINT ck_product_customer_length CHECK (length(customer) <= 120)",
    ),
    ("product", "owner_id", "INTEGER CONSTRAINT fk_product_owner_id_person REFERENCES person (id)"),
)


def upgrade() -> None:
    op.create_table(
        "ledger_entry",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("actor", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.Column("previous_hash", sa.String(length=64), nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.CheckConstraint("number >= 1", name=op.f("ck_ledger_entry_number_positive")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_ledger_entry")),
    )
    with op.batch_alter_table("ledger_entry", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_ledger_entry_actor"), ["actor"], unique=False)
        batch_op.create_index(batch_op.f("ix_ledger_entry_at"), ["at"], unique=False)
        batch_op.create_index(batch_op.f("ix_ledger_entry_kind"), ["kind"], unique=False)

    op.create_table(
        "ledger_head",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_ledger_head_only_one")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_ledger_head")),
    )
    op.create_table(
        "decision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("reason", sa.String(length=2000), nullable=False),
        sa.Column("change", sa.String(length=500), nullable=False),
        sa.Column("expires_on", sa.Date(), nullable=True),
        sa.Column("lot_limit", sa.Integer(), nullable=True),
        sa.Column("taken_over_from", sa.Integer(), nullable=True),
        sa.Column("signed_by", sa.Integer(), nullable=False),
        sa.Column("signed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("withdrawn_by", sa.Integer(), nullable=True),
        sa.Column("withdrawn_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "(kind = 'resolved') = (length(change) > 0)", name=op.f("ck_decision_resolved_names_change")
        ),
        sa.CheckConstraint(
            "kind = 'accept' OR (expires_on IS NULL AND lot_limit IS NULL)",
            name=op.f("ck_decision_only_acceptance_has_limits"),
        ),
        sa.CheckConstraint("kind IN ('accept', 'resolved', 'refuse')", name=op.f("ck_decision_kind_known")),
        sa.CheckConstraint("(withdrawn_at IS NULL) = (withdrawn_by IS NULL)", name=op.f("ck_decision_withdrawn_whole")),
        sa.CheckConstraint("length(reason) BETWEEN 3 AND 2000", name=op.f("ck_decision_reason_length")),
        sa.CheckConstraint("lot_limit BETWEEN 1 AND 100000", name=op.f("ck_decision_lot_limit_plausible")),
        sa.ForeignKeyConstraint(["signed_by"], ["person.id"], name=op.f("fk_decision_signed_by_person")),
        sa.ForeignKeyConstraint(
            ["taken_over_from"], ["decision.id"], name=op.f("fk_decision_taken_over_from_decision")
        ),
        sa.ForeignKeyConstraint(["withdrawn_by"], ["person.id"], name=op.f("fk_decision_withdrawn_by_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_decision")),
    )
    with op.batch_alter_table("decision", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_decision_signed_by"), ["signed_by"], unique=False)

    op.create_table(
        "portfolio_day",
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("product_id", sa.Integer(), nullable=False),
        sa.Column("gate", sa.String(length=12), nullable=False),
        sa.Column("readiness", sa.Float(), nullable=True),
        sa.Column("open_blocks", sa.Integer(), nullable=False),
        sa.Column("open_change", sa.Integer(), nullable=False),
        sa.Column("open_prove", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "open_blocks >= 0 AND open_change >= 0 AND open_prove >= 0",
            name=op.f("ck_portfolio_day_counts_not_negative"),
        ),
        sa.CheckConstraint("readiness BETWEEN 0 AND 1", name=op.f("ck_portfolio_day_readiness_share")),
        sa.ForeignKeyConstraint(["product_id"], ["product.id"], name=op.f("fk_portfolio_day_product_id_product")),
        sa.PrimaryKeyConstraint("day", "product_id", name=op.f("pk_portfolio_day")),
    )
    op.create_table(
        "action",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("note", sa.String(length=1000), nullable=False),
        sa.Column("owner_id", sa.Integer(), nullable=False),
        sa.Column("due_on", sa.Date(), nullable=True),
        sa.Column("product_id", sa.Integer(), nullable=True),
        sa.Column("route_id", sa.Integer(), nullable=True),
        sa.Column("finding_key", sa.Text(), nullable=True),
        sa.Column("finding_title", sa.Text(), nullable=False),
        sa.Column("created_by", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("done_by", sa.Integer(), nullable=True),
        sa.Column("done_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("(done_at IS NULL) = (done_by IS NULL)", name=op.f("ck_action_done_whole")),
        sa.CheckConstraint("finding_key IS NULL OR route_id IS NOT NULL", name=op.f("ck_action_finding_has_route")),
        sa.CheckConstraint("length(note) <= 1000", name=op.f("ck_action_note_length")),
        sa.CheckConstraint("length(title) BETWEEN 1 AND 200", name=op.f("ck_action_title_length")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_action_version_positive")),
        sa.ForeignKeyConstraint(["created_by"], ["person.id"], name=op.f("fk_action_created_by_person")),
        sa.ForeignKeyConstraint(["done_by"], ["person.id"], name=op.f("fk_action_done_by_person")),
        sa.ForeignKeyConstraint(["owner_id"], ["person.id"], name=op.f("fk_action_owner_id_person")),
        sa.ForeignKeyConstraint(["product_id"], ["product.id"], name=op.f("fk_action_product_id_product")),
        sa.ForeignKeyConstraint(["route_id"], ["route.id"], name=op.f("fk_action_route_id_route")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_action")),
    )
    with op.batch_alter_table("action", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_action_owner_id"), ["owner_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_action_product_id"), ["product_id"], unique=False)

    op.create_table(
        "decision_cover",
        sa.Column("decision_id", sa.Integer(), nullable=False),
        sa.Column("case_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("route_id", sa.Integer(), nullable=False),
        sa.Column("check", sa.String(length=40), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("verdict", sa.String(length=10), nullable=False),
        sa.Column("sentence", sa.Text(), nullable=False),
        sa.Column("fingerprint", sa.String(length=64), nullable=False),
        sa.Column("inputs", sa.JSON(), nullable=False),
        sa.Column("done_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("length(fingerprint) = 64", name=op.f("ck_decision_cover_fingerprint_length")),
        sa.ForeignKeyConstraint(
            ["case_id"], ["assessment_case.id"], name=op.f("fk_decision_cover_case_id_assessment_case")
        ),
        sa.ForeignKeyConstraint(["decision_id"], ["decision.id"], name=op.f("fk_decision_cover_decision_id_decision")),
        sa.ForeignKeyConstraint(["route_id"], ["route.id"], name=op.f("fk_decision_cover_route_id_route")),
        sa.PrimaryKeyConstraint("decision_id", "case_id", "key", name=op.f("pk_decision_cover")),
    )
    with op.batch_alter_table("decision_cover", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_decision_cover_fingerprint"), ["fingerprint"], unique=False)
        batch_op.create_index(batch_op.f("ix_decision_cover_route_id_key"), ["route_id", "key"], unique=False)

    _add_columns()
    op.create_index("ix_assessment_case_expires_on", "assessment_case", ["expires_on"])
    op.create_index(
        "ix_finding_queue",
        "finding",
        ["standing", "verdict", "case_id", "check", "subject", "placements", "same_as_today"],
    )
    # Everything is assessed anew: the new counters and inputs are filled by that.
    op.execute("UPDATE assessment_case SET engine = ''")
    head = sa.table("ledger_head", sa.column("id"), sa.column("number"), sa.column("hash"))
    op.bulk_insert(head, [{"id": 1, "number": 0, "hash": "0" * 64}])
    _guard_ledger()


def downgrade() -> None:
    op.drop_index("ix_finding_queue", "finding")
    op.drop_index("ix_assessment_case_expires_on", "assessment_case")
    for table, column, _ in reversed(_COLUMNS):
        op.execute(f"ALTER TABLE {table} DROP COLUMN {column}")
    with op.batch_alter_table("decision_cover", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_decision_cover_route_id_key"))
        batch_op.drop_index(batch_op.f("ix_decision_cover_fingerprint"))

    op.drop_table("decision_cover")
    with op.batch_alter_table("action", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_action_product_id"))
        batch_op.drop_index(batch_op.f("ix_action_owner_id"))

    op.drop_table("action")
    op.drop_table("portfolio_day")
    with op.batch_alter_table("decision", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_decision_signed_by"))

    op.drop_table("decision")
    op.drop_table("ledger_head")
    with op.batch_alter_table("ledger_entry", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_ledger_entry_kind"))
        batch_op.drop_index(batch_op.f("ix_ledger_entry_at"))
        batch_op.drop_index(batch_op.f("ix_ledger_entry_actor"))

    op.drop_table("ledger_entry")
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION ledger_is_append_only()")


def _add_columns() -> None:
    # As plain SQL: copying a table, as batch mode does on SQLite, would lose its check constraints.
    on_sqlite = op.get_bind().dialect.name == "sqlite"
    for table, column, definition in _COLUMNS:
        words = definition.replace("TIMESTAMP WITH TIME ZONE", "DATETIME") if on_sqlite else definition
        op.execute(f"ALTER TABLE {table} ADD COLUMN {column} {words}")


def _guard_ledger() -> None:
    """Entries are neither changed nor deleted, whoever asks."""
    if op.get_bind().dialect.name == "sqlite":
        for what in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER ledger_no_{what.lower()} BEFORE {what} ON ledger_entry "
                "BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END"
            )
        return
    op.execute(
        "CREATE FUNCTION ledger_is_append_only() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'the ledger is append-only'; END $$"
    )
    op.execute(
        "CREATE TRIGGER ledger_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON ledger_entry "
        "FOR EACH STATEMENT EXECUTE FUNCTION ledger_is_append_only()"
    )
