"""New journals wait in a table, words are taken apart when they are written, repairs are found by fault and cause."""

from alembic import op

revision, down_revision = "0004", "0003"


def upgrade() -> None:
    """Make them; journals and index are compared once more, since nothing waited in the table before."""
    op.execute("CREATE TABLE IF NOT EXISTS unread (session_id VARCHAR(80) PRIMARY KEY)")
    op.execute("DELETE FROM leadsman_state WHERE name = 'looked'")
    op.execute("DROP INDEX IF EXISTS found_words")
    op.execute(
        "ALTER TABLE found ADD COLUMN IF NOT EXISTS "
        "vector tsvector GENERATED ALWAYS AS (to_tsvector('simple', words)) STORED"
    )
    op.execute("CREATE INDEX IF NOT EXISTS found_vector ON found USING gin (vector) WITH (fastupdate = off)")
    op.execute("DROP INDEX IF EXISTS repairs_by_day")
    op.execute("DROP INDEX IF EXISTS repairs_by_cause")
    op.execute("CREATE INDEX IF NOT EXISTS repairs_by_cause ON repairs (cause, day)")
    op.execute("CREATE INDEX IF NOT EXISTS repairs_by_fault ON repairs (invented, fault, unit_plain, day, confirmed)")
