"""Sessions carry their own count, and journals that were read and are no records are remembered."""

from alembic import op

revision, down_revision = "0005", "0004"


def upgrade() -> None:
    """Make the column and the table."""
    op.execute("ALTER TABLE sessions ADD COLUMN IF NOT EXISTS ordinal INTEGER NOT NULL DEFAULT 0")
    op.execute("CREATE INDEX IF NOT EXISTS sessions_by_ordinal ON sessions (ordinal, id)")
    op.execute(
        "CREATE TABLE IF NOT EXISTS passed (id VARCHAR(80) PRIMARY KEY, size BIGINT NOT NULL, why TEXT NOT NULL)"
    )
