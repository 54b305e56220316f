"""Gauges; findings in full: readings, intervals, hours run; derived characteristics."""

revision = "2026_11_29_condition"
down_revision = "2026_11_29_interchange"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add what is new."""


def downgrade() -> None:
    """Take it away again."""
