"""What changed when: the newest change of every record, and lists in the order of their times."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_25_changes"
down_revision = "2026_11_25_server_secrets"
branch_labels = None
depends_on = None

KEYS = ["kind", "sequence", "record_id"]
CATALOGUE = (
    "access_groups",
    "assemblies",
    "characteristics",
    "interchange_claims",
    "labour_operations",
    "parts",
    "position_sets",
    "positions",
    "serviceability_rulings",
)
PRIVATE = (
    "decisions",
    "findings",
    "jobs",
    "offers",
    "shop_settings",
    "suppliers",
    "units",
)
FROM_AUDIT = """
    INSERT INTO changes (record_id, kind, shop_id, sequence, is_retired)
    SELECT record_id, kind, shop_id, max(sequence),
        max(CASE action WHEN 'retire' THEN 1 ELSE 0 END) = 1
    FROM audit_entries GROUP BY record_id, kind, shop_id
"""
# The first ruling of a position came with it and had no audit entry of its own.
FIRST_RULINGS = """
    INSERT INTO changes (record_id, kind, shop_id, sequence, is_retired)
    SELECT r.id, 'serviceability-ruling', r.author_shop_id, min(a.sequence), 1 = 0
    FROM serviceability_rulings r JOIN audit_entries a ON a.record_id = r.position_id
    WHERE NOT EXISTS (SELECT 1 FROM changes c WHERE c.record_id = r.id)
    GROUP BY r.id, r.author_shop_id
"""
# Each later ruling changed what is read of its position.
RULED_POSITIONS = """
    UPDATE changes SET sequence = (
        SELECT max(a.sequence) FROM serviceability_rulings r
        JOIN audit_entries a ON a.record_id IN (r.id, r.position_id)
        WHERE r.position_id = changes.record_id
    )
    WHERE kind = 'position' AND NOT is_retired AND EXISTS (
        SELECT 1 FROM serviceability_rulings r WHERE r.position_id = changes.record_id
    )
"""
# What these writes touched besides their own record, as later ones tell it.
FIRST_TOUCHES = """
    INSERT INTO audit_touches (sequence, record_id, kind)
    SELECT min(a.sequence), r.id, 'serviceability-ruling'
    FROM serviceability_rulings r JOIN audit_entries a ON a.record_id = r.position_id
    WHERE NOT EXISTS (SELECT 1 FROM audit_entries own WHERE own.record_id = r.id)
    GROUP BY r.id
"""
LATER_TOUCHES = """
    INSERT INTO audit_touches (sequence, record_id, kind)
    SELECT min(a.sequence), r.position_id, 'position'
    FROM serviceability_rulings r JOIN audit_entries a ON a.record_id = r.id
    GROUP BY r.id, r.position_id
"""
INDEXES = (
    *((table, time) for table in CATALOGUE for time in ("created_at", "updated_at")),
    *((table, "shop_id", time) for table in PRIVATE for time in ("created_at", "updated_at")),
    ("findings", "shop_id", "found_at"),
    ("jobs", "shop_id", "required_by_on"),
    ("units", "shop_id", "lower_hours"),
    ("units", "shop_id", "upper_hours"),
)


def ident() -> sa.types.TypeEngine[str]:
    return sa.String(64).with_variant(sa.String(64, collation="C"), "postgresql")


def index_name(table: str, *columns: str) -> str:
    return "_".join(("ix", table, *columns, "id"))


def upgrade() -> None:
    op.create_table(
        "changes",
        sa.Column("record_id", ident(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("shop_id", ident(), nullable=False),
        sa.Column("sequence", sa.BigInteger, nullable=False),
        sa.Column("is_retired", sa.Boolean, nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_changes_shop_id")),
        sa.PrimaryKeyConstraint("record_id", name=op.f("pk_changes")),
    )
    op.create_index("ix_changes_kind_sequence_record_id", "changes", KEYS)
    op.create_index("ix_changes_shop_id_kind_sequence_record_id", "changes", ["shop_id", *KEYS])
    op.create_table(
        "audit_touches",
        sa.Column("sequence", sa.BigInteger, nullable=False),
        sa.Column("record_id", ident(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("detail", sa.Text),
        sa.ForeignKeyConstraint(
            ["sequence"], ["audit_entries.sequence"], name=op.f("fk_audit_touches_sequence")
        ),
        sa.PrimaryKeyConstraint("sequence", "record_id", name=op.f("pk_audit_touches")),
    )
    op.create_index(
        "ix_audit_touches_record_id_sequence", "audit_touches", ["record_id", "sequence"]
    )
    for table, *columns in INDEXES:
        op.create_index(index_name(table, *columns), table, [*columns, "id"])
    op.execute(FROM_AUDIT)
    op.execute(FIRST_RULINGS)
    op.execute(RULED_POSITIONS)
    op.execute(FIRST_TOUCHES)
    op.execute(LATER_TOUCHES)


def downgrade() -> None:
    for table, *columns in INDEXES:
        op.drop_index(index_name(table, *columns), table)
    op.drop_table("audit_touches")
    op.drop_table("changes")
