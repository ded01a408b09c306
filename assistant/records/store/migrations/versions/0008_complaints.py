"""Sessions carry their complaint and a digest of their journal, repairs the title of their fault."""

from alembic import op

revision, down_revision = "0008", "0007"


def upgrade() -> None:
    """Make the columns, and have every session read again: it waits as a new one does until a program looks."""
    op.execute("ALTER TABLE sessions ADD COLUMN IF NOT EXISTS complaint TEXT NOT NULL DEFAULT ''")
    op.execute("ALTER TABLE sessions ADD COLUMN IF NOT EXISTS digest VARCHAR(64) NOT NULL DEFAULT ''")
    op.execute("ALTER TABLE repairs ADD COLUMN IF NOT EXISTS fault_title TEXT NOT NULL DEFAULT ''")
    op.execute("DROP INDEX IF EXISTS repairs_by_fault")
    op.execute("CREATE INDEX repairs_by_fault ON repairs (invented, fault_title, unit_plain, day, confirmed)")
    op.execute("DROP TABLE IF EXISTS causes")  # sums, made anew with each session that is read
    op.execute(
        "CREATE TABLE causes (invented BOOLEAN, title TEXT, unit_plain TEXT, count INTEGER NOT NULL, "
        "last VARCHAR(10) NOT NULL, PRIMARY KEY (invented, title, unit_plain))"
    )
    op.execute("INSERT INTO unread SELECT id FROM sessions ON CONFLICT DO NOTHING")
