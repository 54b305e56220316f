"""Secrets that all server processes on one database share; so far the one that signs cursors."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_25_server_secrets"
down_revision = "2026_11_25_first_records"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "server_secrets",
        sa.Column("name", sa.String(40), nullable=False),
        sa.Column("secret", sa.LargeBinary, nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_server_secrets")),
    )


def downgrade() -> None:
    op.drop_table("server_secrets")
