"""Sessions carry their work order, and what each photo shows is in the index."""

from alembic import op

revision, down_revision = "0007", "0006"


def upgrade() -> None:
    """Make the column and the table; sessions from before have them once the index is made anew (`rebuild`)."""
    op.execute("ALTER TABLE sessions ADD COLUMN IF NOT EXISTS work_order TEXT NOT NULL DEFAULT ''")
    op.execute(
        "CREATE TABLE IF NOT EXISTS pictures (session INTEGER, number INTEGER, at DOUBLE PRECISION NOT NULL, "
        'name TEXT NOT NULL, sha256 TEXT NOT NULL, shows TEXT NOT NULL, "check" TEXT NOT NULL, place TEXT NOT NULL, '
        "reading INTEGER, erased BOOLEAN NOT NULL, PRIMARY KEY (session, number))"
    )
