"""Places for shims; duty of bearings; causes of failure; what a rework puts right."""

revision = "2026_11_29_shims"
down_revision = "2026_11_29_condition"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add what is new."""


def downgrade() -> None:
    """Take it away again."""
