"""Photos of the work, outside the chain."""

from alembic import op

revision, down_revision = "0006", "0005"


def upgrade() -> None:
    """Make the table."""
    op.execute(
        "CREATE TABLE IF NOT EXISTS photos (session_id VARCHAR(80), name VARCHAR(32), content BYTEA NOT NULL, "
        "PRIMARY KEY (session_id, name))"
    )
