"""Sessions are found by their first lines."""

from alembic import op

revision, down_revision = "0003", "0002"


def upgrade() -> None:
    """Make the index."""
    op.execute("CREATE INDEX IF NOT EXISTS lines_begun ON lines (session_id) WHERE seq = 0")
